"""The marks of a clockwork metronome, by which tempi are stepped: fine where it is slow, coarse where it is fast.

Twos from 40, threes from 60, fours from 72, sixes from 120, eights from 144 to 208 (common practice, no
source: the scale that such metronomes carry); the first and the last step go on to the slowest and the
fastest tempo that tunes are played at.
"""

from itertools import chain

SLOWEST, FASTEST = 20, 400
"""Beats a minute."""

MARKS: tuple[int, ...] = tuple(
    chain(range(SLOWEST, 60, 2), range(60, 72, 3), range(72, 120, 4), range(120, 144, 6), range(144, FASTEST + 1, 8))
)


def slower(tempo: float) -> float:
    """The next mark below a tempo; the slowest stays."""
    return float(max((mark for mark in MARKS if mark < tempo), default=SLOWEST))


def faster(tempo: float) -> float:
    """The next mark above a tempo; the fastest stays."""
    return float(min((mark for mark in MARKS if mark > tempo), default=FASTEST))
