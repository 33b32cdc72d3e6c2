"""What so many answers say: the share heard above guessing, and how sure that is.

Guessing is taken out as in a correction for chance: of what guessing leaves to be heard, so much was heard. The
bounds are the score interval of E. B. Wilson, "Probable inference, the law of succession, and statistical
inference", Journal of the American Statistical Association 22, 1927, which holds for few answers too. Partial
credit goes in as a fraction of an answer; that spreads less than right and wrong do, so bounds are rather wide.
"""

from math import sqrt
from typing import NamedTuple

FEW = 6
"""Fewer answers than so many tell next to nothing."""
Z = 1.959964
"""Nineteen times in twenty the truth lies within (97.5th percentile of the normal curve)."""


class Share(NamedTuple):
    """A share heard, with its bounds; 0 as good as guessing, 1 all of it, below 0 worse than guessing."""

    heard: float
    low: float
    high: float


def heard_share(answers: int, credit: float, guess: float) -> Share | None:
    """The share above guessing of some answers; None where there are none.

    credit, guess: summed over the answers: what they earned, and what guessing would have.
    """
    if answers <= 0:
        return None
    low, high = wilson(credit / answers, answers)
    by_guessing = guess / answers
    left = 1.0 - by_guessing
    return Share((credit / answers - by_guessing) / left, (low - by_guessing) / left, (high - by_guessing) / left)


def wilson(share: float, of: int, z: float = Z) -> tuple[float, float]:
    """Bounds of a share of so many, at least one."""
    share = min(1.0, max(0.0, share))
    spread_of = z * z / of
    middle = (share + spread_of / 2) / (1 + spread_of)
    spread = sqrt(spread_of * (share * (1 - share) + spread_of / 4)) / (1 + spread_of)
    return max(0.0, middle - spread), min(1.0, middle + spread)
