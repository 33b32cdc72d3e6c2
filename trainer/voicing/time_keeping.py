"""Time under a chart: brushes or a click. Places are common practice, no source.

Brushes in four swing: a sweep over each half of the bar, taps on the beats and on the swung eighth
before 3 and 1, slaps on 2 and 4; the waltz has its slap on 2; the bossa has straight eighths with the
slaps of its two bars. Other meters tap the beats and slap the second beat of each group.
"""

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from trainer.charts.chart import Meter
from trainer.voicing.layout import Layout
from trainer.voicing.patterns import EIGHTH, TWO_BARS, TimeKeeping, group_starts, pulses, quarters_of
from trainer.voicing.sheet import Sheet

CLICK_ONE, CLICK_OTHER = 76, 77
"""High and low wood block (General MIDI percussion keys)."""
CLICK_VELOCITY = 84
CLICK_QUARTERS = Fraction(1, 4)

TAP, SLAP, SWIRL = 38, 39, 40
"""Brush tap, slap and swirl, where the brush set of General MIDI Level 2 has them (from memory)."""
TAP_VELOCITY, SOFT_VELOCITY, SLAP_VELOCITY, SWIRL_VELOCITY = 54, 40, 66, 46
_TAP_QUARTERS = Fraction(1, 4)


class Hit(NamedTuple):
    """One stroke of a brush; place and length in quarters, before swing."""

    place: Fraction
    quarters: Fraction
    midi: int
    velocity: int


def keep_time(sheet: Sheet, layout: Layout, by: TimeKeeping, bossa: bool, role: str) -> None:
    """Put brushes or a click under every bar."""
    for row in layout.rows:
        meter = row.bar.meter
        missing = quarters_of(meter) - row.bar.quarters
        if by == "click":
            for place in pulses(meter):
                if place < row.bar.quarters:
                    click = CLICK_OTHER if place + missing else CLICK_ONE
                    sheet.play(row.when(place), CLICK_QUARTERS, click, CLICK_VELOCITY - 12, "click", role)
            continue
        for hit in brush_hits(meter, bossa, row.number % 2):
            if hit.place >= missing:
                at = row.when(hit.place - missing)
                until = row.when(min(hit.place + hit.quarters - missing, row.bar.quarters))
                sheet.play(at, until - at, hit.midi, hit.velocity, "brush", role)


@lru_cache(maxsize=128)
def brush_hits(meter: Meter, bossa: bool, number: int) -> tuple[Hit, ...]:
    """What the brushes play in a whole bar, an even or an odd one: 0 or 1."""
    quarters = quarters_of(meter)
    if bossa:
        slaps = TWO_BARS[number]
        eighths = (place * EIGHTH for place in range(int(quarters / EIGHTH)))
        return tuple(_tap(place, place in slaps, soft=place not in pulses(meter)) for place in eighths)
    sweeps = [Hit(start, end - start, SWIRL, SWIRL_VELOCITY) for start, end in _groups(meter)]
    seconds = {_second(meter, start, end) for start, end in _groups(meter)}
    taps = [_tap(place, place in seconds, soft=False) for place in pulses(meter)]
    return tuple(sorted(sweeps + taps + [_tap(place, False, soft=True) for place in _skips(meter)]))


def _tap(place: Fraction, slap: bool, soft: bool) -> Hit:
    velocity = SLAP_VELOCITY if slap else SOFT_VELOCITY if soft else TAP_VELOCITY
    return Hit(place, _TAP_QUARTERS, SLAP if slap else TAP, velocity)


def _groups(meter: Meter) -> Iterable[tuple[Fraction, Fraction]]:
    starts = group_starts(meter)
    return zip(starts, (*starts[1:], quarters_of(meter)), strict=True)


def _second(meter: Meter, start: Fraction, end: Fraction) -> Fraction | None:
    """The second beat of a group, where it has one that is counted."""
    return next((pulse for pulse in pulses(meter) if start < pulse < end), None)


def _skips(meter: Meter) -> list[Fraction]:
    """The eighth before each group of two or three quarters is over: before 3 and 1 in four, before 3 in three."""
    if meter.unit != 4:
        return []
    if meter.beats == 3:
        return [Fraction(3, 2)]
    return [end - EIGHTH for start, end in _groups(meter) if end - start >= 2]
