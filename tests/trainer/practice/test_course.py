"""The course, the units and today's plan."""

from pathlib import Path

import pytest

from tests.trainer.practice.practising import HandClock
from trainer.drills.move_table import MOVES
from trainer.harmony.cadence import CADENCE
from trainer.memory.store import open_store
from trainer.practice.course import CourseError, read_course, shipped_course, units
from trainer.practice.today import todays, todays_items
from trainer.settings import Settings


def test_the_course_holds_every_type_once_after_what_it_builds_on() -> None:
    """Every type and every move of the tables stands in the course once, behind its prerequisites."""
    order = shipped_course().order
    assert sorted([*CADENCE, *MOVES]) == sorted(order)
    for place, unit in enumerate(order):
        assert set(units()[unit].after) <= set(order[:place])


def test_the_course_names_tunes_that_ship() -> None:
    """Each tune of the course is an exercise tune, and each exercise tune has its stage."""
    from trainer.charts.library import exercise_tunes

    named = [tune for stage in shipped_course().stages for tune in stage.tunes]
    assert sorted(id for id, _ in exercise_tunes()) == sorted(named)


def test_every_unit_can_be_trained() -> None:
    """Every type of the course has at least one kind of drill."""
    assert set(shipped_course().order) == set(units())
    assert all(unit.kinds for unit in units().values())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("schema = 'another'", "expected 'keyfarer/course/1'"),
        ("schema = [", "can't be read"),
        ("schema = 'keyfarer/course/1'\n[[stage]]\ntitle = 'x'", "stage 1 lacks"),
        (
            "schema = 'keyfarer/course/1'\n[[stage]]\ntitle = 'x'\nwhy = 'y'\ntypes = ['nope']\ntunes = []",
            "unknown types ['nope']",
        ),
    ],
)
def test_a_broken_course_is_told(text: str, said: str) -> None:
    """A course that isn't one is refused with its place."""
    with pytest.raises(CourseError, match="a course") as error:
        read_course(text, "a course")
    assert said in str(error.value)


def test_the_first_plan_begins_the_course_and_fits_the_minutes(tmp_path: Path) -> None:
    """A new player's first day brings the first types of the course, inside the minutes, the same when asked again."""
    with open_store(tmp_path / "memory.db") as store:
        plan = todays(store, Settings(minutes=10), HandClock())
        assert plan == todays(store, Settings(minutes=10), HandClock())
    assert plan.items
    assert {item.unit for item in plan.items} <= set(shipped_course().order[:6])
    assert plan.seconds <= 600
    assert all(first.unit != second.unit for first, second in zip(plan.items, plan.items[1:], strict=False))


def test_when_the_plan_is_done_more_can_be_asked(tmp_path: Path) -> None:
    """On a day whose plan is done a session asks types that were met, and no others."""
    from random import Random

    from tests.trainer.practice.practising import Remembering, no_tunes
    from trainer.practice.session import Asking, Session

    with open_store(tmp_path / "memory.db") as store:
        clock, rng = HandClock(), Random(5)
        for _ in range(2):
            items, plan = todays_items(store, Settings(), clock, rng)
            session = Session(store, items, Remembering(), clock, rng, no_tunes)
            session.begin()
            while isinstance(session.state, Asking):
                clock.passes(6.0)
                session.answer("1")
                session.go_on()
        assert () == plan.items
        met = {one.item.unit for one in session.told}
        assert met
        assert met <= set(store.model().met)
        assert len(session.told) == items.count
