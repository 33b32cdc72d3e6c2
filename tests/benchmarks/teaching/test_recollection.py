"""The simulated memories are those of the papers, held against their formulas worked out by hand."""

from math import exp, log

import pytest

from tests.benchmarks.teaching.recollection import Activation, HalfLife, days_for


def test_one_trace_decays_as_a_power_of_its_age() -> None:
    """Pavlik and Anderson 2005: one presentation decays with a power of 0.177; a later one comes in faster."""
    memory = Activation(ease=0.0, gain=1.0, step=0.0, carries_up=1.0)
    memory.learn(6, 0, 0.0, 1.0)
    first = (86400 * 0.025) ** -0.177
    assert first == pytest.approx(memory.strength(6, 1, 0.0))
    memory.learn(6, 1, 0.0, 1.0)
    second_decay = 0.217 * first + 0.177
    expected = (2 * 86400 * 0.025) ** -0.177 + (86400 * 0.025) ** -second_decay
    assert expected == pytest.approx(memory.strength(6, 2, 0.0))
    heard = 1 / (1 + exp(-log(0.05 + expected) / 0.255))
    assert heard == pytest.approx(memory.chance(6, 2, 0.0, 0.0, 0.0))


def test_spaced_presentations_last_longer_than_massed_ones() -> None:
    """The effect that the paper models: a month later, five days of one beat one day of five."""
    massed, spaced = (Activation(0.0, 1.0, 0.0, 1.0) for _ in range(2))
    for number in range(5):
        massed.learn(6, 4, 30.0 * number, 1.0)
        spaced.learn(6, number, 0.0, 1.0)
    assert spaced.strength(6, 34, 0.0) > massed.strength(6, 34, 0.0)


def test_recall_halves_with_every_half_life() -> None:
    """Settles and Meeder 2016: recall is 2 to minus the time in half-lives, and the half-life 2 to a weighted root."""
    memory = HalfLife(ease=1.0, gain=0.5, step=0.0, carries_up=1.0)
    for _ in range(4):
        memory.learn(6, 0, 0.0, 1.0)
    half_life = 2.0 ** (1.0 + 0.5 * 4**0.5)
    for days in (1, 3, 10):
        expected = 0.5 ** ((days + 0.5) / half_life)
        assert expected == pytest.approx(memory.chance(6, days, 0.0, 0.0, 0.0))
    assert half_life == pytest.approx(days_for(0.5 ** (3.5 / half_life), 3.0))


@pytest.mark.parametrize("made", [Activation, HalfLife])
def test_what_carries_up(made: type) -> None:
    """Practice counts in full on lower rungs, by the factor on higher ones, and not at all where that is nothing."""
    for carries_up in (0.0, 0.8):
        memory = made(0.0, 1.0, 0.3, carries_up)
        memory.learn(3, 0, 0.0, 1.0)
        own = memory.strength(3, 1, 0.0)
        assert own == pytest.approx(memory.strength(1, 1, 0.0))
        assert (memory.strength(4, 1, 0.0) > 0.0) == (carries_up > 0.0)
        assert memory.strength(4, 1, 0.0) < own
        assert memory.chance(1, 1, 0.0, 0.0, 0.0) > memory.chance(3, 1, 0.0, 0.0, 0.0)
