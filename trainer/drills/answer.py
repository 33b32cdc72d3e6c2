"""Answers as players type or key them.

A row of degrees is typed as `2 5 1`, `ii V I`, `2-5-1`, `ii7, V7, Imaj7` or, where no quality is
written, in one word (`251`); `?` leaves one out. Case and spaces say nothing. Where a question offers
choices, a number alone picks one and a whole row does too. What can't be read is told to the player
and is never a wrong answer.
"""

import re
from itertools import pairwise
from typing import Literal

from trainer.drills.heard import HeardChord, read_chord_heard, same_color
from trainer.drills.question import Question, Row
from trainer.errors import KeyfarerError
from trainer.harmony.key import Mode
from trainer.harmony.numeral import Degree, parse_numeral
from trainer.records import dataclass

LONGEST = 400
"""Characters of an answer that are looked at."""


class AnswerError(KeyfarerError):
    """An answer that can't be read; it counts as nothing. The message says what would be accepted."""


@dataclass(frozen=True, slots=True)
class Caught:
    """What was heard of an interruption; None for what wasn't said."""

    breaks_in: bool
    chord: int | None = None
    """The first chord of the foreign cadence, from 1."""
    distance: int | None = None
    """Half steps from the awaited tonic to the foreign one, -5 to 6."""
    awaited: int | None = None
    """Half steps from the tonic of the given key up to the awaited one, 0 to 11."""


Which = Literal["first", "second", "both", "neither"]
"""Which of two stretches is the asked type."""


@dataclass(frozen=True, slots=True)
class ToldApart:
    """What was heard of two stretches; None for what wasn't said."""

    which: Which
    chord: int | None = None
    """The chord on which they differ, from 1 in each stretch."""


@dataclass(frozen=True, slots=True)
class HeardCenter:
    """A key center of an answer, or a move to it."""

    text: str
    up: int | None
    """Half steps from the tonic that it is counted from; None: not heard (`?`)."""
    mode: Mode | None
    at: int = 0
    """The first chord in it, from 0, where chords are asked too."""


@dataclass(frozen=True, slots=True)
class Goal:
    """Where a preparation was heard to lead."""

    degree: Degree
    """Of the key."""
    mode: Mode | None
    """Of the chord there; None where it wasn't said."""


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer that could be read."""

    text: str
    choice: int | None = None
    """Which of the choices, from 0."""
    row: tuple[HeardChord, ...] | None = None
    """For a row of degrees."""
    caught: Caught | None = None
    """For an interruption."""
    centers: tuple[HeardCenter, ...] | None = None
    """For moves, a route, or the centers of a row."""
    named: str | None = None
    """For a cadence: the id of the type that was named."""
    goal: Goal | None = None
    """For a preparation."""
    told_apart: ToldApart | None = None
    """For two stretches."""


_WORDS = {
    "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7",
}  # fmt: skip
_SEPARATED = re.compile(r"[\s,;|→>]+")
_DASHES = re.compile(r"[\s,;|→>–—-]+")
_ONE_WORD = re.compile(
    r"[?_]|[b#♭♯]?(?:[1-7]|(?:vii|vi|v|iv|iii|ii|i)"
    r"(?:maj7|maj9|maj|m7b5|m7|m6|ø7|ø|°7|°|dim7|dim|7alt|7b9|7sus4|7|6|9|13)?)",
    re.IGNORECASE,
)
_LONGEST_WORD = 9
_ENOUGH_WAYS = 20
_QUALITY_ALONE = re.compile(r"(?:maj|min|mi|m|M|ø|°|dim|aug|sus|alt|Δ)[0-9b#]*", re.IGNORECASE)
"""A quality that stands apart from its degree belongs to the one before."""


def cleaned(text: str) -> str:
    """The text without surrounding space; raises AnswerError where nothing or a whole page is typed."""
    stripped = " ".join(text.split())
    if len(stripped) > LONGEST:
        raise AnswerError(f"That is longer than any answer ({len(stripped)} characters). Type it shorter.")
    return stripped


def picked(question: Question, text: str) -> int | None:
    """The choice that a number alone picks, from 0; None for no number, or where nothing is offered."""
    if question.choices is None or not re.fullmatch(r"\(?[0-9]+[).]?", text):
        return None
    number = int(text.strip("()."))
    if not 1 <= number <= len(question.choices):
        raise AnswerError(f"There is no choice {number}. Type {_numbers(len(question.choices))}.")
    return number - 1


def _numbers(count: int) -> str:
    return ", ".join(str(n) for n in range(1, count)) + f" or {count}"


def pick(question: Question, choice: int) -> Answer:
    """The answer of a key pressed for a choice, counted from 0. Raises AnswerError."""
    if question.choices is None or not 0 <= choice < len(question.choices):
        raise AnswerError(f"There is no choice {choice + 1}.")
    return Answer(" ".join(question.choices[choice]), choice=choice)


def what_picks(question: Question) -> str | None:
    """What may be typed where choices are offered, in a sentence; None where none are."""
    return None if question.choices is None else f"Type {_numbers(len(question.choices))} to pick an answer."


def row_accepted(question: Question) -> str:
    """What may be typed where a row of degrees is asked, in a sentence or two."""
    if (picks := what_picks(question)) is not None:
        return picks
    count = len(question.blanks)
    blanks = "1 blank" if count == 1 else f"{count} blanks"
    return f"Fill {blanks} with degrees, such as `2 5 1` or `ii7 V7 Imaj7`; `?` leaves one out."


def read_row(question: Question, text: str) -> Answer:
    """Read a row of degrees, or the number of a choice. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(row_accepted(question))
    choice = picked(question, stripped)
    if choice is not None:
        return Answer(stripped, choice=choice)
    count = len(question.blanks)
    heard = _heard_row(stripped, count)
    if isinstance(heard, str):
        raise AnswerError(f"{heard} {row_accepted(question)}")
    if len(heard) != count:
        filled = f"{len(heard)} degree{'s' if len(heard) != 1 else ''}"
        raise AnswerError(f"You gave {filled} for {count} blank{'s' if count != 1 else ''}. {row_accepted(question)}")
    if all(not chord.degrees for chord in heard):
        raise AnswerError(f"Every blank is left out. {row_accepted(question)} Or `skip`.")
    if question.choices is not None:
        exact = tuple(chord.text for chord in heard)
        meant = question.choices.index(exact) if exact in question.choices else _choice_meant(question, heard)
        return Answer(stripped, choice=meant)
    return Answer(stripped, row=heard)


def _heard_row(text: str, count: int) -> tuple[HeardChord, ...] | str:
    """The chords of a row, or what can't be read of it."""
    parts = _split(text, count)
    found: list[HeardChord] = []
    for part in parts:
        chord = read_chord_heard(part)
        if chord is None:
            return f"I can't read {part[:24]!r} as a degree."
        found.append(chord)
    return tuple(found)


def loose_row(text: str) -> tuple[HeardChord, ...] | str:
    """Degrees of any number, apart or run together; or what can't be read of them."""
    parts = _joined(_SEPARATED.split(text.strip(" ,;|→>.()")))
    dashed = _joined(_DASHES.split(text.strip(" ,;|→>.()-–—")))
    found: list[HeardChord] = []
    for part in parts if all(read_chord_heard(word) for word in parts) else dashed:
        words = [part] if read_chord_heard(part) else _run_together(part)
        if not words:
            return f"I can't read {part[:24]!r} as a degree."
        found += [chord for word in words if (chord := read_chord_heard(word)) is not None]
    return tuple(found)


def _run_together(word: str) -> list[str]:
    """The degrees of one word where there is one way to part it."""
    ways = [way for count in range(2, 9) for way in one_word(word, count) if _likely(way)]
    return ways[0] if len(ways) == 1 else []


def _split(text: str, count: int) -> list[str]:
    """The words of a row: apart at spaces and commas, else at dashes too, else degrees in one word."""
    parts = _joined(_SEPARATED.split(text.strip(" ,;|→>.()")))
    dashed = _joined(_DASHES.split(text.strip(" ,;|→>.()-–—")))
    for words in (parts, dashed, _numbers_joined(parts)):
        if len(words) == count and all(read_chord_heard(word) for word in words):
            return words
    ways = one_word("".join(dashed), count)
    if len(ways) > 1:
        ways = [way for way in ways if _likely(way)]
    if len(ways) == 1:
        return ways[0]
    return dashed if len(dashed) > len(parts) else parts


def _likely(way: list[str]) -> bool:
    """Whether no numeral mixes small and large (all that case is good for) and none comes twice running."""
    romans = ["".join(letter for letter in word if letter in "iIvV") for word in way]
    mixed = any(roman not in (roman.lower(), roman.upper()) for roman in romans)
    return not mixed and all(one.lower() != other.lower() for one, other in pairwise(way))


def _numbers_joined(parts: list[str]) -> list[str]:
    """A 7 apart from its numeral belongs to it: `V 7`."""
    out: list[str] = []
    for part in parts:
        if out and part in ("6", "7", "9", "11", "13") and out[-1][-1:] in "iIvV":
            out[-1] += part
        else:
            out.append(part)
    return out


def _joined(parts: list[str]) -> list[str]:
    """Words such as `two` or `flat two` become `2` and `b2`."""
    out: list[str] = []
    sign = ""
    for part in parts:
        word = part.lower()
        if word in ("flat", "b", "♭", "sharp", "#", "♯"):
            sign = "b" if word in ("flat", "b", "♭") else "#"
            continue
        if part and out and not sign and _QUALITY_ALONE.fullmatch(part):
            out[-1] += part
        elif part:
            out.append(sign + _WORDS.get(word, part))
        sign = ""
    return out + ([sign] if sign else [])


def one_word(text: str, count: int) -> list[list[str]]:
    """The ways to part a word into so many degrees, bare or with a plain quality; some at most."""
    if count > 12 or len(text) > _LONGEST_WORD * count:
        return []
    ways: list[list[str]] = []

    def go(rest: str, parts: list[str]) -> None:
        if len(ways) > _ENOUGH_WAYS:
            return
        if not rest:
            if len(parts) == count:
                ways.append(parts)
            return
        if len(parts) == count:
            return
        for size in range(1, min(_LONGEST_WORD, len(rest)) + 1):
            if _ONE_WORD.fullmatch(rest[:size]):
                go(rest[size:], [*parts, rest[:size]])

    go(text, [])
    return ways


def _choice_meant(question: Question, heard: tuple[HeardChord, ...]) -> int:
    """The only choice that a typed row fits. Raises AnswerError where several do, or none."""
    assert question.choices is not None
    fitting = [index for index, row in enumerate(question.choices) if row_fits(heard, row)]
    if len(fitting) == 1:
        return fitting[0]
    what = "That is none of the choices." if not fitting else (
        "That fits choices " + " and ".join(str(index + 1) for index in fitting) + "."
    )  # fmt: skip
    raise AnswerError(f"{what} {row_accepted(question)}")


def row_fits(heard: tuple[HeardChord, ...], row: Row) -> bool:
    """Whether typed degrees name an offered row, in qualities too where they are written."""

    for mine, text in zip(heard, row, strict=True):
        numeral = parse_numeral(text)
        if not any(degree.semitones == numeral.degree.semitones for degree in mine.degrees):
            return False
        if mine.colors is not None and not same_color(mine.colors, numeral.quality):
            return False
    return True
