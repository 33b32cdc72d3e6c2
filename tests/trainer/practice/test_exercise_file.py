"""Exercise files: what is written opens to the same questions and sound; what is damaged or foreign is refused."""

import base64
import json
import zlib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.amounts import amount
from tests.trainer.drills.drilling import PAIRS, marked, questions
from tests.trainer.practice.exercising import bytes_of, forged, made, read
from trainer.drills import kinds
from trainer.drills.question import Question
from trainer.harmony.cadence import CADENCE
from trainer.practice.exercise import MOST_QUESTIONS, ExerciseError, sound_print
from trainer.practice.exercise_file import LARGEST_FILE, exercise_of

BY_CHANCE = 5
"""Shorter words, such as G7, stand in packed text by chance."""
FIRST = Path(__file__).parents[2] / "golden" / "exercises" / "first-light.exercise"
FEW = st.lists(questions(), min_size=1, max_size=4)
texts = st.text(st.characters(categories=["L", "N", "P", "S"]) | st.just(" "), max_size=60)


def two_five_one(rung: int = 2, seed: int = 1) -> Question:
    """A question that nobody doubts."""
    return kinds.build("name-functions", "major-two-five-one", rung, seed)


@settings(max_examples=60)
@given(FEW, texts, texts)
def test_what_is_written_opens_the_same(asked: list[Question], title: str, note: str) -> None:
    """Questions, order, title, note, sound and marks are those that were written, and so is the file written again."""
    exercise = exercise_of(asked, title, note)
    back = read(bytes_of(exercise))
    assert exercise == back
    assert bytes_of(exercise) == bytes_of(back)
    assert () == back.sounds_otherwise()
    for question, opened, sound in zip(asked, back.questions, exercise.sounds, strict=True):
        assert sound == sound_print(opened) == sound_print(question)
        assert marked(opened, opened.correct).exact
        assert question.accepted == opened.accepted


def test_every_kind_and_unit_can_be_given() -> None:
    """A question of each kind, unit and rung can be opened again, so no kind of drill is shut out."""
    for rung in range(1, 7):
        step = amount(1, 3)
        asked = [kinds.build(kind, unit, rung, 50 + rung) for kind, unit in PAIRS[rung % step :: step]]
        for start in range(0, len(asked), MOST_QUESTIONS):
            part = asked[start : start + MOST_QUESTIONS]
            assert tuple(part) == read(bytes_of(made(*part))).questions


@settings(max_examples=40)
@given(FEW)
def test_no_answer_can_be_read_by_accident(asked: list[Question]) -> None:
    """The file's text has no accepted row, no type, no chords, no prompt and no explanation in it."""
    text = bytes_of(made(*asked)).decode()
    for question in asked:
        rows = [" ".join(row) for row in question.accepted if len(row) > 1]
        chords = " ".join(chord.text for chord in question.chords)
        name = CADENCE[question.unit].name if question.unit in CADENCE else question.unit
        for told in (*rows, chords, question.unit, name, question.prompt, question.explanation):
            assert len(told) < BY_CHANCE or told not in text


def test_a_file_of_the_first_days_opens() -> None:
    """It has the fields of the contract, and its questions are these still, with their answers right."""
    data = FIRST.read_bytes()
    values = json.loads(data)
    assert ["schema", "about", "id", "title", "note", "count", "questions"] == list(values)
    exercise = read(data)
    assert ("First light", "Listen twice.", 3) == (exercise.title, exercise.note, exercise.count)
    assert [("name-functions", "backdoor", 4, "Bb major"), ("name-functions", "minor-plagal", 2, "A minor"),
            ("catch-interruption", "interrupted-after-two", 3, "F major")] == [
        (question.kind, question.unit, question.rung, question.key.name) for question in exercise.questions
    ]  # fmt: skip
    assert ["iv7 bVII9 I6", "iv6 Imaj7", "yes 2 up a half step V"] == [
        question.correct for question in exercise.questions
    ]
    assert all(marked(question, question.correct).exact for question in exercise.questions)


def test_two_sets_have_two_ids() -> None:
    """Another title, note, order or question makes another id; the same makes the same."""
    one, other = two_five_one(), two_five_one(seed=2)
    ids = {
        made(one, other).id, made(other, one).id, made(one).id, made(one, other, title="B").id,
        made(one, other, note="").id, made(one, other).id,
    }  # fmt: skip
    assert 5 == len(ids)


@settings(max_examples=200)
@given(st.data())
def test_a_damaged_file_is_refused(data: st.DataObject) -> None:
    """Cut off or with a byte changed it is refused in words that name the file, or it is the same exercise still."""
    exercise = made(two_five_one(), two_five_one(4, 3))
    whole = bytes_of(exercise)
    at = data.draw(st.integers(0, len(whole) - 1))
    if data.draw(st.booleans()):
        damaged = whole[:at]
    else:
        damaged = whole[:at] + bytes([data.draw(st.integers(0, 255))]) + whole[at + 1 :]
    try:
        assert exercise == read(damaged)
    except ExerciseError as error:
        assert str(error).startswith("week.exercise: ")


@settings(max_examples=200)
@given(st.binary(max_size=60) | st.recursive(st.none() | st.text(max_size=4), st.lists).map(lambda v: repr(v).encode()))
def test_any_bytes_are_refused_in_words(data: bytes) -> None:
    """Nothing that isn't an exercise raises anything but the error that says so."""
    with pytest.raises(ExerciseError, match=r"^week\.exercise: "):
        read(data)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "this is no exercise, or half of one"),
        (b"[" * 100_000, "this is no exercise, or half of one"),
        (b"\xff\xfe", "this is no exercise, or half of one"),
        (b"[1, 2]", "this is no exercise of keyfarer"),
        (b'{"schema": "somebody/else/1"}', "this is no exercise of keyfarer"),
        (b'{"schema": "keyfarer/question/1"}', r"but keyfarer/question/1; name the file that ends in .exercise"),
        (b'{"schema": "keyfarer/exercise/2"}', "of another version .* Update keyfarer"),
        (b'{"schema": "keyfarer/exercise/1"}', "title, note or questions are missing"),
        (b" " * (LARGEST_FILE + 1), "no exercise is so large"),
    ],
)
def test_foreign_files_are_told_apart(data: bytes, words: str) -> None:
    """What a file is instead is said, with what to do."""
    with pytest.raises(ExerciseError, match=words):
        read(data)


def longer(values: dict[str, Any]) -> None:
    """Say that there are more questions than there are."""
    values["count"] = 3


def bombed(values: dict[str, Any]) -> None:
    """Put a gigabyte of spaces into a question's place; packed it is a megabyte."""
    values["questions"][0]["packed"] = base64.b64encode(zlib.compress(b" " * 50_000_000, 9)).decode()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (longer, "the number of its questions is not as it says"),
        (bombed, "question 1 can't be unpacked"),
        (lambda v: v["questions"].clear(), "the number of its questions"),
        (lambda v: v["questions"].__setitem__(0, "nothing"), "something else in a question's place"),
        (lambda v: v.update(title="Week four"), "changed or damaged"),
        (lambda v: v.update(note=7), "title, note or questions are missing"),
        (lambda v: v["questions"].reverse(), "changed or damaged"),
        (lambda v: v["questions"][0].update(sounds="0" * 16), "changed or damaged"),
    ],
)
def test_a_file_that_was_changed_is_found_out(change: Any, words: str) -> None:
    """Title, note, number, order, questions and prints of sound are all under the print of the whole."""
    values = json.loads(bytes_of(made(two_five_one(), two_five_one(seed=2))))
    change(values)
    with pytest.raises(ExerciseError, match=words):
        read(json.dumps(values).encode())


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": "whistle-it"}, "no kind of drill 'whistle-it' here; perhaps a newer keyfarer has it.*Update"),
        ({"unit": "grand-escape"}, "doesn't train 'grand-escape' here.*Update"),
        ({"scent": "hops"}, "of a newer keyfarer .*scent.*Update"),
        ({"style": "by-elbow"}, "of a newer keyfarer .*by-elbow"),
        ({"rung": 7}, "its rung is 7"),
        ({"tempo": "100000"}, "its tempo is 100000"),
        ({"tempo": "0"}, "its tempo is 0"),
        ({"tempo": "-60"}, "its tempo is -60"),
        ({"chords": [], "beats": []}, "0 chords"),
        ({"beats": ["4"]}, "3 chords of 1 lengths"),
        ({"beats": ["4", "0", "4"]}, "no length"),
        ({"beats": ["4", "4", "10000000"]}, "without end"),
        ({"blanks": [0, 1, 9]}, "asks for a chord that it doesn't have"),
        ({"accepted": []}, "no right answer"),
        ({"accepted": [["ii7", "what", "ever"]], "choices": None}, "can't be asked"),
        ({"guess_chance": 1.0}, "chance of guessing is 1"),
        ({"guess_chance": float("nan")}, "chance of guessing is nan"),
        ({"seed": -1}, "its seed is -1"),
        ({"prompt": "\x1b[2J look"}, "holds what can't be shown"),
        ({"prompt": "x" * 5_000}, "too long"),
        ({"meter": {"beats": 0, "unit": 0}}, "can't be asked"),
        ({"chords": "C"}, "holds no question .*expected a list"),
    ],
)
def test_a_made_up_question_is_refused(change: dict[str, Any], words: str) -> None:
    """A forged file, its print in order, can't make the program ask, play or show what it shouldn't."""
    with pytest.raises(ExerciseError, match=words):
        read(forged(made(two_five_one()), lambda values: values.update(change)))


@settings(max_examples=150)
@given(questions(), st.data())
def test_no_forged_question_breaks_anything(question: Question, data: st.DataObject) -> None:
    """With any two fields taken from another question it is opened or refused, and what opens can be asked."""
    other = data.draw(questions())
    from trainer.drills.question_values import question_values

    values = question_values(other)
    names = data.draw(st.lists(st.sampled_from(sorted(values)), min_size=1, max_size=2))
    try:
        opened = read(forged(made(question), lambda mine: mine.update({name: values[name] for name in names})))
    except ExerciseError as error:
        assert str(error).startswith("week.exercise: ")
        return
    assert marked(opened.questions[0], opened.questions[0].correct).exact


@pytest.mark.parametrize(
    ("title", "note", "words"),
    [("\x1b[31mred", "", "can be shown"), ("a\nb", "", "one line"), ("t" * 121, "", "121 letters"),
     ("", "n" * 2001, "2001 letters"), ("", "bell\a", "can be shown")],
)  # fmt: skip
def test_titles_and_notes_that_a_terminal_would_stumble_over(title: str, note: str, words: str) -> None:
    """They are refused when an exercise is made, and when it is opened."""
    with pytest.raises(ExerciseError, match=words):
        made(two_five_one(), title=title, note=note)
    with pytest.raises(ExerciseError, match=words):
        read(forged(made(two_five_one()), whole=lambda values: values.update(title=title, note=note)))


def test_a_note_may_have_lines() -> None:
    """A note of several lines comes back as it is."""
    assert "Listen.\nThen sing." == read(bytes_of(made(two_five_one(), note="Listen.\nThen sing."))).note


def test_another_voicing_is_told_and_the_question_stays() -> None:
    """Where a question sounds otherwise than it did, its number is told; what is asked and right is as it was."""
    exercise = made(two_five_one(), two_five_one(4, 3))
    opened = read(forged(exercise, whole=lambda values: values["questions"][1].update(sounds="0" * 16)))
    assert (2,) == opened.sounds_otherwise()
    assert exercise.questions == opened.questions


def test_an_exercise_has_an_end() -> None:
    """More questions than anyone would answer are refused, and so are none."""
    for number in (0, MOST_QUESTIONS + 1):
        with pytest.raises(ExerciseError, match="1 to 500 questions"):
            made(*[two_five_one()] * number)
