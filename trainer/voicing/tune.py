"""A tune performed: its chart as a comping track, its route of key centers, its guide tones, its bass.

Chords are struck at their start and where the comping pattern falls, and ring until the next stroke
or silence; a chord held over a barline is struck again only where the pattern says so. A pickup is
played before the first chorus alone, and the count-in makes its bar whole.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Literal, TypeVar

from trainer.charts.timeline import PlayedBar, Timeline
from trainer.harmony.interval import Interval
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis
from trainer.voicing.leading import VoicedChord, muddy, voice
from trainer.voicing.material import Material, RouteAs, is_pickup, material_of, route_of
from trainer.voicing.patterns import (
    BassFeel,
    Comping,
    accent,
    bar_meter,
    bass_places,
    comping_places,
    pulses,
    quarter_tempo,
    quarters_of,
    swung,
)
from trainer.voicing.shapes import Aim, Style
from trainer.voicing.sheet import BASS_VELOCITY, KEYS_VELOCITY, Performance, Sheet
from trainer.voicing.styles import BASS_REGISTER

C = TypeVar("C")

What = Literal["chart", "route", "guide-tones", "bass"]
"""What of a tune is played."""

CLICK_ONE, CLICK_OTHER = 76, 77
"""High and low wood block (General MIDI percussion keys)."""
CLICK_VELOCITY = 84
_CLICK_QUARTERS = Fraction(1, 4)
SHORTEST_COUNT_S = Fraction(6, 5)
"""A count-in that would be shorter than this has two bars."""
_LEAST_STROKE = Fraction(1)
"""A stroke of the pattern that leaves its chord less than a quarter is left out."""
ROLE = "question"


@dataclass(frozen=True, slots=True)
class _Stretch:
    """One chord in one bar; places count in quarters from the start of the bar, before swing."""

    at: Fraction
    until: Fraction
    chord: int | None
    """Which of the voiced chords; None is silence."""
    struck: bool
    """False where the chord before is held on."""
    span: int
    """Place in the material's spans."""


@dataclass(frozen=True, slots=True)
class _Playing:
    """How the bars are played."""

    chords: tuple[VoicedChord, ...]
    comping: Comping
    bass_feel: BassFeel
    fifths: bool
    """The bass goes to the fifth in a chord's second stroke of a bar."""
    swing: Fraction
    functions: Sequence[str]
    """By index of the timeline's spans; empty where none are marked."""


def perform_chart(
    timeline: Timeline,
    analysis: Analysis | None = None,
    what: What = "chart",
    tempo: Fraction | float | None = None,
    count_in: bool = True,
    *,
    style: Style = "rootless",
    with_bass: bool = True,
    comping: Comping = "charleston",
    bass_feel: BassFeel = "halves",
    swing: Fraction | None = None,
    choruses: int = 1,
    bars: tuple[int, int] | None = None,
    transpose: Interval | None = None,
    route_as: RouteAs = "cadence",
    route_share: Fraction = Fraction(1, 2),
    functions: Sequence[str] = (),
    seed: int | None = None,
) -> Performance:
    """Play a tune, or the bars from one played bar to another, both included.

    `tempo` counts as the chart does, `swing` is long to short; None is the chart's own. The analysis
    gives the key centers' markers, the tensions and the route; a route without it, or bars that the
    tune doesn't have, raise ValueError. `route_share` is the route's length as a share of the tune's,
    rounded to whole bars for each center. `functions`, one text for each span of the timeline, are marked
    where their chords begin; a route has none.
    """
    material = material_of(timeline, analysis, bars, transpose)
    if what == "route":
        if analysis is None:
            raise ValueError("a route needs the analysis of its tune")
        material = route_of(material, analysis, transpose, route_as, route_share)
    symbols, aims, laid_out = _laid_out(material)
    if what == "guide-tones":
        style, with_bass, comping = "guide-tones", False, "held"
    chords = voice(symbols, style, with_bass or what == "bass", aims)
    if what == "bass":
        chords = tuple(replace(chord, keys=(), stack=()) for chord in chords)
    playing = _Playing(
        chords,
        comping,
        bass_feel,
        what == "chart",
        timeline.swing if swing is None else Fraction(swing),
        () if what == "route" else functions,
    )
    sheet = Sheet()
    qpm = quarter_tempo(timeline.tempo if tempo is None else tempo, timeline.bars[0].meter)
    sheet.tempos.append((Fraction(0), qpm))
    start = _count_in(sheet, material.bars, qpm) if count_in and material.bars else Fraction(0)
    sheet.mark(start, "role", ROLE)
    for chorus in range(choruses):
        first = 1 if chorus and len(material.bars) > 1 and is_pickup(material.bars[0]) else 0
        start = _chorus(sheet, start, material, list(zip(material.bars, laid_out, strict=True))[first:], playing)
    if not sheet.meters:
        sheet.meter(Fraction(0), (4, 4))
    return sheet.finished(start, material.key, timeline.title, seed)


def _laid_out(material: Material) -> tuple[list[ChordSymbol], list[Aim | None], list[list[_Stretch]]]:
    """The chords to be voiced, one for each that is struck anew, and the stretches of each bar."""
    symbols: list[ChordSymbol] = []
    aims: list[Aim | None] = []
    rows: dict[int, list[_Stretch]] = {bar.number: [] for bar in material.bars}
    last: ChordSymbol | None = None
    for place, (span, aim) in enumerate(zip(material.spans, material.aims, strict=True)):
        struck = not (span.continues and span.symbol == last)
        last = span.symbol
        if struck and last is not None:
            symbols.append(last)
            aims.append(aim)
        at = span.at * Fraction(4, span.meter.unit)
        chord = None if last is None else len(symbols) - 1
        rows[span.bar].append(_Stretch(at, at + span.quarters, chord, struck, place))
    return symbols, aims, list(rows.values())


def _count_in(sheet: Sheet, bars: Sequence[PlayedBar], qpm: Fraction) -> Fraction:
    """Count one bar, or two short ones, and what a pickup leaves of its own; says where they end."""
    first = bars[0]
    meter = first.meter
    whole = quarters_of(meter)
    count = 1 if whole * 60 / qpm >= SHORTEST_COUNT_S else 2
    length = count * whole + (whole - first.quarters if is_pickup(first) else 0)
    sheet.meter(Fraction(0), (meter.beats, meter.unit))
    sheet.mark(Fraction(0), "role", "count-in")
    for bar in range(count + 1):
        for beat in pulses(meter):
            at = bar * whole + beat
            if at < length:
                click = CLICK_OTHER if beat else CLICK_ONE
                harder = accent(beat, meter)
                sheet.play(at, _CLICK_QUARTERS, click, CLICK_VELOCITY + harder, "click", "count-in")
    return length


def _chorus(
    sheet: Sheet,
    start: Fraction,
    material: Material,
    rows: Sequence[tuple[PlayedBar, list[_Stretch]]],
    playing: _Playing,
) -> Fraction:
    """Play the bars once; says where they end."""
    keys: list[tuple[Fraction, int | None, int]] = []
    bass: list[tuple[Fraction, int | None, int, bool]] = []
    named: list[tuple[Fraction, int | None]] = []
    at = start
    for bar, stretches in rows:
        if not (is_pickup(bar) and sheet.meters):
            sheet.meter(at, bar_meter(bar.quarters, bar.meter))
        section = _begins(material.sections, bar.number, first=at == start)
        if section is not None:
            sheet.mark(at, "section", section)
        for stretch in stretches:
            begins = at + swung(stretch.at, playing.swing, bar.meter)
            center = _begins(material.centers, stretch.span, first=not named)
            if center is not None:
                sheet.mark(begins, "center", center.name)
            function = _function(material, stretch, playing.functions, opening=not named)
            if function:
                sheet.mark(begins, "function", function)
            if stretch.chord is None:
                keys.append((begins, None, 0))
                bass.append((begins, None, 0, False))
            if stretch.struck or not named:
                named.append((begins, stretch.chord))
            if stretch.chord is not None:
                opening = stretch.struck or not keys
                for place in _strokes(stretch, comping_places(bar.meter, playing.comping), opening):
                    when = at + swung(place, playing.swing, bar.meter)
                    keys.append((when, stretch.chord, accent(place, bar.meter)))
                for place in _strokes(stretch, bass_places(bar.meter, playing.bass_feel), opening):
                    when = at + swung(place, playing.swing, bar.meter)
                    bass.append((when, stretch.chord, accent(place, bar.meter), place > stretch.at))
        at += bar.quarters
    _play_keys(sheet, [*keys, (at, None, 0)], playing.chords)
    _play_bass(sheet, [*bass, (at, None, 0, False)], playing)
    for (begins, chord), (ends, _) in pairwise([*named, (at, None)]):
        if chord is not None:
            sheet.name(playing.chords[chord].symbol, begins, ends, ROLE, playing.chords[chord])
    return at


def _begins(starts: Mapping[int, C], place: int, first: bool) -> C | None:
    """What begins at a place; at the first one played, what is in force there."""
    if first:
        return next((starts[start] for start in sorted(starts, reverse=True) if start <= place), None)
    return starts.get(place)


def _function(material: Material, stretch: _Stretch, functions: Sequence[str], opening: bool) -> str:
    """What is marked as the function where a stretch begins; a chord held on says its own again only if it changes."""
    if not functions:
        return ""
    here = functions[material.spans[stretch.span].index]
    held = not stretch.struck and not opening
    return "" if held and here == functions[material.spans[stretch.span - 1].index] else here


def _strokes(stretch: _Stretch, places: Sequence[Fraction], opening: bool) -> list[Fraction]:
    """The chord's own start where it is struck, and the pattern's places that leave it time to sound."""
    strokes = [stretch.at] if opening else []
    for place in places:
        fits = stretch.at <= place and place + _LEAST_STROKE <= stretch.until
        if fits and place not in strokes:
            strokes.append(place)
    return strokes


def _play_keys(
    sheet: Sheet, strokes: Sequence[tuple[Fraction, int | None, int]], chords: Sequence[VoicedChord]
) -> None:
    for (at, chord, harder), (until, *_) in pairwise(strokes):
        if chord is not None:
            for pitch in chords[chord].keys:
                sheet.play(at, until - at, pitch.midi, KEYS_VELOCITY + harder, "keys", ROLE)


def _play_bass(sheet: Sheet, strokes: Sequence[tuple[Fraction, int | None, int, bool]], playing: _Playing) -> None:
    for (at, chord, harder, second), (until, *_) in pairwise(strokes):
        voicing = None if chord is None else playing.chords[chord]
        if voicing is None or voicing.bass is None:
            continue
        midi = voicing.bass.midi
        if second and playing.fifths and playing.bass_feel == "halves":
            midi = _fifth_of(voicing, midi)
        sheet.play(at, until - at, midi, BASS_VELOCITY + harder, "bass", ROLE)


def _fifth_of(voicing: VoicedChord, root: int) -> int:
    """The chord's fifth next to the root, where the register and the keys above it leave it room."""
    if voicing.symbol.bass is not None or (5, 0) not in voicing.symbol.quality.tones:
        return root
    for midi in (root - 5, root + 7):
        crowded = any(midi >= key.midi or muddy(midi, key.midi) for key in voicing.keys)
        if BASS_REGISTER.low <= midi <= BASS_REGISTER.high and not crowded:
            return midi
    return root
