"""The reading as `keyfarer analyze --json` prints it: schema keyfarer/analysis/1, a public contract.

Fields are added, never changed.
"""

import json
from fractions import Fraction
from typing import Any

from trainer.charts.timeline import Place
from trainer.harmony.key import Key
from trainer.reading.degrees import target_text
from trainer.reading.form import section_numbers
from trainer.reading.hardest import HardStretch, hardest_stretch
from trainer.reading.one_line import in_one_line
from trainer.reading.values import Analysis, ChordReading, FoundCadence, Interruption, Rival, RouteStep, SectionReading

SCHEMA = "keyfarer/analysis/1"

Json = dict[str, Any]


def analysis_json(analysis: Analysis) -> Json:
    """The reading as plain values, ready for json.dumps."""
    home = analysis.home
    return {
        "schema": SCHEMA,
        "title": analysis.title,
        "file": analysis.file,
        "key": None if analysis.printed_key is None else _key(analysis.printed_key),
        "tempo": _number(analysis.tempo),
        "form": list(analysis.form),
        "home": None
        if home is None
        else {**_key(home.key), "confidence": _share(home.confidence), "why": list(home.why)},
        "chords": [
            _chord(chord, analysis.sections[number].name)
            for chord, number in zip(analysis.chords, section_numbers(analysis), strict=True)
        ],
        "cadences": [_cadence(cadence) for cadence in analysis.cadences],
        "interruptions": [_interruption(one) for one in analysis.interruptions],
        "route": [_step(step) for step in analysis.route],
        "sections": [_section(section) for section in analysis.sections],
        "in_one_line": in_one_line(analysis),
        "hardest": _hardest(hardest_stretch(analysis)),
    }


def analysis_text(analysis: Analysis, ascii_only: bool = False) -> str:
    """The reading as one line of JSON (RFC 8259), without its line's end; `ascii_only` escapes all other letters."""
    return (_ASCII if ascii_only else _UNICODE).encode(analysis_json(analysis))


_ASCII = json.JSONEncoder(check_circular=False)
_UNICODE = json.JSONEncoder(ensure_ascii=False, check_circular=False)


def _key(key: Key) -> Json:
    return {"tonic": str(key.tonic), "mode": key.mode}


def _place(place: Place) -> Json:
    return {"bar": place.bar, "beat": _decimal(place.beat)}


def _decimal(number: Fraction) -> float:
    """The same as float(number), in a quarter of the time: a long tune has hundreds of them."""
    return number.numerator / number.denominator


def _number(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _share(value: float) -> float:
    return round(value, 9)


def _chord(chord: ChordReading, section: str | None) -> Json:
    span, symbol, center = chord.span, chord.span.symbol, chord.center
    at, text = span.at, "N.C." if symbol is None else symbol.text
    return {
        "bar": span.bar,
        "beat": (at.numerator + at.denominator) / at.denominator,
        "beats": _decimal(span.beats),
        "beats_exact": str(span.beats),
        "meter": str(span.meter),
        "written_bar": span.written_bar,
        "section": section,
        "symbol": text,
        "written": span.written or text,
        "root": None if symbol is None else str(symbol.root),
        "bass": None if symbol is None else str(symbol.bass_name),
        "quality": None if symbol is None else symbol.quality.id,
        "continues": span.continues,
        "pinned": span.pin is not None and span.pin.center is not None,
        "center": None if center is None else _key(center),
        "numeral": None if chord.numeral is None else chord.numeral.text,
        "function": chord.function,
        "applied_to": None
        if chord.applied_to is None or center is None
        else target_text(chord.applied_to, center.mode),
        "leads_to": None if chord.leads_to is None else str(chord.leads_to),
        "confidence": _share(chord.confidence),
        "why": list(chord.why),
        "rivals": [_rival(rival) for rival in chord.rivals],
    }


def _rival(rival: Rival) -> Json:
    return {
        "center": None if rival.center is None else _key(rival.center),
        "numeral": None if rival.numeral is None else rival.numeral.text,
        "function": rival.function,
        "share": _share(rival.share),
    }


def _cadence(cadence: FoundCadence) -> Json:
    return {
        "type": cadence.type,
        "center": _key(cadence.center),
        "degree": None if cadence.degree is None else target_text(cadence.degree, cadence.center.mode),
        "from": _place(cadence.from_),
        "until": _place(cadence.until),
        "chords": list(cadence.chords),
        "complete": cadence.complete,
        "within": cadence.within,
        "wraps": cadence.wraps,
    }


def _interruption(one: Interruption) -> Json:
    return {
        "shape": one.shape,
        "awaited": _key(one.awaited),
        "heard": _key(one.heard),
        "from": _place(one.from_),
        "until": _place(one.until),
        "chords": list(one.chords),
        "prepared": list(one.prepared),
        "resumed": list(one.resumed),
        "why": list(one.why),
    }


def _step(step: RouteStep) -> Json:
    move = step.move
    return {
        "center": _key(step.center),
        "from": _place(step.from_),
        "until": _place(step.until),
        "move": None
        if move is None
        else {
            "semitones": move.semitones,
            "mode_from": move.mode_from,
            "mode_to": move.mode_to,
            "entered_by": move.entered_by,
            "name": move.name,
        },
    }


def _section(section: SectionReading) -> Json:
    return {
        "name": section.name,
        "from": _place(section.from_),
        "until": _place(section.until),
        "same_as": section.same_as,
        "differs_from_bar": section.differs_from_bar,
        "found_name": section.found,
        "like": section.like,
        "differing_bars": list(section.differing_bars),
    }


def _hardest(stretch: HardStretch | None) -> Json | None:
    if stretch is None:
        return None
    return {"from": _place(stretch.from_), "until": _place(stretch.until), "why": list(stretch.why)}
