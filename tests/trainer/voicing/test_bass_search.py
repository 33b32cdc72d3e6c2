"""The cheapest bass line: costs in order, and a search that misses none."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.voicing.bass_search import (
    LEAP_COSTS,
    PLACE_COSTS,
    TURN_COST,
    WIDEST_LEAP_COST,
    Choice,
    least_line,
    line_cost,
)

layer = st.lists(
    st.tuples(st.integers(28, 52), st.integers(0, 9)), min_size=1, max_size=4, unique_by=lambda one: one[0]
)


def test_a_leap_costs_more_than_a_step_and_less_than_beyond_an_octave() -> None:
    """Steps are the cheapest, repeats and what is wider than an octave the dearest, each by one table."""
    assert max(LEAP_COSTS[gap] for gap in (1, 2)) < min(cost for gap, cost in LEAP_COSTS.items() if gap not in (1, 2))
    assert all(cost < WIDEST_LEAP_COST for cost in LEAP_COSTS.values())
    assert set(range(13)) == set(LEAP_COSTS)
    assert 0 < TURN_COST < LEAP_COSTS[0]
    assert all(cost >= 0 for cost in PLACE_COSTS.values())


@given(st.lists(st.tuples(layer, st.booleans()), min_size=1, max_size=6))
@settings(max_examples=300)
def test_the_line_is_the_cheapest_of_all(places: list[tuple[list[Choice], bool]]) -> None:
    """Trying every line through a passage finds none that costs less."""
    layers = [sorted(choices) for choices, _ in places]
    stays = [stay for _, stay in places]
    line = least_line(layers, stays)
    own = [dict(choices)[midi] for midi, choices in zip(line, layers, strict=True)]
    costs = (
        line_cost([midi for midi, _ in path], [cost for _, cost in path], stays) for path in itertools.product(*layers)
    )
    assert min(costs) == line_cost(line, own, stays)


def test_no_places_have_no_line() -> None:
    """An empty passage is an empty line."""
    assert [] == least_line([], [])
