"""Whether answers get worse within a session: against what the model expected of each, not against each other.

A later half that happens to be harder is no tiredness; so what counts is how far each answer fell short of its own
modelled chance. The two halves are compared by a one-sided test for a difference of means (the normal
approximation with each answer's own variance, any textbook of statistics). It is told once, and the player decides.
"""

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

LEAST_ANSWERS = 12
"""Answers before tiredness can be told from chance."""
LEAST_DROP = 0.15
"""Share of answers by which the later half must have fallen short of what was expected, beyond the earlier."""
SURE = 1.645
"""Standard errors by which it must stand out: once in twenty sessions by luck."""


class Expected(NamedTuple):
    """One answer of a session, in order."""

    chance: float
    """What the model gave it beforehand, guessing included."""
    credit: float
    """What it came to."""


def fall(answers: Sequence[Expected]) -> float:
    """By how much more the later half fell short of what was expected than the earlier; 0 for too few answers."""
    half = len(answers) // 2
    if not half:
        return 0.0
    early, late = answers[:half], answers[half:]
    return _short(late) / len(late) - _short(early) / len(early)


def tired(answers: Sequence[Expected]) -> bool:
    """Whether accuracy falls in a way that is worth telling."""
    if len(answers) < LEAST_ANSWERS:
        return False
    half = len(answers) // 2
    spread = sum(
        sum(one.chance * (1.0 - one.chance) for one in part) / len(part) ** 2
        for part in (answers[:half], answers[half:])
    )
    return fall(answers) >= max(LEAST_DROP, SURE * sqrt(spread))


def _short(answers: Sequence[Expected]) -> float:
    return sum(one.chance - one.credit for one in answers)
