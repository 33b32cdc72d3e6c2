"""A route as it is typed: centers in order as degrees of the first key (`1 b3 6m 1`), or by name where it is given."""

import re

from trainer.drills.answer import Answer, AnswerError, HeardCenter, cleaned, picked, what_picks
from trainer.drills.center_answer import pieces, read_center
from trainer.drills.question import Question

_DASHES = re.compile(r"(?<=\w)\s*[-–—]\s*(?=[b#♭♯]?\w)")


def accepts(question: Question) -> str:
    """What may be typed as an answer, in a sentence or two."""
    if (picks := what_picks(question)) is not None:
        return picks
    named = ", or their names" if question.confirm else ""
    return (
        f"Type the centers in order as degrees of the first one, `m` after a minor one: `1 b3 6m 1`{named};"
        " `?` leaves one out."
    )


def read(question: Question, text: str) -> Answer:
    """Read an answer. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    if (choice := picked(question, stripped)) is not None:
        return Answer(stripped, choice=choice)
    heard = _heard(question, stripped)
    if all(one.up is None for one in heard):
        raise AnswerError(f"Every center is left out. {accepts(question)} Or `skip`.")
    if question.choices is None:
        return Answer(stripped, centers=heard)
    fitting = [
        index for index, row in enumerate(question.choices)
        if len(heard) == 1 and same_center(center_of(question, row[0]), heard[0])
    ]  # fmt: skip
    if len(fitting) == 1:
        return Answer(stripped, choice=fitting[0])
    raise AnswerError(f"That is none of the choices. {accepts(question)}")


def same_center(one: HeardCenter, other: HeardCenter) -> bool:
    """Whether two are one tonic and one mode."""
    return (one.up, one.mode) == (other.up, other.mode)


def _heard(question: Question, text: str) -> tuple[HeardCenter, ...]:
    heard: list[HeardCenter] = []
    for piece in pieces(_DASHES.sub(" ", text)):
        whole = read_center(piece, question.key, question.confirm)
        if whole is not None:
            heard.append(whole)
            continue
        words = piece.split(" ")
        while words:
            for size in (3, 2, 1):
                one = read_center(" ".join(words[:size]), question.key, question.confirm)
                if one is not None and len(words) >= size:
                    heard.append(one)
                    del words[:size]
                    break
            else:
                raise AnswerError(f"I can't read {words[0][:24]!r} as a key center. {accepts(question)}")
    if not heard:
        raise AnswerError(accepts(question))
    return tuple(heard)


def center_of(question: Question, text: str) -> HeardCenter:
    """A center as the house writes it."""
    one = read_center(text, question.key, named=False)
    assert one is not None
    return one
