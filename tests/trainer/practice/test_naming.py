"""Questions told in other names: each note, key and chord is renamed, and nothing else."""

import pytest

from tests.amounts import amount
from tests.trainer.harmony import marked_names
from trainer.drills.answer import AnswerError
from trainer.drills.kinds import KINDS, build, mark_answer, read_answer, right_answer
from trainer.drills.question import Question
from trainer.harmony.key import Key, parse_key
from trainer.harmony.note_names import Naming
from trainer.practice.naming import read_typed, said, said_back, told_mark

KEYS = ("A", "B", "Bb", "Eb", "F#")
"""Tonics whose names are the likeliest to be taken for something else."""
SEEDS = (3, 4)
CASES = [(kind.id, unit) for kind in KINDS.values() for unit in kind.units]


def symbols(question: Question) -> frozenset[str]:
    """The chords of a question, its brackets off."""
    two = question.two
    chords = (*question.chords, *(two.asked + two.instead if two else ()), question.ending)
    return frozenset(marked_names.plain(chord.text) for chord in chords if chord is not None)


def texts(question: Question) -> tuple[str, ...]:
    """All sentences that a player is told of a question."""
    return (question.prompt, question.explanation, right_answer(question))


@pytest.mark.parametrize("naming", ["german", "solfege"])
@pytest.mark.parametrize(("kind", "unit"), CASES[:: amount(1, 4)])
def test_every_name_of_a_question_is_renamed(
    monkeypatch: pytest.MonkeyPatch, kind: str, unit: str, naming: Naming
) -> None:
    """Its sentences in other names are those that would be made with these names from the start."""
    tonics = KEYS[len(unit) % 2 :: 2]
    for tonic, seed, rung in zip(tonics, (*SEEDS, 5), (1, 3, 6), strict=False):
        key = Key(parse_key(tonic).tonic, KINDS[kind].mode_of(unit))
        english = build(kind, unit, rung, seed, key=key)
        with monkeypatch.context() as patch:
            marked_names.mark_names(patch)
            marked = build(kind, unit, rung, seed, key=key)
            sentences, chords = texts(marked), symbols(marked)
        assert "⟨" in sentences[1], "an explanation names chords or keys"
        for plain, with_marks in zip(texts(english), sentences, strict=True):
            assert plain == marked_names.plain(with_marks)
            assert marked_names.told(with_marks, naming, chords) == said(english, plain, naming)


@pytest.mark.parametrize(
    ("kind", "unit", "typed"),
    [
        ("finish-it", "major-two-five-one", {"english": "Bb major", "german": "B-Dur", "solfege": "sib major"}),
        ("guide-tones", "major-two-five-one", {"english": "Bb Bb A", "german": "B b a", "solfege": "sib Sib la"}),
    ],
)
def test_an_answer_is_read_in_all_three_ways(kind: str, unit: str, typed: dict[Naming, str]) -> None:
    """The same notes typed in English, German and solfege are the same answer, and what was heard is told back so."""
    question = build(kind, unit, 3, 7, key=parse_key("Bb"))
    marks = {}
    for naming, text in typed.items():
        answer = read_answer(question, read_typed(text, naming))
        marks[naming] = mark_answer(question, answer)
        told = told_mark(question, marks[naming], naming)
        assert [part.credit for part in told.parts] == [part.credit for part in marks["english"].parts]
    assert marks["english"].credit == marks["german"].credit == marks["solfege"].credit


def test_a_german_b_is_b_flat() -> None:
    """In a given key of B flat a German B is its tonic and an H isn't; in English B is B natural."""
    question = build("guide-tones", "major-two-five-one", 3, 7, key=parse_key("Bb"))
    blanks = len(question.blanks)

    def degrees(text: str, naming: Naming) -> list[int]:
        row = read_answer(question, read_typed(text, naming)).row
        assert row is not None
        return [chord.degrees[0].semitones for chord in row]

    assert [0] * blanks == degrees(" ".join("B" * blanks), "german")
    assert [1] * blanks == degrees(" ".join("H" * blanks), "german")
    assert [1] * blanks == degrees(" ".join("B" * blanks), "english")
    with pytest.raises(AnswerError, match="H for B natural"):
        read_typed("B#", "german")


def test_what_was_typed_is_told_back() -> None:
    """Notes that were read in English are told in the player's names, degrees and words as they are."""
    assert ("H b es a", "b3 1", "up a half step") == (
        said_back("B bb eb a", "german"), said_back("b3 1", "german"), said_back("up a half step", "german"),
    )  # fmt: skip
    assert "sib La" == said_back("bb A", "solfege")
    assert "bb A" == said_back("bb A", "english")
