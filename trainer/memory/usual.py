"""How a unit goes in one key, voicing or tempo beside how it goes elsewhere, on the same rungs and in the same drills.

Easy keys are asked on the first rung too, so shares alone would flatter them. What is expected of some answers is
what the unit's answers earn on average in the same kinds of drill on the same rungs (indirect standardization, as
in B. Hill, "Principles of Medical Statistics", The Lancet, 1937).
"""

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple


class Tallied(NamedTuple):
    """A unit's answers in one kind of drill, on one rung and in one key, voicing or tempo."""

    kind: str
    rung: int
    value: str
    trials: int
    credit: float


def beside_usual(tallies: Iterable[Tallied], named: Callable[[str], str] = str) -> Mapping[str, float]:
    """By value, the mean credit of its answers less what is usual: 0.1 is ten of a hundred more than elsewhere.

    tallies: one unit's by one facet. named: the value that a tally is counted under.
    """
    rows = tuple(tallies)
    usual: dict[tuple[str, int], list[float]] = {}
    for row in rows:
        sums = usual.setdefault((row.kind, row.rung), [0.0, 0.0])
        sums[0] += row.trials
        sums[1] += row.credit
    found: dict[str, list[float]] = {}
    for row in rows:
        trials, credit = usual[row.kind, row.rung]
        sums = found.setdefault(named(row.value), [0.0, 0.0])
        sums[0] += row.trials
        sums[1] += row.credit - row.trials * credit / trials
    return {value: more / trials for value, (trials, more) in found.items()}
