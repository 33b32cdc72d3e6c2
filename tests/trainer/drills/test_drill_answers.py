"""Answers as players type them: every form of a right one is right, what can't be read is told."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.trainer.drills.drilling import NAMING, first_where, marked, questions, seeds
from trainer.drills import kinds
from trainer.drills.answer import AnswerError, one_word, pick
from trainer.drills.heard import read_chord_heard
from trainer.drills.question import Question
from trainer.harmony.numeral import parse_numeral

WORDS = ["yes", "no", "1", "2", "3", "4", "5", "up", "down", "half", "step", "third", "minor", "+1", "-2",
         "b2", "IV", "ii", "?", "V7", ",", "-", "/", "C"]  # fmt: skip


def plain(unit: str = "major-two-five-one", rung: int = 3) -> Question:
    """A two-five-one of three plain chords in a free answer."""
    return first_where("name-functions", unit, rung, lambda q: q.numerals == ("ii7", "V7", "Imaj7"))


@pytest.mark.parametrize(
    "text",
    [
        "2 5 1", "ii V I", "ii7 V7 Imaj7", "2-5-1", "2,5,1", "2, 5, 1", "II v i", "II7 v7 IMAJ7", "251",
        "iiVI", "  2   5 1 ", "2–5–1", "two five one", "two-five-one", "ii-7 V7 IΔ", "2m7 57 1maj7",
        "ii7 | V7 | I", "ii7V7Imaj7", "2m 5 1", "ii9 V13 I6", "ii min7 V 7 I maj7", "2 → 5 → 1", "(2 5 1)",
        "iim7 V7alt I",        "2 5 1.", "2;5;1", "2>5>1",
    ],
)  # fmt: skip
def test_every_way_to_type_a_two_five_one_is_right(text: str) -> None:
    """Roman, arabic, in words, with qualities or without, in any case, apart or in one word."""
    assert marked(plain(), text).exact


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Fill 3 blanks with degrees, such as `2 5 1`"),
        ("   ", "Fill 3 blanks"),
        ("2 5", "You gave 2 degrees for 3 blanks"),
        ("5", "You gave 1 degree for 3 blanks"),
        ("2 5 1 4", "You gave 4 degrees for 3 blanks"),
        ("Dm7 G7 Cmaj7", "I can't read 'Dm7' as a degree"),
        ("2 8 1", "I can't read '8' as a degree"),
        ("2 b 1", "You gave 2 degrees for 3 blanks|can't read"),
        ("2xyz 5 1", "I can't read '2xyz' as a degree"),
        ("? ? ?", "Every blank is left out"),
        ("2 5 1 " * 200, "longer than any answer"),
    ],
)
def test_what_cannot_be_read_is_told(text: str, message: str) -> None:
    """A bad answer says what was found and what is accepted, and is never marked."""
    with pytest.raises(AnswerError, match=message):
        kinds.read_answer(plain(), text)


@given(questions())
def test_every_accepted_answer_gets_full_credit(question: Question) -> None:
    """Each accepted row is right as written, in other case, with other spaces and without qualities."""
    rows = question.accepted
    if question.kind != "name-functions":
        offered = rows if question.choices is None else [row for row in rows if row in question.choices]
        assert offered
        assert all(marked(question, " ".join(row)).exact for row in offered)
        return
    if question.choices is not None:
        assert marked(question, str(question.choices.index(rows[0]) + 1)).exact
        return
    for row in rows:
        degrees = [read_chord_heard(text) for text in row]
        arabic = [chord.degrees[0].arabic for chord in degrees if chord is not None]
        roman = [str(chord.degrees[0]) for chord in degrees if chord is not None]
        for text in (
            " ".join(row), ", ".join(row), " ".join(arabic), "-".join(arabic), "".join(arabic),
            " ".join(roman).upper().replace("B", "b"), " ".join(roman).lower(),
        ):  # fmt: skip
            assert marked(question, text).exact, (row, text)


@given(st.sampled_from(NAMING), st.integers(1, 2), seeds)
def test_a_number_picks_a_choice(unit: str, rung: int, seed: int) -> None:
    """Where choices are offered a number alone picks one, and a whole row does where it fits no other."""
    question = kinds.build("name-functions", unit, rung, seed)
    assert question.choices is not None
    for index, row in enumerate(question.choices):
        assert index == kinds.read_answer(question, str(index + 1)).choice == pick(question, index).choice
        assert index == kinds.read_answer(question, " ".join(row)).choice
    with pytest.raises(AnswerError, match=r"no choice 9\. Type 1, 2"):
        kinds.read_answer(question, "9")


def test_a_row_that_fits_several_choices_is_asked_back() -> None:
    """Bare degrees that fit two choices don't pick either."""
    question = first_where(
        "name-functions", "plagal", 2,
        lambda q: sum([parse_numeral(t).degree.number for t in row] == [4, 1] for row in q.choices) > 1,
    )  # fmt: skip
    with pytest.raises(AnswerError, match=r"That fits choices \d and \d"):
        kinds.read_answer(question, "4 1")


def test_a_row_that_is_no_choice_is_asked_back() -> None:
    """A readable row that isn't offered is not marked."""
    question = first_where("name-functions", "plagal", 1, lambda q: len(q.blanks) == 2)
    with pytest.raises(AnswerError, match=r"none of the choices\. Type 1, 2 or 3 to pick an answer"):
        kinds.read_answer(question, "b2 #4")


def test_choices_that_are_not_offered_cannot_be_picked() -> None:
    """A key for a choice that isn't there is no answer."""
    with pytest.raises(AnswerError, match="no choice 1"):
        pick(plain(), 0)


@pytest.mark.parametrize(
    ("text", "count", "ways"),
    [
        ("251", 3, 1), ("b2b51", 3, 1), ("iivi", 3, 3), ("iiV", 2, 2), ("25", 3, 0), ("2?1", 3, 1),
        ("x", 1, 0), ("1" * 50, 50, 0),
    ],
)  # fmt: skip
def test_one_word_is_parted_where_it_can_be(text: str, count: int, ways: int) -> None:
    """A word is parted into so many degrees; two ways are one too many."""
    assert ways == len(one_word(text, count))


def test_a_word_that_can_be_parted_in_two_ways_is_asked_back() -> None:
    """`iivi` may be ii V I or i iv I, so nothing is guessed; `iiVI` can only be meant one way."""
    with pytest.raises(AnswerError, match="can't read 'iivi'"):
        kinds.read_answer(plain(), "iivi")
    assert marked(plain(), "iiVI").exact


@pytest.mark.parametrize(
    ("text", "semitones"),
    [("b2", 1), ("♭II", 1), ("#4", 6), ("b5", 6), ("V7/ii", 9), ("V/V", 2), ("viiø7", 11), ("bVII13", 10),
     ("#iv°7", 6), ("I6/9", 0), ("7", 11), ("57", 7), ("vii", 11)],
)  # fmt: skip
def test_a_degree_is_read(text: str, semitones: int) -> None:
    """A degree is so many half steps above the tonic, whatever is written after it."""
    chord = read_chord_heard(text)
    assert chord is not None
    assert semitones == chord.degrees[0].semitones


@given(questions(), st.text(max_size=60))
@example(kinds.build("catch-interruption", "interrupted-after-two", 3, 2), "yes 2 b2 ")
@example(kinds.build("name-functions", "plagal", 3, 2), "2/")
def test_no_text_breaks_the_reading(question: Question, text: str) -> None:
    """Any text is an answer that can be marked, or an error that says what is accepted."""
    try:
        mark = marked(question, text)
    except AnswerError:
        return
    assert 0.0 <= mark.credit <= 1.0


@given(
    questions(),
    st.lists(st.sampled_from(WORDS)),
)
def test_no_words_break_the_reading(question: Question, words: list[str]) -> None:
    """Nor do the words of answers in any order."""
    try:
        mark = marked(question, " ".join(words))
    except AnswerError:
        return
    assert mark.exact == (mark.credit == 1.0)
