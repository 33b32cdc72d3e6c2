"""Where a unit stands: known, resting, being learned, not yet met; and what may come next."""

from datetime import timedelta
from typing import Any

import pytest

from tests.trainer.memory.made import KEYS, MONDAY, outcome
from trainer.memory.chance import Model, Part, chance, start
from trainer.memory.growing import grown
from trainer.memory.trial import Outcome
from trainer.memory.unit import Status, Unit, holds_on_top, known, next_new, status_of, tonic_place

SPELLED_TWICE = ("Gb major", "F# major", "Bb major", "A# major", "C major", "G major", "D major")
UNIT, KINDS = "backdoor", ("name-functions", "name-cadence")


def on_top(count: int = 24, **values: Any) -> list[Outcome]:
    """Right answers on the top rung, one a key in turn, the newest first."""
    return [
        outcome(timedelta(minutes=-n), unit=UNIT, rung=6, key=KEYS[n % 12], **values) for n in range(count)
    ]


def sure(rung: int = 6) -> Model:
    """A model that is sure of the unit, asked on a rung last in both kinds."""
    trials = [
        outcome(timedelta(minutes=n), unit=UNIT, kind=kind, rung=rung) for n in range(60) for kind in KINDS
    ]
    return grown(start(), trials)


def with_wrong(*places: int, credit: float = 0.0, count: int = 24, guess: float = 0.02) -> list[Outcome]:
    """The same with the answers at some places (0 the newest) wrong."""
    return [
        outcome(unit=UNIT, rung=6, key=one.key, credit=credit if n in places else 1.0, guess_chance=guess)
        for n, one in enumerate(on_top(count))
    ]


def test_a_known_unit_is_known() -> None:
    """Nine in ten by the model on the top rung in every kind, and answers that show it: known by ear."""
    answers = {kind: on_top() for kind in KINDS}
    assert chance(sure(), UNIT, KINDS[1], 6, 0.0).p > 0.9
    assert known(sure(), UNIT, KINDS, answers)
    assert Status.KNOWN is status_of(sure(), UNIT, KINDS, answers)


@pytest.mark.parametrize(
    ("expected", "answers"),
    [
        (True, with_wrong(12, 13)),
        (True, with_wrong(2, credit=0.5)),
        (True, with_wrong(2, 5, credit=0.5)),
        (False, with_wrong(2, 5, 8, credit=0.5)),
        (True, on_top(10)),
        (False, on_top(7)),
        (False, []),
        (False, with_wrong(2, 14)),
        (True, with_wrong(2)),
        (False, with_wrong(2, count=12)),
        (True, [outcome(unit=UNIT, rung=6, key=KEYS[n % 6]) for n in range(24)]),
        (False, [outcome(unit=UNIT, rung=6, key=KEYS[n % 5]) for n in range(24)]),
        (False, [outcome(unit=UNIT, rung=6, key=SPELLED_TWICE[n % 7]) for n in range(24)]),
        (False, on_top(helps=("slower",))),
    ],
)  # fmt: skip
def test_known_needs_answers_that_show_it(expected: bool, answers: list[Outcome]) -> None:
    """Eight of the last ten right and unaided, in six keys however spelled, no key below guessing."""
    assert expected == known(sure(), UNIT, KINDS[:1], {KINDS[0]: answers})


def test_every_open_kind_must_show_it() -> None:
    """One kind without answers on the top rung keeps a unit from being known."""
    assert not known(sure(), UNIT, KINDS, {KINDS[0]: on_top()})
    assert not known(sure(), UNIT, (*KINDS, "finish-it"), {kind: on_top() for kind in KINDS})
    assert not known(start(), UNIT, KINDS, {kind: on_top() for kind in KINDS})
    assert not known(sure(), UNIT, (), {})


def test_a_memory_of_an_easy_presentation_is_not_known_and_does_not_rest() -> None:
    """A unit that is sure on rung 2 is still being learned."""
    model = sure(rung=2)
    assert not holds_on_top(model, UNIT, KINDS)
    assert Status.LEARNING is status_of(model, UNIT, KINDS, {kind: on_top() for kind in KINDS[:1]})


def test_what_holds_on_the_top_rung_rests() -> None:
    """Sure and last asked on the top rung in every kind: it rests, until an answer there is wrong."""
    assert Status.RESTING is status_of(sure(), UNIT, KINDS, {})
    wrong = grown(sure(), [outcome(timedelta(days=1), unit=UNIT, kind=KINDS[0], rung=6, credit=0.0)])
    assert Status.LEARNING is status_of(wrong, UNIT, KINDS, {})
    assert Status.LEARNING is status_of(sure(), UNIT, (*KINDS, "finish-it"), {})


def test_a_unit_never_asked_is_new() -> None:
    """Before the first trial a unit is not yet met."""
    assert Status.NEW is status_of(start(), UNIT, KINDS, {})


COURSE = {
    unit.id: unit
    for unit in (
        Unit("two-five", KINDS),
        Unit("minor-two-five", KINDS, ("two-five",)),
        Unit("turnaround", KINDS, ("two-five", "minor-two-five")),
        Unit("plagal", KINDS, ("a tune of another course",)),
        Unit("closed", ()),
    )
}
ORDER = ("turnaround", "two-five", "closed", "minor-two-five", "plagal", "two-five")


def heard(*names: str) -> Model:
    """A model of somebody who has these units, a dozen right answers each."""
    return grown(start(), [outcome(timedelta(hours=n), unit=u, rung=2) for u in names for n in range(12)])


def test_prerequisites_come_first() -> None:
    """The course's order counts among those whose prerequisites are learned."""
    assert ("two-five", "plagal") == next_new(start(), COURSE, ORDER)
    assert ("minor-two-five", "plagal") == next_new(heard("two-five"), COURSE, ORDER)
    assert ("turnaround", "plagal") == next_new(heard("two-five", "minor-two-five"), COURSE, ORDER)


def test_a_prerequisite_that_is_only_met_is_not_enough() -> None:
    """One wrong answer is a meeting, not a ground to build on."""
    model = grown(start(), [outcome(unit="two-five", rung=1, credit=0.0)])
    assert ("plagal",) == next_new(model, COURSE, ORDER)


@pytest.mark.parametrize(
    ("expected", "key"),
    [("0", "C major"), ("6", "F# minor"), ("6", "Gb major"), ("11", "Cb major"), ("10", "B♭ major"),
     ("2", "C## minor"), ("0", "B# major"), ("", ""), ("H-moll", "H-moll")],
)  # fmt: skip
def test_keys_are_told_apart_by_their_sounding_tonic(expected: str, key: str) -> None:
    """Spelling does not make a key; facts of the twelve pitch classes (common practice, no source)."""
    assert expected == tonic_place(key)


def test_unpractised_units_become_less_sure() -> None:
    """After ten years without a trial the model no longer vouches for a unit known from one evening."""
    answers = {kind: on_top() for kind in KINDS}
    assert known(sure(), UNIT, KINDS, answers, MONDAY + timedelta(days=1))
    assert not known(sure(), UNIT, KINDS, answers, MONDAY + timedelta(days=3650))


def test_parts_are_plain_numbers() -> None:
    """A part of the model is its mean, its variance and when it moved."""
    assert (0.0, 0.8, 0.0) == Part(0.0, 0.8, 0.0)
