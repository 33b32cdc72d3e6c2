"""Reading what a player says of two stretches: which of them it is, and the chord on which they differ.

`first`, `second`, `both` or `neither`, also as `1st`, `2nd`; the chord follows as a number: `first 3`, `2nd, chord
3`. What isn't said is left out, not an error.
"""

import re
from collections.abc import Mapping
from types import MappingProxyType

from trainer.drills.answer import Answer, AnswerError, ToldApart, Which, cleaned, picked, what_picks
from trainer.drills.question import Question, Row

WHICH: tuple[Which, ...] = ("first", "second", "both", "neither")
"""In the order in which they are offered."""

_WORDS: Mapping[str, Which] = MappingProxyType(
    {
        "first": "first", "1st": "first", "1": "first", "one": "first",
        "second": "second", "2nd": "second", "2": "second", "two": "second", "last": "second",
        "both": "both", "neither": "neither", "none": "neither",
    }
)  # fmt: skip
_NUMBERS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_FILLERS = frozenset({"the", "is", "it", "of", "them", "chord", "chords", "on", "at", "differ", "differs", "stretch"})


def accepts(question: Question) -> str:
    """What may be typed as an answer, in a sentence or two."""
    if (picks := what_picks(question)) is not None:
        return picks
    return "Type `first` or `second` with the chord on which they differ, such as `first 3`; or `both`, or `neither`."


def read(question: Question, text: str) -> Answer:
    """Read an answer. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    choice = picked(question, stripped)
    if choice is not None:
        return Answer(stripped, choice=choice)
    said = _told_apart(question, stripped)
    if question.choices is None:
        return Answer(stripped, told_apart=said)
    for index, row in enumerate(question.choices):
        if apart_of(row) == said:
            return Answer(stripped, choice=index)
    raise AnswerError(f"That is none of the choices. {accepts(question)}")


def apart_of(row: Row) -> ToldApart:
    """What a row of an answer says."""
    return ToldApart(_WORDS[row[0]], int(row[1]) if len(row) > 1 else None)


def _told_apart(question: Question, text: str) -> ToldApart:
    words = [word for word in re.split(r"[\s,;:.]+", text.lower()) if word and word not in _FILLERS]
    which = _WORDS.get(words[0]) if words else None
    if which is None or len(words) > 2:
        raise AnswerError(f"I can't read {text[:24]!r}. {accepts(question)}")
    if len(words) == 1:
        return ToldApart(which)
    if which in ("both", "neither"):
        raise AnswerError(f"Where it is {which}, they don't differ. {accepts(question)}")
    return ToldApart(which, _place(question, words[1]))


def _place(question: Question, word: str) -> int:
    found = re.fullmatch(r"#?(\d{1,3})(?:st|nd|rd|th)?", word)
    number = int(found[1]) if found else _NUMBERS.get(word)
    size = 0 if question.two is None else question.two.size
    if number is None:
        raise AnswerError(f"I can't read {word[:24]!r} as the number of a chord. {accepts(question)}")
    if not 1 <= number <= size:
        raise AnswerError(f"There is no chord {number}: each stretch has {size} chords. {accepts(question)}")
    return number
