"""Two rows laid side by side so that they differ as little as can be (Levenshtein 1966, with partial credit)."""

from collections.abc import Callable, Sequence
from typing import TypeVar

One = TypeVar("One")


def aligned(
    said: Sequence[One], right: Sequence[One], credit: Callable[[One, One], float]
) -> tuple[tuple[One | None, One | None], ...]:
    """Pairs in order; None where one row has nothing there. A pair costs what its credit lacks, a lone one 1."""
    rows, columns = len(said) + 1, len(right) + 1
    cost = [[float(i + j) if not (i and j) else 0.0 for j in range(columns)] for i in range(rows)]
    for i in range(1, rows):
        for j in range(1, columns):
            cost[i][j] = min(_ways(cost, i, j, 1.0 - credit(said[i - 1], right[j - 1])))
    pairs: list[tuple[One | None, One | None]] = []
    i, j = len(said), len(right)
    while i or j:
        if i and j and cost[i][j] == cost[i - 1][j - 1] + (1.0 - credit(said[i - 1], right[j - 1])):
            i, j = i - 1, j - 1
            pairs.append((said[i], right[j]))
        elif i and cost[i][j] == cost[i - 1][j] + 1.0:
            i -= 1
            pairs.append((said[i], None))
        else:
            j -= 1
            pairs.append((None, right[j]))
    return tuple(reversed(pairs))


def _ways(cost: list[list[float]], i: int, j: int, change: float) -> tuple[float, float, float]:
    return cost[i - 1][j - 1] + change, cost[i - 1][j] + 1.0, cost[i][j - 1] + 1.0
