"""How long a bar's chords are in MusicXML: divisions of the quarter, and rests that a reader can draw."""

from collections.abc import Iterator
from fractions import Fraction
from math import lcm

from trainer.charts.chart import WrittenBar, WrittenChord
from trainer.records import dataclass

MOST_DIVISIONS = 16383
"""Beyond this some programs lose count; a bar then gets divisions of its own."""

_TYPES = {
    Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter", Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th", Fraction(1, 8): "32nd",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rest:
    """One rest; a length that no note value has goes without a type."""

    quarters: Fraction
    type: str = ""
    dotted: bool = False
    triplet: bool = False
    whole_bar: bool = False


def divisions_for(bar: WrittenBar, before: int) -> int:
    """Divisions of the quarter in which all lengths of a bar are whole, those in force if they will do."""
    lengths = [rest.quarters for chord in bar.chords for rest in rests(bar, chord)]
    needed = lcm(*(length.denominator for length in lengths))
    if before and before % needed == 0:
        return before
    both = lcm(before or 1, needed)
    return both if both <= MOST_DIVISIONS else needed


def rests(bar: WrittenBar, chord: WrittenChord) -> Iterator[Rest]:
    """Fill a chord's time: a rest for the whole bar, or one for each beat that it takes up."""
    quarters_of_beat = bar.meter.quarters_of_beat
    if chord.beats == bar.beats:
        yield Rest(bar.beats * quarters_of_beat, whole_bar=True)
        return
    pulse = 3 if bar.meter.compound else 1
    at, until = chord.at, chord.at + chord.beats
    while at < until:
        after = min(Fraction((at // pulse + 1) * pulse), until)
        yield _rest((after - at) * quarters_of_beat)
        at = after


def _rest(quarters: Fraction) -> Rest:
    if quarters in _TYPES:
        return Rest(quarters, _TYPES[quarters])
    if quarters / 3 * 2 in _TYPES:
        return Rest(quarters, _TYPES[quarters / 3 * 2], dotted=True)
    if quarters * 3 / 2 in _TYPES:
        return Rest(quarters, _TYPES[quarters * 3 / 2], triplet=True)
    return Rest(quarters)
