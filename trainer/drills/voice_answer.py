"""Reading a voice: degrees of the key in order (`1 7 7`, `b3 2`), or in a given key notes (`Ab G G`).

`?` leaves one out; spaces, commas and dashes part them, plain degrees may stand in one word (`177`).
"""

import re

from trainer.drills.answer import Answer, AnswerError, cleaned, picked, what_picks
from trainer.drills.heard import HeardChord, degree_from
from trainer.drills.question import Question
from trainer.harmony.numeral import PLAIN_DEGREES
from trainer.harmony.pitch import read_letter_and_signs

_APART = re.compile(r"[\s,;|→>–—-]+")
_ONE_WORD = re.compile(r"(?:[b#♭♯]?[1-7]|\?)+")
_EACH = re.compile(r"[b#♭♯]?[1-7]|\?")
_NUMBERS = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7"}
_SIGNS = {"flat": "b", "sharp": "#", "b": "b", "#": "#", "♭": "b", "♯": "#"}
_NOTE = re.compile(r"[A-Ga-g][b#♭♯]?")


def accepts(question: Question) -> str:
    """What may be typed as an answer, in a sentence or two."""
    if (picks := what_picks(question)) is not None:
        return picks
    notes = ", or notes" if question.confirm else ""
    return f"Type {len(question.blanks)} degrees of the key, such as `4 3` or `b6 5`{notes}; `?` leaves one out."


def read(question: Question, text: str) -> Answer:
    """Read a voice, or the number of a choice. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    if (choice := picked(question, stripped)) is not None:
        return Answer(stripped, choice=choice)
    count = len(question.blanks)
    notes = [_note(question, word) for word in _words(stripped, count)]
    if len(notes) != count:
        raise AnswerError(f"You gave {len(notes)} for {count}. {accepts(question)}")
    if all(not note.degrees for note in notes):
        raise AnswerError(f"Every note is left out. {accepts(question)} Or `skip`.")
    if question.choices is None:
        return Answer(stripped, row=tuple(notes))
    said = [note.degrees[0].semitones if note.degrees else None for note in notes]
    for index, row in enumerate(question.choices):
        if said == [degree.semitones if (degree := degree_from(text)) else None for text in row]:
            return Answer(stripped, choice=index)
    raise AnswerError(f"That is none of the choices. {accepts(question)}")


def _words(text: str, count: int) -> list[str]:
    """The words of a voice: a sign belongs to the degree after it, plain degrees in one word are parted."""
    parts = [part for part in _APART.split(text.strip(" .()")) if part]
    if len(parts) == 1 and count > 1 and _ONE_WORD.fullmatch(parts[0]):
        return _EACH.findall(parts[0])
    words: list[str] = []
    sign = ""
    for place, part in enumerate(parts):
        word = _NUMBERS.get(part.lower(), part)
        follows = _NUMBERS.get(parts[place + 1].lower(), parts[place + 1]) if place + 1 < len(parts) else ""
        if not sign and part.lower() in _SIGNS and follows in "1234567" and follows:
            sign = _SIGNS[part.lower()]
            continue
        words.append(sign + word)
        sign = ""
    return words


def _note(question: Question, word: str) -> HeardChord:
    """One note of an answer. Raises AnswerError."""
    if word in ("?", "_"):
        return HeardChord(word, (), None)
    if (degree := degree_from(word)) is not None:
        return HeardChord(word, (degree,), None)
    if _NOTE.fullmatch(word) and (named := read_letter_and_signs(word[:1].upper() + word[1:])) is not None:
        if not question.confirm:
            raise AnswerError(f"The key is not given, so the note {word!r} says nothing. {accepts(question)}")
        up = (named[0].pitch_class - question.key.tonic.pitch_class) % 12
        return HeardChord(word, (PLAIN_DEGREES[up],), None)
    raise AnswerError(f"I can't read {word[:24]!r} as a degree. {accepts(question)}")
