"""Reading what a player says about an interruption: whether, on which chord, how far, which key was awaited.

`no`, or `yes 3 up a half step`; the distance also as `+1`, `down m3` or as the foreign tonic's degree in
the awaited key (`b2`); where the key was given the awaited one follows, as a degree of it or by name
(`yes 3 b2 IV`, `yes, 3, up a half step, F`). Commas may stand between the parts. What isn't said is
left out, not an error.
"""

import re

from trainer.drills.answer import Answer, AnswerError, Caught, cleaned, picked, what_picks
from trainer.drills.distances import read_distance
from trainer.drills.heard import degree_from
from trainer.drills.question import Question
from trainer.harmony.key import KeyNameError, parse_key

AWAITED = "awaited key"
"""The field that asks for the awaited key."""

_YES = re.compile(r"(?:yes|yep|yeah|y)\b[\s,.;:]*", re.IGNORECASE)
_NO = re.compile(
    r"(?:no|n|nope|none|nothing|never)(?: (?:interruption|one|key|cadence|breaks in|there))*[.! ]*",
    re.IGNORECASE,
)
_CHORD = re.compile(
    r"(?:(?:on|at|from|with|it|breaks|in|starts|begins|the)\s+)*(?:chord\s+)?(?:number\s+|no\.\s*|#)?"
    r"(?P<number>\d{1,3})(?:st|nd|rd|th)?(?:\s+chord)?(?=$|[\s,;.:])[\s,;.:]*",
    re.IGNORECASE,
)
_AWAITED = re.compile(
    r"(?:^|[\s,;])(?:awaited|awaiting|expected|instead of)\b(?:\s+key)?[\s:,]*(?:is|was)?\s*", re.IGNORECASE
)


def accepts(question: Question) -> str:
    """What may be typed as an answer, in a sentence or two."""
    if (picks := what_picks(question)) is not None:
        return picks
    ask = "Type `no`, or `yes` with chord and distance: `yes 3 up a half step`, `yes 3 +1` or `yes 3 b2`."
    if AWAITED not in question.fields:
        return ask
    return (
        f"{ask} Then the awaited key, as a degree of the given one or by name: `yes 3 b2 IV`, `yes 3 b2 F`."
    )


def read(question: Question, text: str) -> Answer:
    """Read an answer. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    choice = picked(question, stripped)
    if choice is not None:
        return Answer(stripped, choice=choice)
    caught = _caught(question, stripped)
    if question.choices is None:
        return Answer(stripped, caught=caught)
    fitting = [index for index, row in enumerate(question.choices) if _says(row) == caught]
    if len(fitting) == 1:
        return Answer(stripped, choice=fitting[0])
    raise AnswerError(f"That is none of the choices. {accepts(question)}")


def _says(row: tuple[str, ...]) -> Caught:
    if row[0] == "no":
        return Caught(False)
    return Caught(True, int(row[1]), read_distance(row[2]))


def caught_of(row: tuple[str, ...]) -> Caught:
    """What a choice's row says."""
    return _says(row)


def _caught(question: Question, text: str) -> Caught:
    if _NO.fullmatch(text):
        return Caught(False)
    yes = _YES.match(text)
    rest = text[yes.end() :] if yes else text
    chord = None
    match = _CHORD.match(rest)
    if match is not None:
        chord = int(match["number"])
        if not 1 <= chord <= len(question.chords):
            heard = f"{len(question.chords)} chords sound"
            raise AnswerError(f"There is no chord {chord}: {heard}. {accepts(question)}")
        rest = rest[match.end() :]
    distance, awaited = _distance_and_key(question, rest.strip(" ,;."))
    if yes is None and chord is None and distance is None:
        raise AnswerError(f"I can't read {text[:24]!r}. {accepts(question)}")
    return Caught(True, chord, distance, awaited)


def _distance_and_key(question: Question, text: str) -> tuple[int | None, int | None]:
    """The distance and, where it's asked, the awaited key after it."""
    if not text:
        return None, None
    asked = AWAITED in question.fields
    named = _AWAITED.search(text)
    if named is not None:
        awaited = awaited_from(question, text[named.end() :])
        before = text[: named.start()].strip(" ,;")
        distance = read_distance(before) if before else None
        if awaited is None or (before and distance is None):
            raise AnswerError(f"I can't read {text[:24]!r}. {accepts(question)}")
        return distance, awaited if asked else None
    whole = read_distance(text)
    if whole is not None:
        return whole, None
    for cut in (found.span() for found in reversed(list(re.finditer(r"[\s,;]+", text)))):
        left, right = text[: cut[0]], text[cut[1] :]
        distance, awaited = read_distance(left), awaited_from(question, right)
        if distance is not None and awaited is not None:
            return distance, awaited if asked else None
    hint = ""
    if re.search(r"step|third|fourth|fifth|tone|second", text, re.IGNORECASE) and not re.search(
        r"up|down|above|below|higher|lower", text, re.IGNORECASE
    ):
        hint = " Say `up` or `down` with it."
    raise AnswerError(f"I can't read {text[:24]!r} as a distance.{hint} {accepts(question)}")


def awaited_from(question: Question, text: str) -> int | None:
    """The awaited tonic above the given one in half steps, from a degree or a key's name."""
    stripped = text.strip(" ,;.")
    degree = degree_from(stripped)
    if degree is not None:
        return degree.semitones
    try:
        key = parse_key(stripped)
    except KeyNameError:
        return None
    return (key.tonic.pitch_class - question.key.tonic.pitch_class) % 12
