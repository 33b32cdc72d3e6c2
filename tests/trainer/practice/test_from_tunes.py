"""Questions from certain tunes only."""

from pathlib import Path
from random import Random

import pytest

from tests.trainer.practice.practising import HandClock, Remembering
from tests.trainer.practice.repertoire import LAMPS, LANTERNS, kept, own
from trainer.drills.material import TuneMaterial
from trainer.drills.rungs import DrillError
from trainer.memory.chance import start
from trainer.memory.plan import Asked
from trainer.memory.store import open_store
from trainer.practice.from_tunes import from_tunes
from trainer.practice.materials import tune_material
from trainer.practice.session import Asking, Session


def lanterns(folder: Path) -> tuple[TuneMaterial, ...]:
    """One kept tune of two."""
    kept(folder, LAMPS, LANTERNS)
    return tune_material(own(), ("lanterns-on-the-ice",))


def test_every_question_is_the_tunes(tmp_path: Path) -> None:
    """A session over one tune asks only what it has, each time out of it, on the rungs that ask in a phrase."""
    tunes, clock, rng = lanterns(tmp_path), HandClock(), Random(6)
    with open_store(tmp_path / "memory.db") as store:
        items = from_tunes(tunes, (), ("name-functions",), None, 12, store.model(), rng)
        session = Session(store, items, Remembering(), clock, rng, lambda: tunes, tune_share=1.0)
        session.begin()
        seen = []
        while isinstance(session.state, Asking):
            seen.append(session.state.question)
            clock.passes(5.0)
            session.answer("1 1 1")
            session.go_on()
    assert {"tune:lanterns-on-the-ice"} == {question.material for question in seen}
    assert {"major-two-five-one", "minor-two-five-one"} == {question.unit for question in seen}
    assert {5} == {question.rung for question in seen}
    assert 12 == len(seen)


def test_no_pair_is_asked_that_the_tunes_have_not(tmp_path: Path) -> None:
    """Kinds that find nothing in the tunes are left out, and named types narrow what is asked."""
    tunes = lanterns(tmp_path)
    items = from_tunes(tunes, ("minor-two-five-one",), (), 6, 9, start(), Random(1))
    asked: list[Asked] = []
    while (item := items.next(asked, None)) is not None:
        assert ("minor-two-five-one", 6) == (item.unit, item.rung)
        assert "catch-interruption" != item.kind
        asked.append(Asked(item.unit, item.kind, True))
    assert 9 == len(asked)


@pytest.mark.parametrize(
    ("types", "kinds", "rung", "said"),
    [
        (("backdoor",), (), None, "there is nothing of backdoor in it to ask"),
        ((), ("catch-interruption",), None, "there is nothing in it to ask"),
        (("major-two-five-one",), (), 2, "rung 2 asks a cadence alone; questions from a tune are for rungs 5 and up"),
        ((), ("guessing",), None, "there is no kind of drill 'guessing'"),
        ((), (), 9, "9"),
    ],
)
def test_what_cant_be_asked_is_told(
    tmp_path: Path, types: tuple[str, ...], kinds: tuple[str, ...], rung: int | None, said: str
) -> None:
    """A type that a tune hasn't, a kind that finds nothing in it, and a rung without phrases are told."""
    with pytest.raises(DrillError) as error:
        from_tunes(lanterns(tmp_path), types, kinds, rung, 5, start(), Random(1))
    assert said in str(error.value)
