"""The bars of a MIDI file: its meters laid out from the first sound to the last, with a pickup by silence.

A file has no barlines; they follow from the meters. Whole bars before the first sound are left out.
Where music begins in the second half of a bar it is a pickup, and so is a first bar in a shorter meter
of its own. Positions are exact quarter notes from the start of the file.
"""

from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from fractions import Fraction

from trainer.charts.body import COMMON_METER
from trainer.charts.chart import Meter
from trainer.charts.header import BEAT_UNITS, MOST_BEATS
from trainer.charts.midi_file import MidiTune
from trainer.charts.order import MAX_PLAYED_BARS
from trainer.records import dataclass

EARLY = Fraction(1, 6)
"""How much of a step a note may come before it and still be meant for it."""


class TooLongError(Exception):
    """More bars than a tune has."""


@dataclass(frozen=True, slots=True)
class Step:
    """A beat of a bar, as chords change on it: a dotted one in compound meters, never more than a quarter otherwise."""

    start: Fraction
    quarters: Fraction
    bar: int
    """An index into the bars."""
    place: int
    """From 0 in its bar."""


@dataclass(frozen=True, slots=True)
class GridBar:
    """One bar; `beats` are fewer than the meter's in a pickup."""

    start: Fraction
    meter: Meter
    beats: Fraction

    @property
    def quarters(self) -> Fraction:
        """Its length."""
        return self.beats * self.meter.quarters_of_beat


@dataclass(slots=True)
class Grid:
    """The bars of a file, and what had to be changed in them."""

    bars: list[GridBar] = field(default_factory=list)
    pickup: bool = False
    remarks: list[str] = field(default_factory=list)

    def steps(self) -> list[Step]:
        """All steps in order."""
        made = []
        for index, bar in enumerate(self.bars):
            length = step_of(bar.meter)
            count = -(-bar.quarters // length)
            for place in range(count):
                start = bar.start + place * length
                made.append(Step(start, min(length, bar.start + bar.quarters - start), index, place))
        return made


def step_of(meter: Meter) -> Fraction:
    """How far apart chords may change, in quarter notes."""
    step = meter.quarters_of_beat * (3 if meter.compound else 1)
    while not meter.compound and step > 1:
        step /= 2
    return step


def grid_of(tune: MidiTune) -> Grid:
    """Lay the bars of a tune out. Raises TooLongError; the tune has at least one note."""
    grid = Grid()
    first, end = tune.notes[0].start, max(note.until for note in tune.notes)
    changes = list(_changes(tune.meters, grid.remarks))
    for bar in _bars(changes, end, grid.remarks):
        if len(grid.bars) == MAX_PLAYED_BARS:
            raise TooLongError
        early = step_of(bar.meter) * EARLY
        if grid.bars or bar.start + bar.quarters - early > first:
            grid.bars.append(bar)
        elif not grid.bars and bar.start == 0:
            grid.remarks.append("silence before the first bar is left out")
    _find_pickup(grid, first)
    return grid


def _changes(meters: Sequence[tuple[Fraction, int, int]], remarks: list[str]) -> Iterator[tuple[Fraction, Meter]]:
    """The meters that a chart may have, where they begin."""
    for at, beats, unit in meters:
        if 1 <= beats <= MOST_BEATS and unit in BEAT_UNITS:
            yield at, Meter(beats, unit)
        else:
            told = f"{beats}/{unit}" if unit < 1000 else f"{beats} beats"
            remarks.append(f"a meter of {told}; the one before it goes on")


def _bars(changes: Sequence[tuple[Fraction, Meter]], end: Fraction, remarks: list[str]) -> Iterator[GridBar]:
    at, meter, place = Fraction(0), COMMON_METER, 0
    number = 1
    while at < end or number == 1:
        while place < len(changes) and changes[place][0] <= at:
            meter = changes[place][1]
            place += 1
        bar = GridBar(at, meter, Fraction(meter.beats))
        until = at + bar.quarters
        if place < len(changes) and changes[place][0] < until:
            beats = (changes[place][0] - at) / meter.quarters_of_beat
            if beats.denominator == 1:
                bar = GridBar(at, Meter(int(beats), meter.unit), beats)
                until = at + bar.quarters
                if number > 1:
                    remarks.append(f"a meter changes within a bar of {meter}; the bar is read as {bar.meter}")
            else:
                remarks.append(f"a meter changes within a beat of {meter}; it is read from the next bar on")
        yield bar
        at = until
        number += 1


def _find_pickup(grid: Grid, first: Fraction) -> None:
    """See whether the first bar is a pickup, and cut what is silent in it."""
    bar = grid.bars[0]
    after = grid.bars[1] if len(grid.bars) > 1 else None
    if after is not None and bar.meter.unit == after.meter.unit and bar.meter.beats < after.meter.beats:
        alone = len(grid.bars) == 2 or grid.bars[2].meter == after.meter
        if alone:
            bar = replace(bar, meter=after.meter)
            grid.pickup = True
    step = step_of(bar.meter)
    silent = (first - bar.start + step * EARLY) // step * step
    if silent * 2 >= bar.quarters or (grid.pickup and silent > 0):
        bar = GridBar(bar.start + silent, bar.meter, bar.beats - silent / bar.meter.quarters_of_beat)
        grid.pickup = True
    grid.bars[0] = bar
