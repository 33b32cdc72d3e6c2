"""Catch the interruption: half have one, the others look like one; what is asked is what sounds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.amounts import amount
from tests.trainer.drills.drilling import CATCHING, first_where, seeds
from trainer.drills import kinds
from trainer.drills.answer import AnswerError
from trainer.drills.distances import read_distance
from trainer.drills.interrupted import IN_TURN, PLAIN, distances_of
from trainer.harmony.cadence import CADENCE
from trainer.harmony.numeral import numeral_of

LIKE = {(shape.formula[0], len(shape.formula)) for unit in CATCHING for shape in CADENCE[unit].shapes}


@pytest.mark.parametrize("unit", CATCHING)
@pytest.mark.parametrize("rung", range(1, 7))
def test_half_of_the_questions_have_one(unit: str, rung: int) -> None:
    """Half of the questions hold an interruption, within five standard deviations of a fair coin."""
    count = amount(400, 120)
    built = (kinds.build("catch-interruption", unit, rung, seed) for seed in range(count))
    assert abs(sum(q.accepted[0][0] == "yes" for q in built) - count / 2) <= 5 * (count / 4) ** 0.5


@given(st.sampled_from(CATCHING), st.integers(1, 6), seeds)
def test_the_answer_is_what_sounds(unit: str, rung: int, seed: int) -> None:
    """From the named chord on V–I or ii–V–I of the named key sounds, and then the first is taken up again."""
    question = kinds.build("catch-interruption", unit, rung, seed)
    broken = question.broken
    assert broken is not None
    if question.accepted == (("no",),):
        assert not broken.breaks_in
        return
    assert broken.breaks_in
    assert broken.foreign is not None
    row = question.accepted[0]
    first, last = broken.chords[0], broken.chords[-1]
    assert (int(row[1]) - 1, list(range(first, last + 1))) == (first, list(broken.chords))
    distance = read_distance(row[2])
    assert distance is not None
    assert 0 == (broken.foreign.tonic.pitch_class - broken.awaited.tonic.pitch_class - distance) % 12
    inside = [numeral_of(chord, broken.foreign).text for chord in question.chords[first : last + 1]]
    assert inside in (["V7", "Imaj7"], ["ii7", "V7", "Imaj7"])
    before = numeral_of(question.chords[first - 1], broken.awaited).text
    assert before in ("ii7", "V7")
    after = [numeral_of(chord, broken.awaited).text for chord in question.chords[last + 1 :]]
    assert after[:2] == ["V7", "Imaj7"] or after[:3] == ["ii7", "V7", "Imaj7"]


@given(st.sampled_from(CATCHING), st.integers(1, 6), seeds)
def test_the_awaited_key_is_asked_where_the_key_is_given(unit: str, rung: int, seed: int) -> None:
    """Free answers to a given key name the awaited one, as a degree of it; the others don't."""
    question = kinds.build("catch-interruption", unit, rung, seed)
    assert (rung == 3) == ("awaited key" in question.fields)
    if question.accepted[0][0] == "yes":
        assert len(question.fields) == len(question.accepted[0])


def test_the_awaited_key_is_not_always_home() -> None:
    """Among some questions the awaited key is home, the fourth and the fifth."""
    built = (kinds.build("catch-interruption", "interrupted-after-two", 3, seed) for seed in range(80))
    assert {"I", "IV", "V"} == {q.accepted[0][3] for q in built if q.accepted[0][0] == "yes"}


@pytest.mark.parametrize("like", sorted(LIKE))
def test_look_alikes_are_as_long(like: tuple[str, int]) -> None:
    """For every interrupted cadence there are plain ones and cadences in turn, as long and begun by the same chord."""
    assert {like} == {(row[0], len(row)) for row in PLAIN[like]}
    assert like == (IN_TURN[like][0][0][0], sum(len(row) for row, _ in IN_TURN[like]))
    assert LIKE == set(PLAIN) == set(IN_TURN)


@pytest.mark.parametrize("unit", CATCHING)
def test_all_three_look_alikes_come_up(unit: str) -> None:
    """Plain cadences, changes of key and keys in turn all occur, and all questions are equally long."""
    built = [kinds.build("catch-interruption", unit, 2, seed) for seed in range(200)]
    none = [q for q in built if q.accepted == (("no",),)]
    for words in ("Nothing breaks in", "change of key", "each key cadences in turn"):
        assert any(words in q.explanation for q in none)
    assert {len(q.chords) for q in none} == {len(q.chords) for q in built if q not in none}


def test_explanations_name_the_chords() -> None:
    """The explanation names what was prepared, what broke in, on which chord and what came back."""
    question = first_where(
        "catch-interruption", "interrupted-after-two", 5,
        lambda q: q.accepted[0][0] == "yes" and q.accepted[0][1] == "3",
    )  # fmt: skip
    names = [chord.text for chord in question.chords]
    assert f"On chord 3, {question.broken.foreign} breaks in" in question.explanation  # type: ignore[union-attr]
    assert question.explanation.startswith(names[1])
    assert "<" not in question.explanation


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Type `no`, or `yes` with chord and distance"),
        ("maybe", "I can't read 'maybe'"),
        ("yes 99 b2", "There is no chord 99"),
        ("yes 0 b2", "There is no chord 0"),
        ("yes 2 half step", "Say `up` or `down` with it"),
        ("yes 2 sideways", "I can't read 'sideways' as a distance"),
        ("yes 2 b2 H", "I can't read 'b2 H'"),
        ("yes 2 awaited", "I can't read"),
        ("x" * 500, "longer than any answer"),
    ],
)
def test_what_cannot_be_read_of_an_interruption_is_told(text: str, message: str) -> None:
    """A bad answer says what was found and what is accepted, and is never marked."""
    question = kinds.build("catch-interruption", "interrupted-after-two", 3, 2)
    with pytest.raises(AnswerError, match=message):
        kinds.read_answer(question, text)


@given(st.sampled_from(CATCHING), st.sampled_from([1, 2]), seeds)
def test_choices_can_be_typed_too(unit: str, rung: int, seed: int) -> None:
    """Where choices are offered, the number or the whole answer picks one."""
    question = kinds.build("catch-interruption", unit, rung, seed)
    assert question.choices is not None
    for index, row in enumerate(question.choices):
        assert index == kinds.read_answer(question, str(index + 1)).choice
        assert index == kinds.read_answer(question, " ".join(row)).choice
    with pytest.raises(AnswerError, match="none of the choices"):
        kinds.read_answer(question, "yes")
    with pytest.raises(AnswerError, match="There is no choice 7"):
        kinds.read_answer(question, "7")


@pytest.mark.parametrize("unit", CATCHING)
def test_no_preparation_leads_into_the_foreign_key(unit: str) -> None:
    """A lone ii is never iii or iv of the key that breaks in, and a V never falls into its ii (no source)."""
    for shape in CADENCE[unit].shapes:
        assert len(distances_of(shape)) >= 6
        for distance in distances_of(shape):
            if shape.before[-1] == "ii7":
                assert (2 - distance) % 12 not in (4, 5)
            elif shape.foreign[0] == "ii7":
                assert (distance + 2) % 12 != 0
