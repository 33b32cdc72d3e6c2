"""What is offered gives the right answer away to nobody who hears nothing."""

from random import Random

import pytest

from trainer.drills import kinds
from trainer.drills.hub import around_a_hub
from trainer.drills.question import Question, Row

ASKED = 900
"""Questions; four standard deviations around chance are the bounds."""


def on_a_ring(one: int) -> list[int]:
    """Neighbours among twelve in a ring."""
    return [(one + far) % 12 for far in (-2, -1, 1, 2)]


def share_bounds(count: int, asked: int) -> tuple[float, float]:
    """Chance, four standard deviations less and more (the binomial law)."""
    chance = 1 / count
    sigma = (chance * (1 - chance) / asked) ** 0.5
    return chance - 4 * sigma, chance + 4 * sigma


@pytest.mark.parametrize("count", [3, 4])
def test_whoever_picks_the_one_that_most_are_like_picks_by_chance(count: int) -> None:
    """The right one is the hub as often as any other, stands in each place as often, and is there once."""
    rng, picked, places = Random(8), 0.0, [0] * count
    for turn in range(ASKED):
        offered = around_a_hub(turn % 12, on_a_ring, count, rng)
        assert count == len(set(offered))
        likes = [sum(other in on_a_ring(one) for other in offered) for one in offered]
        best = [one for one, like in zip(offered, likes, strict=True) if like == max(likes)]
        picked += (turn % 12 in best) / len(best)
        places[offered.index(turn % 12)] += 1
    low, high = share_bounds(count, ASKED)
    assert low <= picked / ASKED <= high
    assert all(low <= place / ASKED <= high for place in places)


def apart(one: Row, other: Row) -> int:
    """In how many chords two rows differ."""
    return sum(a != b for a, b in zip(one, other, strict=True))


def picks_the_middle(question: Question) -> float:
    """How likely the right row is picked by whoever takes the row that differs least from all others."""
    choices = question.choices
    assert choices is not None
    sums = [sum(apart(row, other) for other in choices) for row in choices]
    middle = [row for row, far in zip(choices, sums, strict=True) if far == min(sums)]
    return (question.accepted[0] in middle) / len(middle)


@pytest.mark.parametrize(("rung", "count"), [(1, 3), (2, 4)])
def test_the_middle_of_the_offered_rows_is_right_by_chance(rung: int, count: int) -> None:
    """In a dictation the row that differs least from the others is no more often right than any."""
    units = kinds.KINDS["dictation"].units
    asked = [kinds.build("dictation", unit, rung, seed) for unit in units for seed in range(8)]
    low, high = share_bounds(count, len(asked))
    assert low <= sum(map(picks_the_middle, asked)) / len(asked) <= high
