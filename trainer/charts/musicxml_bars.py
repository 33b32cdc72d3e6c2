"""Measures of MusicXML made into whole bars: pickups, measures in two halves, odd lengths, chords on a grid."""

from collections.abc import Sequence
from dataclasses import field
from fractions import Fraction

from trainer.charts.bars import MOST_SLOTS, slot_counts
from trainer.charts.chart import Meter, Pin
from trainer.charts.header import BEAT_UNITS, MOST_BEATS
from trainer.charts.musicxml_measures import Measure
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass


@dataclass(slots=True)
class Bar:
    """One bar in the making; positions are beats of its meter from 0."""

    number: str
    """As printed in the file."""
    meter: Meter
    beats: Fraction
    chords: list[tuple[Fraction, ChordSymbol | None, str]]
    """Where each begins, what it is (None is silence), and its spelling in the file."""
    pins: list[tuple[Fraction, Pin]]
    repeat_start: bool
    repeat_end: int
    ending: tuple[int, ...]
    ending_stops: bool
    double_barline: bool
    final_barline: bool
    rehearsal: str
    copies: int
    signs: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Bars:
    """The bars of a part, where each measure went, and what had to be changed."""

    bars: list[Bar] = field(default_factory=list)
    of_measure: list[int] = field(default_factory=list)
    """The bar of each measure, by its place."""
    pickup: bool = False
    remarks: list[tuple[int, str]] = field(default_factory=list)
    """By the place of the measure."""


def bars_of(measures: Sequence[Measure]) -> Bars:
    """Make bars of measures."""
    made = Bars()
    before: Measure | None = None
    spilled: list[tuple[Fraction, ChordSymbol | None, str]] = []
    for index, measure in enumerate(measures):
        if before is not None and len(made.bars) > made.pickup and _is_second_half(before, measure):
            _join(made.bars[-1], before, measure, made, index)
            made.of_measure.append(len(made.bars) - 1)
            before = None
            continue
        bar = _bar(made, measures, index, spilled)
        spilled = _fit(bar, made, index)
        made.of_measure.append(len(made.bars))
        made.bars.append(bar)
        before = measure
    return made


def _nominal(measure: Measure) -> Fraction:
    return measure.meter.beats * measure.meter.quarters_of_beat


def _is_second_half(before: Measure, measure: Measure) -> bool:
    """Whether two measures are one bar that a sign in its middle parts."""
    both = before.quarters > 0 and measure.quarters > 0 and (before.implicit or measure.implicit)
    return both and before.meter == measure.meter and before.quarters + measure.quarters == _nominal(measure)


def _join(bar: Bar, before: Measure, measure: Measure, made: Bars, index: int) -> None:
    """Put the second half of a bar behind the first."""
    quarters_of_beat = measure.meter.quarters_of_beat
    shift = before.quarters / quarters_of_beat
    bar.meter, bar.beats = measure.meter, Fraction(measure.meter.beats)
    bar.chords += [(at / quarters_of_beat + shift, read.symbol, read.text) for at, read in measure.chords]
    bar.pins += [(at / quarters_of_beat + shift, pin) for at, pin in measure.pins]
    if before.repeat_end or measure.repeat_start or measure.ending:
        made.remarks.append((index, "a repeat sign or an ending within a bar; it is read at the bar's end"))
    bar.repeat_end = bar.repeat_end or measure.repeat_end
    bar.double_barline, bar.final_barline = measure.double_barline, measure.final_barline
    made.remarks = [remark for remark in made.remarks if remark[0] != index - 1 or " it is read as " not in remark[1]]
    _fit(bar, made, index)


def _bar(
    made: Bars, measures: Sequence[Measure], index: int, spilled: list[tuple[Fraction, ChordSymbol | None, str]]
) -> Bar:
    measure = measures[index]
    meter, quarters, nominal = measure.meter, measure.quarters, _nominal(measure)
    beats = Fraction(meter.beats)
    if index == 0 and 0 < quarters < nominal and (measure.implicit or len(measures) > 1):
        made.pickup = True
        beats = quarters / meter.quarters_of_beat
    elif 0 < quarters != nominal and not (made.pickup and quarters + measures[0].quarters == nominal):
        meter = _meter_of(quarters, meter) or meter
        beats = Fraction(meter.beats)
        told = f"it lasts {quarters / measure.meter.quarters_of_beat} beats in {measure.meter}; it is read as {meter}"
        made.remarks.append((index, told))
    quarters_of_beat = meter.quarters_of_beat
    return Bar(
        measure.number, meter, beats,
        [*spilled, *((at / quarters_of_beat, read.symbol, read.text) for at, read in measure.chords)],
        [(at / quarters_of_beat, pin) for at, pin in measure.pins],
        measure.repeat_start, measure.repeat_end, measure.ending, measure.ending_stops,
        measure.double_barline, measure.final_barline, measure.rehearsal, measure.copies,
    )  # fmt: skip


def _meter_of(quarters: Fraction, meter: Meter) -> Meter | None:
    """A meter of just this length, in the unit of the one in force or in a smaller one."""
    for unit in BEAT_UNITS:
        beats = quarters * unit / 4
        if unit >= meter.unit and beats.denominator == 1 and 1 <= beats <= MOST_BEATS:
            return Meter(int(beats), unit)
    return None


def _fit(bar: Bar, made: Bars, index: int) -> list[tuple[Fraction, ChordSymbol | None, str]]:
    """Put the chords of a bar on equal slots, one at a place; returns what belongs to the next bar."""
    inside = [chord for chord in bar.chords if chord[0] < bar.beats]
    spilled = [(at - bar.beats, symbol, text) for at, symbol, text in bar.chords if at >= bar.beats]
    inside.sort(key=lambda chord: chord[0])
    fine = next((count for count in slot_counts(bar.beats) if _on_slots(inside, bar.beats, count)), None)
    if fine is None:
        made.remarks.append((index, "a chord between the parts of the beat; it is read at the nearest one"))
        slot = bar.beats / max(count for count in slot_counts(bar.beats) if count <= MOST_SLOTS // 2)
        last = bar.beats - slot
        inside = [(min(round(at / slot) * slot, last), symbol, text) for at, symbol, text in inside]
    placed: dict[Fraction, tuple[Fraction, ChordSymbol | None, str]] = {}
    for chord in inside:
        if chord[0] in placed and placed[chord[0]][1] != chord[1]:
            made.remarks.append((index, "two chords at one place; the later one in the file is kept"))
        placed[chord[0]] = chord
    bar.chords = list(placed.values())
    return [(Fraction(0), symbol, text) for _, symbol, text in spilled[-1:]]


def _on_slots(chords: list[tuple[Fraction, ChordSymbol | None, str]], beats: Fraction, count: int) -> bool:
    return all((at * count / beats).denominator == 1 for at, _, _ in chords)
