"""A reading in words: home, route, every chord in its bar, interruptions, cadences, and what is a close call.

Places are written as `--pin` takes them: `9` is the first beat of bar 9, `9.3` its third.
"""

from collections.abc import Iterator, Sequence

from trainer.charts.timeline import Place, Timeline
from trainer.commands.told_form import form_text, section_heading
from trainer.commands.words import counted, joined, table, wrapped
from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import Key
from trainer.reading.degrees import target_text
from trainer.reading.form import section_numbers
from trainer.reading.hardest import hardest_stretch
from trainer.reading.one_line import bars_text, in_one_line
from trainer.reading.route import MOVE_NAMES, short_way
from trainer.reading.values import (
    Analysis,
    ChordReading,
    EnteredBy,
    FoundCadence,
    Interruption,
    Rival,
    RouteStep,
)

CLOSE_FROM = 0.3
"""The share from which another reading of a chord is called close."""
RIVAL_FROM = 0.05
"""The share from which another reading is told beside the reasons."""

ENTERED: dict[EnteredBy, str] = {
    "own-two": "entered by its own ii",
    "own-five": "entered by its own V",
    "tonic-turns-minor": "the tonic before turns minor",
    "shared-chord": "through a chord of both keys",
    "half-step-slide": "by a slide of a half step",
    "dominant-chain": "down a chain of dominants",
    "direct": "without preparation",
}
"""How a key center is entered, in a player's words."""

INDENT = "  "


def told_analysis(analysis: Analysis, timeline: Timeline, columns: int, why: bool) -> list[str]:
    """The whole reading as lines; with `why` the reasons stand below each chord."""
    blocks = [_head(analysis, timeline, columns), _home(analysis, columns), _short(analysis, columns)]
    blocks.append(_route(analysis, columns))
    told: set[int] = set()
    for number in range(len(analysis.sections)):
        blocks.append(_section(analysis, number, columns, why, told))
    blocks.append(_interruptions(analysis, columns))
    blocks.append(_cadences(analysis, columns))
    blocks.append(_hardest(analysis, columns))
    if not why:
        blocks.append(_close_calls(analysis, told, columns))
    return [line for block in blocks if block for line in ("", *block)][1:]


def place_text(place: Place) -> str:
    """A place as the command takes it: `9`, `9.3`, `9.5/2`."""
    return f"{place.bar}" if place.beat == 1 else f"{place.bar}.{place.beat}"


def _head(analysis: Analysis, timeline: Timeline, columns: int) -> list[str]:
    meters = list(dict.fromkeys(str(bar.meter) for bar in timeline.bars))
    tempo = f"at {analysis.tempo:g}" if timeline.tempo_given else "with no tempo given"
    bars = sum(bar.number > 0 for bar in timeline.bars)
    told = [f"{counted(bars, 'bar')} of {' and '.join(meters)} {tempo}"]
    if bars < len(timeline.bars):
        told.append("with a pickup")
    told += [form] if (form := form_text(analysis)) else []
    printed = analysis.printed_key
    told.append(f"written in {printed.name}" if printed else "no signature given")
    return [*wrapped(analysis.title or analysis.file, columns), *wrapped(", ".join(told) + ".", columns)]


def _home(analysis: Analysis, columns: int) -> list[str]:
    if analysis.home is None:
        return ["Nothing sounds in this tune."]
    home = analysis.home
    sure = "" if home.confidence >= 0.9 else f" ({home.confidence:.0%} of all readings)"
    return [f"Home: {home.key.name}{sure}", *wrapped(" ".join(home.why), columns, INDENT)]


def _short(analysis: Analysis, columns: int) -> list[str]:
    """The tune in one line."""
    return [] if analysis.home is None else wrapped(f"In short: {in_one_line(analysis)}", columns, "", INDENT)


def _hardest(analysis: Analysis, columns: int) -> list[str]:
    """Which stretch to practise first."""
    stretch = hardest_stretch(analysis)
    if stretch is None:
        return []
    return [f"Hardest: {bars_text(stretch.from_, stretch.until)}", *wrapped(" ".join(stretch.why), columns, INDENT)]


def _route(analysis: Analysis, columns: int) -> list[str]:
    if not analysis.route:
        return []
    if len(analysis.route) == 1:
        return [f"Route: {analysis.route[0].center.name} all the way"]
    rows = [(_capital(bars_text(step.from_, step.until)), _step(step)) for step in analysis.route]
    return ["Route", *table(rows, columns, INDENT)]


def _step(step: RouteStep) -> str:
    if step.move is None:
        return step.center.name
    return f"{step.center.name}: {step.move.name}, {ENTERED[step.move.entered_by]}"


def _section(
    analysis: Analysis, number: int, columns: int, why: bool, told: set[int]
) -> list[str]:
    section = analysis.sections[number]
    indices = _chords_of(analysis, number)
    alike = section.same_as is not None and _reads_alike(analysis, number, section.same_as)
    heading = section_heading(analysis, number, alike)
    if alike and section.differs_from_bar is None:
        return wrapped(heading, columns)
    told.update(indices)
    return [*wrapped(heading, columns), *_rows(analysis, indices, columns, why)]


def _chords_of(analysis: Analysis, number: int) -> list[int]:
    return [n for n, section in enumerate(section_numbers(analysis)) if section == number]


def _reads_alike(analysis: Analysis, one: int, other: int) -> bool:
    def read(number: int) -> list[tuple[object, ...]]:
        chords = [analysis.chords[n] for n in _chords_of(analysis, number)]
        return [(chord.center, chord.numeral, chord.function, chord.applied_to) for chord in chords]

    return read(one) == read(other)


def _rows(analysis: Analysis, indices: Sequence[int], columns: int, why: bool) -> list[str]:
    """A line for each chord, one where the key center changes, and the reasons where they are wanted."""
    chords = analysis.chords
    wide = [
        max((len(cell) for chord in chords if (cell := read(chord))), default=0)
        for read in (_place_of, _symbol_of, _numeral_of)
    ]
    foreign = {n: one for one in analysis.interruptions for n in one.chords}
    lines: list[str] = []
    centers = {chord.center for chord in chords if chord.center is not None}
    center = next(iter(centers)) if len(centers) == 1 else None
    for n in indices:
        chord = chords[n]
        if chord.center is not None and chord.center != center:
            center = chord.center
            lines.append(INDENT + _center_told(center, foreign.get(n)))
        held = chord.span.continues and n > 0 and _reading(chords[n - 1]) == _reading(chord)
        cells = [cell.ljust(w) for cell, w in zip((_place_of(chord), _symbol_of(chord)), wide, strict=False)]
        if held:
            lines.append(INDENT * 2 + "  ".join((*cells, "held")).rstrip())
            continue
        words = ("  ".join((*cells, _numeral_of(chord).ljust(wide[2]), _function_of(chord)))).rstrip()
        lines.append(INDENT * 2 + words)
        if why and chord.span.symbol is not None:
            lines.extend(wrapped(" ".join((*chord.why, *_rivals(chord))), columns, INDENT * 4))
    return lines


def _reading(chord: ChordReading) -> tuple[object, ...]:
    return (chord.span.symbol, chord.center, chord.numeral, chord.function, chord.applied_to)


def _center_told(center: Key, interruption: Interruption | None) -> str:
    if interruption is None:
        return f"in {center.name}"
    return f"in {center.name}, breaking in on {interruption.awaited.name}"


def _place_of(chord: ChordReading) -> str:
    return place_text(chord.span.place)


def _symbol_of(chord: ChordReading) -> str:
    return "N.C." if chord.span.symbol is None else chord.span.symbol.text


def _numeral_of(chord: ChordReading) -> str:
    return "" if chord.numeral is None else chord.numeral.text


def _function_of(chord: ChordReading) -> str:
    if chord.span.symbol is None:
        return ""
    words: str = chord.function
    if chord.applied_to is not None and chord.center is not None:
        words += f" to {target_text(chord.applied_to, chord.center.mode)}"
        words += f" ({chord.leads_to})" if chord.leads_to is not None else ""
    if chord.span.pin is not None and chord.span.pin.center is not None:
        words += ", pinned"
    return words


def _rivals(chord: ChordReading) -> Iterator[str]:
    told = [_rival(chord, rival) for rival in chord.rivals if rival.center and rival.share >= RIVAL_FROM]
    if told:
        yield f"It could also be {'; '.join(told)}."


def _rival(chord: ChordReading, rival: Rival) -> str:
    words = [] if rival.numeral is None else [rival.numeral.text]
    if rival.center is not None and rival.center != chord.center:
        words.append(f"in {rival.center.name},")
    return f"{' '.join((*words, rival.function))} ({rival.share:.0%})"


def _interruptions(analysis: Analysis, columns: int) -> list[str]:
    rows = []
    for one in analysis.interruptions:
        rows.append((_capital(bars_text(one.from_, one.until)), " ".join((*one.why, _distance(one)))))
    return ["Interrupted cadences", *table(rows, columns, INDENT)] if rows else []


def _distance(one: Interruption) -> str:
    """How far the foreign key lies from the awaited one."""
    away = short_way(one.heard.tonic.pitch_class - one.awaited.tonic.pitch_class)
    heard, awaited = one.heard.name, one.awaited.name
    if away == 0:
        return f"{heard} is the parallel key of {awaited}."
    if abs(away) not in MOVE_NAMES:
        return f"{heard} lies a tritone away from {awaited}."
    return f"{heard} lies {MOVE_NAMES[abs(away)]} {'above' if away > 0 else 'below'} {awaited}."


def _cadences(analysis: Analysis, columns: int) -> list[str]:
    if not analysis.cadences:
        return []
    several = len({step.center for step in analysis.route}) > 1
    rows = []
    for cadence in analysis.cadences:
        deep = _depth(analysis.cadences, cadence)
        rows.append((INDENT * deep + _capital(_where(cadence)), _cadence(analysis, cadence, several)))
    return ["Cadences", *table(rows, columns, INDENT)]


def _depth(cadences: Sequence[FoundCadence], cadence: FoundCadence) -> int:
    deep = 0
    while cadence.within is not None and deep < 3:
        cadence, deep = cadences[cadence.within], deep + 1
    return deep


def _where(cadence: FoundCadence) -> str:
    return bars_text(cadence.from_, cadence.until)


def _cadence(analysis: Analysis, cadence: FoundCadence, several: bool) -> str:
    name = CADENCE[cadence.type].name
    if cadence.degree is not None:
        degree = target_text(cadence.degree, cadence.center.mode)
        name = name.replace("a degree", f"the {degree}")
    symbols: list[str] = []
    for n in cadence.chords:
        text = _symbol_of(analysis.chords[n])
        if not (symbols and symbols[-1] == text and analysis.chords[n].span.continues):
            symbols.append(text)
    words = f"{name}: {' '.join(symbols)}"
    if several:
        words += f", in {cadence.center.name}"
    return words + (", back to the top" if cadence.wraps else "")


def _close_calls(analysis: Analysis, told: set[int], columns: int) -> list[str]:
    places: dict[tuple[str, str], list[str]] = {}
    for n in sorted(told):
        chord = analysis.chords[n]
        near = [rival for rival in chord.rivals if rival.center is not None and rival.share >= CLOSE_FROM]
        if not near or chord.span.continues:
            continue
        mine = f"{_numeral_of(chord)} {_function_of(chord)} ({chord.confidence:.0%})"
        others = " or ".join(_rival(chord, rival) for rival in near)
        places.setdefault((_symbol_of(chord), f"{mine}, or {others}"), []).append(_place_of(chord))
    if not places:
        return []
    rows = [(symbol, f"{words}, at {joined(where)}") for (symbol, words), where in places.items()]
    return ["Close calls, where a player may well hear it the other way", *table(rows, columns, INDENT)]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
