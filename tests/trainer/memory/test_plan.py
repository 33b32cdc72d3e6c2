"""Today's plan and what comes next in it."""

import random
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.memory.made import MONDAY, outcome
from trainer.memory.chance import Model, grown, start
from trainer.memory.plan import Asked, Contrast, Plan, PlannedItem, next_item, todays_plan
from trainer.memory.schedule import Rating, Review, rated, reviewed
from trainer.memory.trial import Outcome
from trainer.memory.unit import Unit, holds_on_top

KINDS = ("name-functions", "name-cadence", "finish-it")
UNITS = tuple(Unit(f"unit-{n}", KINDS[: 1 + n % 3], (f"unit-{n - 3}",) if n >= 3 else ()) for n in range(12))
ORDER = tuple(unit.id for unit in UNITS)
TABLE = {unit.id: unit for unit in UNITS}
TODAY = MONDAY.date() + timedelta(days=30)
NOW = MONDAY + timedelta(days=30)

HISTORY = st.lists(
    st.builds(
        lambda days, unit, kind, rung, right: outcome(
            timedelta(days=days), unit=f"unit-{unit}", kind=UNITS[unit].kinds[kind % len(UNITS[unit].kinds)],
            rung=rung, credit=float(right),
        ),
        st.integers(0, 30), st.integers(0, 11), st.integers(0, 2), st.integers(1, 6), st.booleans(),
    ),
    max_size=60,
).map(lambda outcomes: sorted(outcomes, key=lambda one: one.at_utc))  # fmt: skip


def reviews_of(outcomes: Sequence[Outcome]) -> dict[str, Review]:
    """The newest review of each unit."""
    newest: dict[str, Review] = {}
    for day, unit in sorted({(one.at_utc.date(), one.unit) for one in outcomes}):
        of_day = [one for one in outcomes if (one.at_utc.date(), one.unit) == (day, unit)]
        newest[unit] = reviewed(newest.get(unit), unit, day, rated(of_day))
    return newest


def planned(outcomes: Sequence[Outcome], minutes: float = 15, seed: int = 1) -> tuple[Model, Plan]:
    """The model of a history and the plan it leads to."""
    model = grown(start(), outcomes)
    plan = todays_plan(
        UNITS, model, reviews_of(outcomes), ORDER, TODAY, minutes, random.Random(seed), at_utc=NOW
    )
    return model, plan


@given(history=HISTORY, minutes=st.floats(0, 90), seed=st.integers(0, 99))
def test_what_every_plan_keeps(history: list[Outcome], minutes: float, seed: int) -> None:
    """It fits the minutes, asks no unit twice running, jumps no rung, keeps the order of the course."""
    model, plan = planned(history, minutes, seed)
    again = planned(history, minutes, seed)[1]
    assert again == plan
    assert plan.seconds <= minutes * 60
    assert all(one.unit != other.unit for one, other in pairwise(plan.items))
    for item in plan.items:
        assert item.kind in TABLE[item.unit].kinds
        assert item.why
        standing = model.standings.get((item.unit, item.kind))
        assert standing is None or (standing.day != TODAY and item.rung <= standing.rung + 1)
        if item.unit not in model.met:
            assert item.unit in plan.new_units
            assert item.rung == 1
            assert set(TABLE[item.unit].after) <= set(model.met)
    assert len(plan.new_units) <= 3


@given(history=HISTORY, seed=st.integers(0, 99), results=st.lists(st.booleans(), min_size=200, max_size=200))
def test_a_session_through_a_plan(history: list[Outcome], seed: int, results: list[bool]) -> None:
    """Each item comes once, an error once more, nothing twice running, and the minutes are kept."""
    _, plan = planned(history, 15, seed)
    asked: list[Asked] = []
    left = 15 * 60.0
    while (item := next_item(plan, asked, left)) is not None:
        assert item.seconds <= left
        assert not asked or asked[-1].unit != item.unit
        asked.append(Asked(item.unit, item.kind, results[len(asked)]))
        left -= item.seconds
    for pair in {(item.unit, item.kind) for item in plan.items}:
        times = sum(pair == (item.unit, item.kind) for item in plan.items)
        results_of = [one.right for one in asked if pair == (one.unit, one.kind)]
        assert len(results_of) <= max(times, 2)
        if len(results_of) > times:
            assert not results_of[0]


def answers(unit: str, days: int, kind: str = "name-functions", rung: int = 3, right: bool = True) -> Outcome:
    """An answer so many days before today."""
    return outcome(timedelta(days=30 - days), unit=unit, kind=kind, rung=rung, credit=float(right))


def test_the_longest_unpractised_comes_first() -> None:
    """Among units being learned the plan begins with the one not heard for longest."""
    history = [answers(f"unit-{n}", days) for n, days in ((0, 2), (1, 9), (2, 5)) for _ in range(4)]
    history.sort(key=lambda one: one.at_utc)
    model, plan = planned(history)
    known_kind = [item.unit for item in plan.items if (item.unit, item.kind) in model.standings]
    assert ["unit-1", "unit-2", "unit-0"] == list(dict.fromkeys(known_kind))
    assert "not heard for 9 days" in {item.why for item in plan.items}


def test_a_first_day_is_full() -> None:
    """With nothing learned yet three new units fill the minutes, mixed."""
    plan = todays_plan(UNITS, start(), {}, ORDER, TODAY, 10, random.Random(3))
    assert ("unit-0", "unit-1", "unit-2") == plan.new_units
    assert 8 * 60 <= plan.seconds <= 10 * 60
    assert {1} == {item.rung for item in plan.items}


def test_one_unit_alone_is_not_asked_twice_running() -> None:
    """Where only one unit is open, the plan is short rather than a drill on the spot."""
    plan = todays_plan(UNITS[:1], start(), {}, ORDER, TODAY, 10, random.Random(3))
    assert 1 == len(plan.items)


def weak(days_since_new: int) -> list[Outcome]:
    """Three units met so long ago, and answers of which two in five are right."""
    first = [answers(f"unit-{n}", days_since_new, right=True) for n in range(3) for _ in range(6)]
    return first + [answers(f"unit-{n % 3}", 1, right=n % 5 < 2) for n in range(40)]


def test_no_new_unit_while_too_few_answers_are_right() -> None:
    """Below fifty-five in a hundred no new unit comes, the reason is told, and a week later one comes."""
    _, plan = planned(weak(5))
    assert () == plan.new_units
    assert plan.new_held_back is not None
    assert "40%" in plan.new_held_back
    _, later = planned(weak(7))
    assert 1 == len(later.new_units)
    assert later.new_held_back is None


def resting(days: int, interval: int) -> tuple[Model, dict[str, Review]]:
    """Units 0 to 2 hold on the top rung, asked so many days ago with this interval; 0 is the least stable."""
    history = [
        answers(f"unit-{n}", days, kind, 6)
        for n in range(3) for kind in TABLE[f"unit-{n}"].kinds for _ in range(40)
    ]  # fmt: skip
    day = TODAY - timedelta(days=days)
    reviews = {
        f"unit-{n}": Review(
            f"unit-{n}", day, Rating.HELD, "held", interval * 4.0**n, 5.0, day + timedelta(days=interval)
        )
        for n in range(3)
    }
    return grown(start(), history), reviews


def test_what_rests_is_left_alone_until_it_falls_due() -> None:
    """With something to learn, a resting unit waits for its day; then it comes, in two kinds at most."""
    model, reviews = resting(days=5, interval=30)
    assert holds_on_top(model, "unit-2", KINDS, NOW)
    kept = (model, reviews, ORDER, TODAY, 2.0, random.Random(1))
    assert not {"unit-0", "unit-1", "unit-2"} & {item.unit for item in todays_plan(UNITS, *kept).items}
    model, reviews = resting(days=30, interval=30)
    plan = todays_plan(UNITS, model, reviews, ORDER, TODAY, 15, random.Random(1))
    due = [item for item in plan.items if item.why.startswith("due")]
    assert {"unit-0", "unit-1", "unit-2"} == {item.unit for item in due}
    assert 2 == sum(item.unit == "unit-2" for item in due)
    assert "due after resting 30 days" == due[0].why


def test_risk_decides_among_what_rests() -> None:
    """Of units that fell due, the one most likely forgotten comes first."""
    model, reviews = resting(days=30, interval=10)
    plan = todays_plan(UNITS[:3], model, reviews, (), TODAY, 15, random.Random(1))
    assert ["unit-0", "unit-1", "unit-2"] == list(dict.fromkeys(item.unit for item in plan.items))


def test_pairs_taken_for_each_other_have_at_most_a_fifth() -> None:
    """Confused pairs are set against each other, within a fifth of the minutes."""
    history = [answers(f"unit-{n}", 3) for n in range(3)]
    pairs = [Contrast(f"unit-{n}", f"unit-{(n + 1) % 3}", "tell-two-apart") for n in range(3)]
    model, reviews, rng = grown(start(), history), reviews_of(history), random.Random(1)
    plan = todays_plan(UNITS, model, reviews, ORDER, TODAY, 4, rng, contrasts=pairs)
    against = [item for item in plan.items if item.kind == "tell-two-apart"]
    assert ["unit-1"] == [item.against for item in against]
    assert sum(item.seconds for item in against) <= 4 * 60 / 5
    assert "often taken for unit-1" == against[0].why


def item(unit: str, kind: str = "name-functions") -> PlannedItem:
    """An item of half a minute."""
    return PlannedItem(unit, kind, 2, "for this test", 30.0)


ABCDE = Plan(date(2027, 3, 31), tuple(map(item, "abcde")))


@pytest.mark.parametrize(
    ("expected", "rights"),
    [
        ("a", ()),
        ("b", (False,)),
        ("d", (False, True, True)),
        ("a", (False, True, True, True)),
        ("c", (True, False)),
        (None, (True, True, True, True, True)),
    ],
)
def test_an_error_comes_back_some_questions_later(expected: str | None, rights: tuple[bool, ...]) -> None:
    """Three other questions stand between an error and its repeat, where there are so many."""
    asked = [Asked(unit, "name-functions", right) for unit, right in zip("abcde", rights, strict=False)]
    found = next_item(ABCDE, asked)
    assert expected == (found.unit if found else None)


def test_an_error_at_the_end_comes_back_sooner_but_not_at_once() -> None:
    """With nothing left but repeats they come early; the very same unit never follows itself."""
    asked = [Asked(unit, "name-functions", unit not in "de") for unit in "abcde"]
    first = next_item(ABCDE, asked)
    assert first is not None
    assert ("d", "missed a moment ago: once more") == (first.unit, first.why)
    asked.append(Asked("d", "name-functions", False))
    second = next_item(ABCDE, asked)
    assert second is not None
    assert "e" == second.unit
    assert next_item(ABCDE, [*asked, Asked("e", "name-functions", False)]) is None


def test_a_question_out_of_plan_is_no_harm() -> None:
    """What the player asked for beside the plan is not taken from it."""
    found = next_item(ABCDE, [Asked("z", "name-functions", False)])
    assert found == ABCDE.items[0]


def test_time_ends_a_session() -> None:
    """An item that no longer fits the time left does not come."""
    assert next_item(ABCDE, [], 29.0) is None
    assert next_item(ABCDE, [], 30.0) == ABCDE.items[0]
