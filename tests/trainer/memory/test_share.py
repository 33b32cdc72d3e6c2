"""Shares above guessing and their bounds."""

import pytest
from scipy.stats import binomtest

from trainer.memory.share import heard_share, wilson


@pytest.mark.parametrize(("right", "of"), [(0, 1), (1, 1), (0, 10), (3, 10), (7, 9), (50, 50), (361, 500)])
def test_bounds_are_the_score_interval(right: int, of: int) -> None:
    """Bounds are those that scipy computes as Wilson's interval without correction, at 95 %."""
    expected = binomtest(right, of).proportion_ci(0.95, method="wilson")
    assert (expected.low, expected.high) == pytest.approx(wilson(right / of, of), abs=1e-6)


def test_guessing_is_worth_nothing() -> None:
    """Who earns what guessing earns has heard nothing, who earns all has heard all, and bounds hold both."""
    guessed, whole = heard_share(12, 4.0, 4.0), heard_share(12, 12.0, 4.0)
    assert guessed is not None
    assert whole is not None
    assert 0.0 == pytest.approx(guessed.heard)
    assert guessed.low < 0.0 < guessed.high
    assert (1.0, 1.0) == pytest.approx((whole.heard, whole.high))
    assert whole.low < 0.8


def test_more_answers_are_surer() -> None:
    """The same share of four times as many answers lies between narrower bounds."""
    few, many = heard_share(10, 7.0, 1.0), heard_share(40, 28.0, 4.0)
    assert few is not None
    assert many is not None
    assert few.heard == pytest.approx(many.heard)
    assert few.low < many.low < many.high < few.high


def test_of_nothing_there_is_no_share() -> None:
    """Without answers nothing is said."""
    assert heard_share(0, 0.0, 0.0) is None
