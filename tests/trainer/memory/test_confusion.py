"""Which units stand out as taken for each other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from trainer.memory.confusion import at_least, persistent


@given(times=st.integers(0, 40), of=st.integers(0, 40), chance=st.floats(0.01, 0.99))
def test_the_tail_is_that_of_the_binomial_distribution(times: int, of: int, chance: float) -> None:
    """At least so many hits: the survival function of SciPy's binomial distribution."""
    assert float(binom.sf(times - 1, of, chance)) == pytest.approx(at_least(times, of, chance), abs=1e-12)


@pytest.mark.parametrize(
    ("expected", "counts", "trials", "others"),
    [
        ((("backdoor", "plagal"),), [("backdoor", "plagal", 5)], 12, 10),
        ((), [("backdoor", "plagal", 5)], 5, 10),
        ((), [("backdoor", "plagal", 1)], 12, 10),
        ((), [("backdoor", "plagal", 5)], 12, 1),
        ((), [("backdoor", other, 2) for other in "abcdefgh"], 40, 8),
        ((("backdoor", "plagal"),), [("backdoor", "plagal", 6), ("backdoor", "a", 1)], 40, 8),
        ((), [], 12, 10),
    ],
)
def test_pairs_stand_out_beyond_luck(
    expected: tuple[tuple[str, str], ...], counts: list[tuple[str, str, int]], trials: int, others: int
) -> None:
    """A pair counts when wrong answers fall on it more than evenly, over six trials or more of the unit."""
    assert expected == persistent(counts, {"backdoor": trials}, others)


def test_the_least_likely_by_luck_comes_first() -> None:
    """Pairs come in the order of how sure the confusion is."""
    counts = [("a", "b", 3), ("c", "d", 9)]
    assert (("c", "d"), ("a", "b")) == persistent(counts, {"a": 20, "c": 20}, 10)


@pytest.mark.parametrize(
    ("times", "of", "chance"),
    [(1, 1, 0.5), (40, 3000, 0.01), (2900, 3000, 0.01), (2, 100_000, 0.5), (700, 60_000, 0.01)],
)
def test_luck_of_many_is_the_binomial_tail(times: int, of: int, chance: float) -> None:
    """After years of answers too, the chance of so many hits by luck is that of scipy's binomial distribution."""
    assert binom.sf(times - 1, of, chance) == pytest.approx(at_least(times, of, chance), rel=1e-6, abs=1e-300)
