"""Which units are taken for each other more than chance would have it, so that they may be set side by side.

Were a unit's wrong answers spread evenly over the other units, each would get its share; a pair stands out
when so many or more would fall on it less than once in twenty times (one-sided binomial test).
"""

from collections.abc import Iterable, Mapping
from math import comb

LEAST_TRIALS = 6
"""Trials of a unit before its confusions mean anything."""
LEAST_TIMES = 2
"""How often a unit must have been taken for another at least."""
BY_LUCK_BELOW = 0.05
"""Chance of so many by luck under which a pair counts."""


def persistent(
    confusions: Iterable[tuple[str, str, int]], trials: Mapping[str, int], others: int
) -> tuple[tuple[str, str], ...]:
    """Pairs of a unit and what it is taken for that stand out, the least likely by luck first.

    confusions: unit, the unit it was taken for, how often (Store.confusions).
    trials: by unit, how many trials those come from.
    others: how many other units it could be taken for.
    """
    counted = tuple(confusions)
    wrong: dict[str, int] = {}
    for unit, _, times in counted:
        wrong[unit] = wrong.get(unit, 0) + times
    found = []
    for unit, other, times in counted:
        if trials.get(unit, 0) < LEAST_TRIALS or times < LEAST_TIMES or others < 2:
            continue
        luck = at_least(times, wrong[unit], 1.0 / others)
        if luck < BY_LUCK_BELOW:
            found.append((luck, unit, other))
    return tuple((unit, other) for _, unit, other in sorted(found))


def at_least(times: int, of: int, chance: float) -> float:
    """Chance of at least so many hits in so many tries (upper tail of the binomial distribution)."""
    return sum(comb(of, n) * chance**n * (1.0 - chance) ** (of - n) for n in range(times, of + 1))
