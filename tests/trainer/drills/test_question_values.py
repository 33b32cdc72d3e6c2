"""Questions as plain values: written and read again they are the same, and nothing else is taken for one."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.amounts import amount
from tests.trainer.drills.drilling import PAIRS, SLIPWAY, WALTZ, material, questions
from trainer.drills import kinds
from trainer.drills.question import Question
from trainer.drills.question_values import NewerError, ValuesError, question_of, question_values


def through_json(question: Question) -> dict[str, Any]:
    """A question's values as a file would give them back."""
    values = json.loads(json.dumps(question_values(question)))
    assert isinstance(values, dict)
    return values


@pytest.mark.parametrize("rung", range(1, 7))
def test_every_kind_and_unit_comes_back(rung: int) -> None:
    """A question of every kind, unit and rung is the same after JSON, and sounds the same."""
    assert PAIRS
    for kind, unit in PAIRS[rung % amount(1, 3) :: amount(1, 3)]:
        question = kinds.build(kind, unit, rung, 100 + rung)
        back = question_of(through_json(question))
        assert question == back
        assert question.performance().score == back.performance().score


@pytest.mark.parametrize("text", [SLIPWAY, WALTZ])
def test_a_phrase_of_a_tune_comes_back(text: str) -> None:
    """A question from a tune comes back without the tune, its meter and beats with it."""
    tune = material(text, "a-tune")
    asked = [
        kinds.build(kind.id, unit, 5, 3, tune)
        for kind in kinds.KINDS.values()
        for unit in kind.units
        if kind.stretches(unit, tune)
    ]
    assert asked
    for question in asked:
        assert question == question_of(through_json(question))


@settings(max_examples=100)
@given(questions())
def test_what_is_as_its_default_says_is_left_out(question: Question) -> None:
    """A file holds no field that says nothing, so an older reader doesn't stumble over one that it doesn't know."""
    values = question_values(question)
    assert ("material" in values) == (question.material != "table")
    assert ("broken" in values) == (question.broken is not None)
    assert ("qualities" in values) == question.qualities


@settings(max_examples=60)
@given(questions(), st.data())
def test_a_field_that_is_missing_or_not_known_is_told_by_its_name(question: Question, data: st.DataObject) -> None:
    """Without a field that every question has, or with one that nobody knows, the message names it."""
    values = question_values(question)
    gone = data.draw(st.sampled_from(["kind", "unit", "rung", "seed", "key", "chords", "accepted", "tempo"]))
    with pytest.raises(ValuesError, match=gone):
        question_of({name: value for name, value in values.items() if name != gone})
    with pytest.raises(NewerError, match="scent"):
        question_of({**values, "scent": "hops"})


WRONG = [
    ("rung", "2"), ("rung", True), ("rung", 2.5), ("tempo", 120), ("tempo", "1/0"), ("tempo", "9" * 50), ("key", "H"),
    ("key", None), ("chords", "C"), ("chords", ["C", 7]), ("chords", ["Cfoo"]), ("blanks", [1.5]),
    ("confirm", 1), ("meter", {"beats": 4}), ("accepted", [[1]]), ("kind", None), ("guess_chance", "half"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "value"), WRONG)
def test_a_wrong_value_is_told_with_its_place(name: str, value: object) -> None:
    """Each kind of wrong value raises an error that begins with where it stands."""
    values = through_json(kinds.build("name-functions", "major-two-five-one", 2, 1))
    with pytest.raises(ValuesError, match=rf"^question\.{name}"):
        question_of({**values, name: value})


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


@given(questions(), st.data())
def test_no_values_break_the_reader(question: Question, data: st.DataObject) -> None:
    """Whatever stands in a field's place is read or told, and raises nothing else."""
    values = through_json(question)
    name = data.draw(st.sampled_from(sorted(values)))
    try:
        read = question_of({**values, name: data.draw(anything)})
    except ValuesError:
        return
    assert read == question_of(through_json(read)) or read.guess_chance != read.guess_chance
