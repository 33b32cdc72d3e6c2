"""A tune performed: its chart as a comping track, its route of key centers, its guide tones, its bass.

Chords are struck where the comping pattern falls, and ring until the next stroke or silence, or as long
as the pattern lets them; a chord held over a barline is struck again only where the pattern says so. A
pickup is played before the first chorus alone, and the count-in makes its bar whole. Marks and the
times of chords stand where the chart has them, also where a push comes an eighth ahead.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Literal, TypeVar

from trainer.charts.timeline import PlayedBar, Timeline
from trainer.harmony.interval import Interval
from trainer.reading.values import Analysis
from trainer.records import dataclass
from trainer.voicing.bass import BassSlot, bass_line, bass_slots
from trainer.voicing.comping import KeyStroke, key_strokes
from trainer.voicing.layout import Layout, Stretch, lay_out
from trainer.voicing.leading import VoicedChord, spelled, voice
from trainer.voicing.material import Material, Move, RouteAs, is_pickup, key_mover, material_of, route_of
from trainer.voicing.patterns import (
    BassFeel,
    Comping,
    TimeKeeping,
    accent,
    bar_meter,
    pulses,
    quarter_tempo,
    quarters_of,
)
from trainer.voicing.sheet import BASS_VELOCITY, KEYS_VELOCITY, Performance, Sheet
from trainer.voicing.styles import Style
from trainer.voicing.time_keeping import CLICK_ONE, CLICK_OTHER, CLICK_QUARTERS, CLICK_VELOCITY, keep_time

C = TypeVar("C")

What = Literal["chart", "route", "guide-tones", "bass"]
"""What of a tune is played."""

SHORTEST_COUNT_S = Fraction(6, 5)
"""A count-in that would be shorter than this has two bars."""
ROLE = "tune"
"""What the notes of a tune are there for, where nothing else is said."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How bars are played."""

    style: Style = "rootless"
    with_bass: bool = True
    comping: Comping = "charleston"
    bass_feel: BassFeel = "halves"
    fifths: bool = True
    """The bass goes to the fifth in a chord's second stroke of a bar."""
    time: TimeKeeping | None = None
    keys: bool = True
    """False: the bass sounds alone."""
    role: str = ROLE


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
    time: TimeKeeping | None = None,
    swing: Fraction | None = None,
    choruses: int = 1,
    rise: int = 0,
    bars: tuple[int, int] | None = None,
    transpose: Move = None,
    route_as: RouteAs = "cadence",
    route_share: Fraction = Fraction(1, 2),
    functions: Sequence[str] = (),
    seed: int | None = None,
    role: str = ROLE,
) -> Performance:
    """Play a tune, or the bars from one played bar to another, both included.

    `tempo` counts as the chart does, `swing` is long to short; None is the chart's own. The analysis
    gives the key centers' markers, the tensions and the route; a route without it, bars that the
    tune doesn't have, or no chorus at all raise ValueError. `transpose` is an interval, spelled as it says,
    or half steps, each key by its most readable name. `rise` is how many half steps each chorus lies
    above the one before, by pitch class: voices stay where they are, and keys take their most readable
    names. `route_share` is the route's length as a share of the tune's, rounded to whole bars for each
    center. `functions`, one text for each span of the timeline, are marked where their chords begin; a
    route has none. `time` keeps time under it. With a seed it is played a little unevenly, as people do.
    """
    if choruses < 1:
        raise ValueError(f"a tune is played at least once, not {choruses} times")
    if what == "route" and analysis is None:
        raise ValueError("a route needs the analysis of its tune")
    played: list[Material] = []
    for chorus in range(choruses):
        if chorus and rise * chorus % 12 == 0:
            played.append(played[0])
            continue
        by = (transpose.semitones if isinstance(transpose, Interval) else transpose or 0) + rise * chorus
        move = by % 12 if chorus else transpose
        material = material_of(timeline, analysis, bars, move)
        if what == "route" and analysis is not None:
            material = route_of(material, analysis, key_mover(timeline, move), route_as, route_share)
        played.append(material)
    manner = Manner(
        "guide-tones" if what == "guide-tones" else style,
        what == "bass" or (with_bass and what != "guide-tones"),
        "held" if what == "guide-tones" else comping,
        bass_feel,
        fifths=what == "chart",
        time=time,
        keys=what != "bass",
        role=role,
    )
    qpm = quarter_tempo(timeline.tempo if tempo is None else tempo, timeline.bars[0].meter)
    swung = timeline.swing if swing is None else Fraction(swing)
    marked = () if what == "route" else functions
    return perform_material(played, manner, qpm, swung, count_in, timeline.title, marked, seed)


def perform_material(
    choruses: Sequence[Material],
    manner: Manner,
    qpm: Fraction,
    swing: Fraction,
    count_in: bool,
    title: str,
    functions: Sequence[str] = (),
    seed: int | None = None,
) -> Performance:
    """Play choruses one after the other at so many quarters a minute."""
    sheet = Sheet()
    sheet.tempos.append((Fraction(0), qpm))
    start = _count_in(sheet, choruses[0].bars, qpm) if count_in and choruses[0].bars else Fraction(0)
    sheet.mark(start, "role", manner.role)
    layout = lay_out(choruses, start, swing)
    chords = voice(layout.symbols, manner.style, manner.with_bass, layout.aims)
    if not manner.keys:
        chords = tuple(replace(chord, keys=(), stack=()) for chord in chords)
    if manner.with_bass:
        chords = _play_bass(sheet, layout, chords, manner)
    _play_keys(sheet, layout, chords, manner)
    if manner.time is not None:
        keep_time(sheet, layout, manner.time, "bossa" in (manner.comping, manner.bass_feel), manner.role)
    _mark(sheet, layout, choruses, chords, functions, manner.role)
    if not sheet.meters:
        sheet.meter(Fraction(0), (4, 4))
    return sheet.finished(layout.until, choruses[0].key, title, seed, laid_back=swing > 1)


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
                sheet.play(at, CLICK_QUARTERS, click, CLICK_VELOCITY + harder, "click", "count-in")
    return length


def _play_keys(sheet: Sheet, layout: Layout, chords: Sequence[VoicedChord], manner: Manner) -> None:
    strokes = key_strokes(layout, manner.comping, manner.with_bass)
    end = KeyStroke(layout.until, None, 0, None)
    for stroke, after in pairwise([*strokes, end]):
        if stroke.chord is not None:
            quarters = after.when - stroke.when
            if stroke.longest is not None:
                quarters = min(quarters, stroke.longest)
            for pitch in chords[stroke.chord].keys:
                sheet.play(stroke.when, quarters, pitch.midi, KEYS_VELOCITY + stroke.harder, "keys", manner.role)


def _play_bass(
    sheet: Sheet, layout: Layout, chords: tuple[VoicedChord, ...], manner: Manner
) -> tuple[VoicedChord, ...]:
    """Play the bass line; says how the chords are voiced with the basses that they begin with."""
    slots = bass_slots(layout, manner.bass_feel, chords, manner.fifths)
    line = bass_line(slots, chords, layout.aims)
    end = BassSlot(layout.until, None, 0, "rest")
    begun = list(chords)
    for midi, (slot, after) in zip(line, pairwise([*slots, end]), strict=True):
        if midi is None or slot.chord is None:
            continue
        sheet.play(slot.when, after.when - slot.when, midi, BASS_VELOCITY + slot.harder, "bass", manner.role)
        if begun[slot.chord] is chords[slot.chord]:
            name = chords[slot.chord].symbol.bass_name
            begun[slot.chord] = replace(chords[slot.chord], bass=spelled(name, midi))
    return tuple(begun)


def _mark(
    sheet: Sheet,
    layout: Layout,
    choruses: Sequence[Material],
    chords: Sequence[VoicedChord],
    functions: Sequence[str],
    role: str,
) -> None:
    """Mark meters, sections, key centers, functions and chords where they begin; each chorus says what is in force."""
    named: list[tuple[Fraction, int | None]] = []
    chorus = -1
    for row in layout.rows:
        material, first = choruses[row.chorus], row.chorus != chorus
        if first and chorus >= 0 and material.key != choruses[chorus].key:
            sheet.key(row.at, material.key)
        chorus = row.chorus
        if not (is_pickup(row.bar) and sheet.meters):
            sheet.meter(row.at, bar_meter(row.bar.quarters, row.bar.meter))
        sheet.bar(row.bar.number, row.chorus, row.at, row.bar.quarters, row.bar.meter.unit, role)
        section = _begins(material.sections, row.bar.number, first)
        if section is not None:
            sheet.mark(row.at, "section", section)
        for stretch in row.stretches:
            begins = row.when(stretch.at)
            center = _begins(material.centers, stretch.span, first)
            if center is not None:
                sheet.mark(begins, "center", center.name)
            function = _function(material, stretch, functions, first)
            if function:
                sheet.mark(begins, "function", function)
            if stretch.struck or first:
                named.append((begins, stretch.chord))
            first = False
    for (begins, chord), (ends, _) in pairwise([*named, (layout.until, None)]):
        if chord is not None:
            sheet.name(chords[chord].symbol, begins, ends, role, chords[chord])


def _begins(starts: Mapping[int, C], place: int, first: bool) -> C | None:
    """What begins at a place; at the first one played, what is in force there."""
    if first:
        return next((starts[start] for start in sorted(starts, reverse=True) if start <= place), None)
    return starts.get(place)


def _function(material: Material, stretch: Stretch, functions: Sequence[str], opening: bool) -> str:
    """What is marked as the function where a stretch begins; a chord held on says its own again only if it changes."""
    if not functions:
        return ""
    here = functions[material.spans[stretch.span].index]
    held = not stretch.struck and not opening
    return "" if held and here == functions[material.spans[stretch.span - 1].index] else here
