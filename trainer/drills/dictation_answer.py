"""A dictation as it is typed: degrees in order, and where the center moves its degree in the first key and a colon.

`1 6 2 5 to 4: 2 5 1` is I vi ii V of the first key and ii V I of its fourth; `to` may stay away (`1 6 2 5 4: 2 5 1`),
`m` after a center is minor (`to 6m: 2 5 1`), and where the key is given a center may be named (`to F: 2 5 1`).
What the house writes is read in the same way.
"""

import re

from trainer.drills.answer import Answer, AnswerError, HeardCenter, cleaned, loose_row, picked, what_picks
from trainer.drills.center_answer import read_center
from trainer.drills.heard import HeardChord
from trainer.drills.question import Question, Row

_CENTER = re.compile(
    r"[\s|,;]*(?:\b(?:to|in)\s+)?(?P<center>[^\s:|,;]+(?:\s+(?:major|minor|maj|min|m|M))?)\s*:", re.IGNORECASE
)
_PART = re.compile(r"(?:to (?P<center>[^:]+): )?(?P<chord>\S+)")


def accepts(question: Question) -> str:
    """What may be typed as an answer, in a sentence or two."""
    if (picks := what_picks(question)) is not None:
        return picks
    named = " or by its name" if question.confirm else ""
    return (
        f"Type {len(question.blanks)} degrees in order, as `1 6 2 5 to 4: 2 5 1`, where `to 4:` says that the center"
        f" moves there, counted from the first one{named} (`to 6m:` for a minor one). `?` leaves a chord out."
    )


def read(question: Question, text: str) -> Answer:
    """Read an answer. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    if (choice := picked(question, stripped)) is not None:
        return Answer(stripped, choice=choice)
    row, centers = _parted(question, stripped)
    count = len(question.blanks)
    if len(row) != count:
        many = "1 degree" if len(row) == 1 else f"{len(row)} degrees"
        raise AnswerError(f"You gave {many} for {count} chords. {accepts(question)}")
    if all(not chord.degrees for chord in row):
        raise AnswerError(f"Every chord is left out. {accepts(question)} Or `skip`.")
    if question.choices is not None:
        texts = tuple(chord.text for chord in row)
        if texts in question.choices:
            return Answer(stripped, choice=question.choices.index(texts))
        raise AnswerError(f"That is none of the choices. {accepts(question)}")
    return Answer(stripped, row=row, centers=centers)


def _parted(question: Question, text: str) -> tuple[tuple[HeardChord, ...], tuple[HeardCenter, ...]]:
    """Chords, and centers with the chord from which they hold. Raises AnswerError."""
    row: list[HeardChord] = []
    centers: list[HeardCenter] = []
    at = 0
    for found in [*_CENTER.finditer(text), None]:
        piece = text[at : len(text) if found is None else found.start()]
        if piece.strip(" ,;|"):
            chords = loose_row(piece)
            if isinstance(chords, str):
                raise AnswerError(f"{chords} {accepts(question)}")
            row += chords
        if found is None:
            break
        center = read_center(found["center"], question.key, question.confirm)
        if center is None:
            raise AnswerError(f"I can't read {found['center'][:24]!r} as a key center. {accepts(question)}")
        centers.append(HeardCenter(center.text, center.up, center.mode, len(row)))
        at = found.end()
    if centers and centers[0].at == 0 and (centers[0].up, centers[0].mode) == (0, question.key.mode):
        del centers[0]
    if centers and centers[-1].at >= len(row):
        raise AnswerError(f"No chord follows the center {centers[-1].text!r}. {accepts(question)}")
    return tuple(row), tuple(centers)


def parts_of(question: Question, row: Row) -> tuple[Row, tuple[HeardCenter, ...]]:
    """The chords of a row of the house, and its centers with the chord from which they hold."""
    chords: list[str] = []
    centers: list[HeardCenter] = []
    for at, text in enumerate(row):
        found = _PART.fullmatch(text)
        assert found is not None
        chords.append(found["chord"])
        if found["center"]:
            center = read_center(found["center"], question.key, named=False)
            assert center is not None
            centers.append(HeardCenter(center.text, center.up, center.mode, at))
    return tuple(chords), tuple(centers)
