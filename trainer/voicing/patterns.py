"""Rhythm: where in a bar the count, the chords and the bass are struck, and how hard.

Places are exact quarter notes from the start of the bar, before swing. What is here is common
practice, no source: bars fall into groups of beats, the Charleston strikes on one and on the
"and" of two, a swung pair of eighths divides the quarter long to short.
"""

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Literal

from trainer.charts.chart import Meter

Comping = Literal["charleston", "quarters", "pushes", "held", "bossa", "waltz"]
"""Chords on one and the "and" of two; short on every beat; an eighth ahead of their beat and tied over it; once and
held; in two bars on 1, the "and" of 2, 4 and on 2, the "and" of 3; short on the beats that the bass leaves free
(2 and 3 in 3/4; in other meters every beat but the first of each group)."""

BassFeel = Literal["halves", "quarters", "held", "walking", "bossa"]
"""Bass at the start of each group of beats, on every beat, once and held, as a line of quarters, or as root and
fifth in dotted pairs."""

TimeKeeping = Literal["brush", "click"]
"""Who keeps time under a chart: brushes, or a click on every beat."""

GROUPS: Mapping[tuple[int, int], tuple[int, ...]] = MappingProxyType(
    {
        (2, 4): (2,),
        (3, 4): (3,),
        (4, 4): (2, 2),
        (5, 4): (3, 2),
        (7, 4): (4, 3),
        (2, 2): (1, 1),
        (3, 2): (1, 1, 1),
        (5, 8): (3, 2),
        (7, 8): (2, 2, 3),
    }
)
"""How the beats of a meter are grouped; compound meters by threes, others not named here by twos."""

_QUARTER = Fraction(1)
EIGHTH = Fraction(1, 2)
_AND_OF_TWO = Fraction(3, 2)

TWO_BARS = ((Fraction(0), _AND_OF_TWO, Fraction(3)), (Fraction(1), Fraction(5, 2)))
"""The bossa's two bars, in 4/4: three strokes and two."""

DOWNBEAT, GROUP_START, ON_BEAT, OFF_BEAT = 8, 4, 0, -4
"""MIDI velocity above the part's own."""


def quarters_of(meter: Meter) -> Fraction:
    """The length of a full bar in quarter notes."""
    return Fraction(4 * meter.beats, meter.unit)


def quarter_tempo(tempo: Fraction | float, meter: Meter) -> Fraction:
    """Quarter notes a minute of a tempo that counts dotted quarters in compound meters."""
    exact = Fraction(tempo).limit_denominator(10**6)
    return exact * Fraction(3, 2) if meter.compound else exact


@lru_cache(maxsize=64)
def pulses(meter: Meter) -> tuple[Fraction, ...]:
    """The beats that are counted: dotted ones in compound meters."""
    step = 3 if meter.compound else 1
    return tuple(Fraction(4 * beat, meter.unit) for beat in range(0, meter.beats, step))


@lru_cache(maxsize=64)
def group_starts(meter: Meter) -> tuple[Fraction, ...]:
    """Where the groups of beats begin."""
    groups = GROUPS.get((meter.beats, meter.unit))
    if groups is None:
        size = 3 if meter.compound else 2
        groups = (size,) * max(1, meter.beats // size)
    starts = (sum(groups[:index]) for index in range(len(groups)))
    return tuple(Fraction(4 * start, meter.unit) for start in starts)


@lru_cache(maxsize=128)
def comping_places(meter: Meter, comping: Comping, number: int = 0) -> tuple[Fraction, ...]:
    """Where chords are struck besides their own start, in the bar with that number from 0.

    Pushes are given where their beat is. The bossa in other meters than 4/4 has its first bar in each.
    """
    if comping == "held":
        return ()
    if comping == "quarters":
        return pulses(meter)
    if comping == "waltz":
        beats = (Fraction(4 * beat, meter.unit) for beat in range(meter.beats))
        return tuple(beat for beat in beats if beat not in group_starts(meter))
    if comping == "pushes" or meter.unit == 8:
        return group_starts(meter)
    if comping == "bossa":
        bar = TWO_BARS[number % 2] if quarters_of(meter) == 4 else TWO_BARS[0]
        return tuple(place for place in bar if place < quarters_of(meter))
    later = tuple(start for start in group_starts(meter) if start > 2)
    return (Fraction(0), _AND_OF_TWO, *later) if quarters_of(meter) >= 3 else (Fraction(0),)


def stroke_quarters(comping: Comping, place: Fraction, meter: Meter) -> Fraction | None:
    """How long a stroke sounds at most, so that the pattern breathes; None is until the next stroke or chord."""
    if comping == "held" or meter.unit == 8:
        return None
    if comping in ("quarters", "waltz"):
        return Fraction(3, 4)
    if comping == "pushes":
        return Fraction(3, 2)
    if comping == "bossa":
        return _QUARTER
    return None if place in group_starts(meter) else _AND_OF_TWO


@lru_cache(maxsize=64)
def bass_places(meter: Meter, feel: BassFeel) -> tuple[Fraction, ...]:
    """Where the bass is struck besides a chord's own start."""
    if feel == "held":
        return ()
    if feel == "bossa":
        ends = (*group_starts(meter)[1:], quarters_of(meter))
        dotted = (start + _AND_OF_TWO for start, end in zip(group_starts(meter), ends, strict=True) if end - start >= 2)
        return tuple(sorted({*group_starts(meter), *dotted}))
    return pulses(meter) if feel in ("quarters", "walking") else group_starts(meter)


@lru_cache(maxsize=1024)
def accent(at: Fraction, meter: Meter) -> int:
    """How much harder a place is struck."""
    if at == 0:
        return DOWNBEAT
    if at in group_starts(meter):
        return GROUP_START
    return ON_BEAT if at in pulses(meter) else OFF_BEAT


@lru_cache(maxsize=4096)
def swung(at: Fraction, swing: Fraction, meter: Meter) -> Fraction:
    """Where a place of the bar is played: each quarter's first half takes `swing` parts of `swing` + 1.

    Meters counted in eighths stay straight.
    """
    if swing == 1 or meter.unit > 4:
        return at
    beat, within = divmod(at, _QUARTER)
    turn = swing / (swing + 1)
    if within <= EIGHTH:
        return beat + within * 2 * turn
    return beat + turn + (within - EIGHTH) * 2 * (1 - turn)


def bar_meter(quarters: Fraction, meter: Meter) -> tuple[int, int]:
    """Beats and unit of a bar for a MIDI file: the meter's own, or what an incomplete bar amounts to."""
    if quarters == quarters_of(meter):
        return (meter.beats, meter.unit)
    unit = meter.unit
    while (quarters * unit / 4).denominator != 1 and unit < 64:
        unit *= 2
    return (max(1, int(quarters * unit / 4)), unit)
