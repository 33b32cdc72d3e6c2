"""Which units are taken for each other more than chance would have it, so that they may be set side by side.

Were a unit's wrong answers spread evenly over the other units, each would get its share; a pair stands out
when so many or more would fall on it less than once in twenty times (one-sided binomial test).
"""

from collections.abc import Iterable, Iterator, Mapping
from math import exp, lgamma, log, log1p

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
    if times <= 0:
        return 1.0
    if times > of:
        return 0.0
    if times <= of * chance:  # the shorter tail is summed, outward, so that no term is lost by being too small
        return 1.0 - sum(_tail(times - 1, of, chance, down=True))
    return sum(_tail(times, of, chance, down=False))


def _tail(hits: int, of: int, chance: float, *, down: bool) -> Iterator[float]:
    """The chances of so many hits, of one fewer and so on (or one more), as long as they still count."""
    if chance >= 1.0:
        yield 1.0 if hits == of else 0.0
        return
    odds = chance / (1.0 - chance)
    ways = lgamma(of + 1) - lgamma(hits + 1) - lgamma(of - hits + 1)
    one = exp(ways + hits * log(chance) + (of - hits) * log1p(-chance))
    so_far = 0.0
    while 0 <= hits <= of and one > 1e-17 * so_far:
        yield one
        so_far += one
        if down:
            one *= hits / ((of - hits + 1) * odds)
            hits -= 1
        else:
            one *= (of - hits) * odds / (hits + 1)
            hits += 1
