"""Today's plan by the player's tunes: what they are made of comes first, and a route after all its tune is made of."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.trainer.memory.made import outcome, trial
from tests.trainer.practice.practising import HandClock
from tests.trainer.practice.repertoire import LAMPS, LANTERNS, kept, own
from trainer import places
from trainer.memory.chance import Model, start
from trainer.memory.growing import grown
from trainer.memory.store import open_store
from trainer.practice import course
from trainer.practice.course import shipped_course, units
from trainer.practice.kept_tunes import marked
from trainer.practice.own_tunes import NONE_KEPT
from trainer.practice.today import open_units, todays, wanted_now
from trainer.settings import Settings

SWINGERS = "title: The Weigh House\n[A]\n| Ebm6 | Bbmaj7 | Ebm6 | Bbmaj7 |\n| Ebm6 | Bbmaj7 | Ebm6 | Bb6 |\n"
"""A tune that is nothing but soft cadences from the minor fourth."""

SQUARE = "title: Ropery Square\n[A]\n| Cm7 | F7 | Bbmaj7 | % |\n| Em7 | A7 | Dmaj7 | % |\n"
"""One type in two keys."""


@pytest.fixture
def route_drill(monkeypatch: pytest.MonkeyPatch) -> None:
    """A kind of drill that trains routes, whether or not one is built."""
    kinds_for = course.kinds_for

    def with_routes(unit: str) -> tuple[str, ...]:
        return ("follow-route",) if unit.startswith("route:") else kinds_for(unit)

    monkeypatch.setattr(course, "kinds_for", with_routes)


def met(*types: str) -> Model:
    """A player who has met some types."""
    return grown(start(), [outcome(unit=type) for type in types])


def test_what_the_tunes_are_made_of_comes_first(tmp_path: Path) -> None:
    """A new player's first types are those that a kept tune lacks, behind what they build on; the setting ends that."""
    kept(tmp_path, SWINGERS)
    (type,) = own().facts["the-weigh-house"].units
    with open_store(tmp_path / "memory.db") as store:
        plain = todays(store, Settings(), HandClock())
        mine = todays(store, Settings(), HandClock(), own=own())
        off = todays(store, replace(Settings(), tunes_first=False), HandClock(), own=own())
    assert type not in plain.new_units
    assert type in mine.new_units
    assert off == plain
    assert set(units()[type].after) <= set(mine.new_units)


def test_without_tunes_the_plan_is_as_it_was(tmp_path: Path) -> None:
    """Who keeps no tunes has the course's own order."""
    with open_store(tmp_path / "memory.db") as store:
        assert todays(store, Settings(), HandClock()) == todays(store, Settings(), HandClock(), own=NONE_KEPT)


def test_the_weights_are_those_of_all_kept_tunes(tmp_path: Path) -> None:
    """Each kept tune counts once, one to learn four times; what none of them has weighs nothing."""
    kept(tmp_path, LAMPS, SWINGERS)
    marked(places.tunes_folder(), ["two-lamps"], True)
    table = open_units(own(), start())
    weights = wanted_now(own(), table, start(), HandClock().now_utc())
    assert {id for tune in own().facts.values() for id in tune.units} <= {*weights, *moves(own().facts)}
    assert abs(sum(weights.values()) - 5.0) < 1e-9


def moves(facts: object) -> set[str]:
    """The moves of some tunes, which may have no drill yet."""
    return {met.unit for tune in facts.values() for met in tune.moves}  # type: ignore[attr-defined]


@pytest.mark.usefixtures("route_drill")
def test_a_route_comes_after_all_its_tune_is_made_of(tmp_path: Path) -> None:
    """The route of a tune to learn is planned from when all types and moves of the tune were met, and not before."""
    kept(tmp_path, LANTERNS)
    marked(places.tunes_folder(), ["lanterns-on-the-ice"], True)
    route = "route:lanterns-on-the-ice"
    made_of = [id for id in own().facts["lanterns-on-the-ice"].units if id in units()]
    whole = units({"lanterns-on-the-ice": own().facts["lanterns-on-the-ice"].units})[route]
    assert (("follow-route",), tuple(made_of)) == (whole.kinds, whole.after)
    assert len(made_of) > 1
    for count in range(len(made_of)):
        assert route not in open_units(own(), met(*made_of[:count]))
    assert route in open_units(own(), met(*made_of))
    assert route in open_units(own(), met(route))


@pytest.mark.usefixtures("route_drill")
def test_only_tunes_to_learn_have_their_routes_planned(tmp_path: Path) -> None:
    """A kept tune's route waits for the player's mark, is planned first with it, and rests when it is taken away."""
    kept(tmp_path, SQUARE, LAMPS)
    made_of = [id for id in own().facts["ropery-square"].units if id in units()]
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(unit=unit, at_utc=HandClock().now_utc()) for unit in made_of])
        clock = HandClock()
        clock.passes(86_400.0)
        for learning in (False, True, False):
            marked(places.tunes_folder(), ["ropery-square", "two-lamps"], learning)
            planned = [item.unit for item in todays(store, Settings(minutes=30), clock, own=own()).items]
            assert learning == ("route:ropery-square" in planned)
            assert "route:two-lamps" not in planned, "it stays in one key"


def test_every_type_of_the_course_is_still_there(tmp_path: Path) -> None:
    """Tunes change the order of the course and nothing in it."""
    kept(tmp_path, LAMPS, LANTERNS, SWINGERS)
    assert set(shipped_course().order) <= set(open_units(own(), start()))
