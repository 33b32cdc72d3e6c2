"""Middle times told from counts in steps."""

from itertools import pairwise
from statistics import median

from hypothesis import given
from hypothesis import strategies as st

from trainer.memory.answer_times import BOUNDS_S, STEPS, added, middle_s, packed, step_of, unpacked

TIMES = st.lists(st.floats(BOUNDS_S[0], BOUNDS_S[-1] - 0.001), min_size=1, max_size=60)


def counts_of(times: list[float]) -> list[int]:
    """The counts of some times."""
    counts = [0] * STEPS
    for time in times:
        counts[step_of(time)] += 1
    return counts


def test_steps_are_in_order_and_within_their_widths() -> None:
    """Steps follow one another, half a second wide up to twelve, a second up to thirty, five up to a minute."""
    widths = [high - low for low, high in pairwise(BOUNDS_S)]
    assert [0.5] * 32 + [1.0] * 18 + [5.0] * 6 == widths
    assert (0, 1, STEPS - 1) == (step_of(-4.01), step_of(-4.0), step_of(60.0))


@given(times=TIMES)
def test_the_middle_is_the_median_within_its_step(times: list[float]) -> None:
    """The middle time is off by no more than the widest step that the two middle answers lie in."""
    true = median(times)
    ranked = sorted(times)
    middle = (ranked[(len(ranked) - 1) // 2], ranked[len(ranked) // 2])
    widest = max(BOUNDS_S[step_of(one)] - BOUNDS_S[step_of(one) - 1] for one in middle)
    found = middle_s(counts_of(times))
    assert found is not None
    assert abs(found - true) <= widest


@given(many=st.lists(TIMES, min_size=1, max_size=4))
def test_counts_add_up(many: list[list[float]]) -> None:
    """Counts that were stored apart give together the counts of all."""
    assert counts_of([time for times in many for time in times]) == added(packed(counts_of(times)) for times in many)


def test_counts_are_stored_alike_on_any_machine() -> None:
    """Four bytes a step, little end first."""
    counts = [258, *range(1, STEPS)]
    stored = packed(counts)
    assert b"\x02\x01\x00\x00\x01\x00\x00\x00" == stored[:8]
    assert (4 * STEPS, counts) == (len(stored), list(unpacked(stored)))


def test_the_ends_and_nothing() -> None:
    """What lies outside stands at the outer bounds, and of nothing there is no middle."""
    assert (None, -4.0, 60.0) == (middle_s([0] * STEPS), middle_s(counts_of([-30.0])), middle_s(counts_of([400.0])))
