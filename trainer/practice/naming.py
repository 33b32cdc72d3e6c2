"""The border where a question is told and answered in the player's note names; the question itself stays English."""

import re
from dataclasses import replace

from trainer.drills.answer import AnswerError
from trainer.drills.mark import Mark
from trainer.drills.question import Question
from trainer.harmony.note_names import Naming, english, named, note_told
from trainer.harmony.pitch import NoteNameError, read_letter_and_signs


def said(question: Question, text: str, naming: Naming) -> str:
    """A sentence about a question, in the player's names."""
    return text if naming == "english" else named(text, naming, _symbols(question))


def read_typed(text: str, naming: Naming) -> str:
    """An answer in English names, as it is read and logged. Raises AnswerError for a name that says two things."""
    try:
        return english(text, naming)
    except NoteNameError as error:
        raise AnswerError(f"I can't read {error.text!r}: expected {error.expected}.") from None


def said_back(text: str, naming: Naming) -> str:
    """Part of an answer in the player's names; notes that were typed small stay small."""
    if naming == "english":
        return text
    return named(_SMALL.sub(lambda found: _small(found[0], naming), text), naming)


def told_mark(question: Question, mark: Mark, naming: Naming) -> Mark:
    """A mark whose parts say what was heard and what was right in the player's names."""
    if naming == "english":
        return mark
    parts = (
        replace(part, heard=said_back(part.heard, naming), right=said(question, part.right, naming))
        for part in mark.parts
    )
    return replace(mark, parts=tuple(parts))


_SMALL = re.compile(r"(?<![\w#])[a-g][b#]?(?=m?(?:$|[\s,]))")
"""A note in small letters; `a half step` is none."""


def _small(text: str, naming: Naming) -> str:
    read = read_letter_and_signs(text.capitalize())
    return text if read is None or text == "a" else note_told(read[0], naming).lower()


def _symbols(question: Question) -> frozenset[str]:
    chords = [*question.chords, *(question.two.asked + question.two.instead if question.two else ())]
    if question.ending is not None:
        chords.append(question.ending)
    return frozenset(chord.text for chord in chords)
