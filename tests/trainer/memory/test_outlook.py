"""Many chances of one moment, and the rung that follows from them."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.memory.made import MONDAY, outcome
from tests.trainer.memory.test_chance import KINDS, NAMES, OUTCOMES
from trainer.memory.chance import Model, chance, start
from trainer.memory.climbing import AIM, AIM_ON_TOP, HELD, highest_open, rung_today, straight_up
from trainer.memory.growing import grown
from trainer.memory.outlook import Outlook
from trainer.memory.trial import Outcome

OPEN = ("name-functions", "name-cadence")


@given(outcomes=OUTCOMES, unit=NAMES, kind=KINDS, rung=st.integers(1, 6), days=st.integers(0, 90))
def test_it_is_the_models_chance(outcomes: list[Outcome], unit: str, kind: str, rung: int, days: int) -> None:
    """After any trials the outlook says what `chance` says, with and without guessing, now and later."""
    model = grown(start(), outcomes)
    for at in (None, MONDAY + timedelta(days=days)):
        outlook = Outlook(model, at)
        for guess in (None, 0.0):
            expected = chance(model, unit, kind, rung, guess, at).p
            assert expected == pytest.approx(outlook.chance(unit, kind, rung, guess), abs=1e-12)


@given(outcomes=OUTCOMES, unit=NAMES, kind=st.sampled_from(OPEN))
def test_the_rung_is_within_reach_and_near_even(outcomes: list[Outcome], unit: str, kind: str) -> None:
    """No rung is jumped, unless easy rungs have shown themselves to be of no use; the aim decides, or what holds."""
    model = grown(start(), outcomes)
    outlook = Outlook(model)
    rung = rung_today(outlook, unit, kind, OPEN)
    most = highest_open(model, unit, kind, OPEN)
    if straight_up(model):
        assert rung == (6 if unit in model.met else 1)
        return
    assert rung <= most
    aimed = rung == 1 or outlook.chance(unit, kind, rung, 0.0) >= (AIM_ON_TOP if rung == 6 else AIM)
    assert aimed or outlook.chance(unit, kind, rung - 1, 0.0) >= HELD
    if rung < most:
        assert outlook.chance(unit, kind, rung, 0.0) < HELD or rung == most


def climbed(credit: float, units: int = 14) -> Model:
    """Units that were sure on rung 2 and then asked on rung 3, with what came of it."""
    trials = []
    for number in range(units):
        name = f"unit-{number}"
        trials += [outcome(timedelta(minutes=number), unit=name, rung=2, guess_chance=1 / 4) for _ in range(3)]
        trials.append(outcome(timedelta(minutes=number), unit=name, rung=3, guess_chance=0.02, credit=credit))
    return grown(start(), trials)


def test_who_gains_nothing_by_easy_rungs_is_led_straight_up() -> None:
    """Fourteen first answers on a harder rung, all wrong: what was met goes to the top, what is new begins low."""
    failing = climbed(0.0)
    assert failing.climbs.mean < 0.0
    assert straight_up(failing)
    assert 6 == rung_today(Outlook(failing), "unit-3", "name-functions", OPEN)
    assert 1 == rung_today(Outlook(failing), "never-met", "name-functions", OPEN)


def test_who_climbs_well_or_seldom_is_not() -> None:
    """Where first answers on a harder rung are right, or there were few of them, rungs go up one by one."""
    assert not straight_up(climbed(1.0))
    assert not straight_up(climbed(0.0, units=4))
    assert 3 >= rung_today(Outlook(climbed(0.0, units=4)), "unit-3", "name-functions", OPEN)


def test_a_new_kind_begins_where_the_unit_stands() -> None:
    """A kind of drill never asked may begin at the lowest rung that the unit has in others, and follows them fast."""
    model = grown(start(), [outcome(rung=5, kind="name-functions")])
    unit = "major-two-five-one"
    assert 5 == highest_open(model, unit, "name-cadence", OPEN)
    low = grown(model, [outcome(timedelta(days=1), rung=1, kind="name-cadence")])
    assert 2 == highest_open(low, unit, "name-cadence", OPEN)
    assert 6 == highest_open(low, unit, "name-functions", OPEN)
