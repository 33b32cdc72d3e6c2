"""How long answers took, kept as counts in steps so that a middle time can be told of any part of the log.

What is counted is the time from the end of the sound to the answer, below zero where it came before the end: so
a slow question and a quick one can be compared. Steps are half a second wide where most answers fall, a second
further on, five seconds up to a minute; what lies outside stands in the first and the last step. A middle time is
interpolated within its step, so it is off by half a step at most.
"""

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate
from sys import byteorder

BOUNDS_S: tuple[float, ...] = (
    *(n / 2 for n in range(-8, 24)), *(float(n) for n in range(12, 30)), *(float(n) for n in range(30, 61, 5)),
)  # fmt: skip
"""Where each step but the first begins, in seconds after the sound's end."""
STEPS = len(BOUNDS_S) + 1


def step_of(after_s: float) -> int:
    """The step that a time after the sound's end is counted in."""
    return bisect_right(BOUNDS_S, after_s)


def packed(counts: Sequence[int]) -> bytes:
    """Counts as they are stored: four bytes each, little end first."""
    numbers = array("I", counts)
    if byteorder == "big":
        numbers.byteswap()
    return numbers.tobytes()


def unpacked(stored: bytes) -> "array[int]":
    """The counts of `packed`."""
    numbers = array("I")
    numbers.frombytes(stored)
    if byteorder == "big":
        numbers.byteswap()
    return numbers


def added(many: Iterable[bytes]) -> list[int]:
    """The sum of stored counts, step by step."""
    total = [0] * STEPS
    for stored in many:
        total = [one + other for one, other in zip(total, unpacked(stored), strict=True)]
    return total


def middle_s(counts: Sequence[int]) -> float | None:
    """The middle time in seconds after the sound's end, or the mean of the two in the middle; None without any.

    What was counted in the first or the last step stands at its only bound: so early or earlier, so late or later.
    """
    sums = list(accumulate(counts))
    if not sums or not sums[-1]:
        return None
    lower, upper = (sums[-1] + 1) // 2, sums[-1] // 2 + 1
    first = _time_s(counts, sums, lower)
    return first if lower == upper else (first + _time_s(counts, sums, upper)) / 2


def _time_s(counts: Sequence[int], sums: Sequence[int], place: int) -> float:
    """The time of the answer at a place from 1, the answers of a step spread evenly over it."""
    step = bisect_left(sums, place)
    if step == 0:
        return BOUNDS_S[0]
    if step == STEPS - 1:
        return BOUNDS_S[-1]
    low, high = BOUNDS_S[step - 1], BOUNDS_S[step]
    return low + (high - low) * (place - 0.5 - sums[step - 1]) / counts[step]
