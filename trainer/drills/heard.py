"""How players write what they heard: degrees in roman or arabic, with a quality or without.

Case says nothing here, so a small numeral is no minor chord; only a written quality is (`m`, `ø`,
`maj7`). A quality is judged by its color alone: 7, 9, 13 and alt are all dominant.
"""

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

from trainer.harmony.numeral import PLAIN_DEGREES, Degree, parse_numeral
from trainer.harmony.quality import Quality
from trainer.harmony.suffix import ChordError, parse_quality
from trainer.records import dataclass

Color = Literal[
    "major", "minor", "minor-major", "dominant", "half-diminished", "diminished", "augmented", "suspended",
    "open",
]  # fmt: skip
"""What a chord is to the ear, tensions aside."""

_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii")
_SIGNS = {"b": -1, "♭": -1, "#": 1, "♯": 1}
_DEGREE = r"(?P<signs>[b#♭♯]?)(?P<degree>[1-7]|vii|vi|v|iv|iii|ii|i)"
_TOKEN = re.compile(_DEGREE + r"(?P<quality>[^/]*)(?:/(?P<under>.+))?", re.IGNORECASE)
_ALONE = re.compile(_DEGREE, re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class HeardChord:
    """One chord of an answer."""

    text: str
    """As typed, or as the choice has it."""
    degrees: tuple[Degree, ...]
    """What the root may be meant to be; the first is what is written. Empty: not heard (`?`)."""
    colors: frozenset[Color] | None
    """The colors that the written quality may mean; None where none is written."""


@lru_cache(maxsize=1024)
def color(quality: Quality) -> Color:
    """The color of a quality."""
    if quality.third is None:
        return "suspended" if quality.suspended else "open"
    if quality.third == "minor":
        if quality.fifth == "diminished":
            return "half-diminished" if quality.seventh == "minor" else "diminished"
        return "minor-major" if quality.seventh == "major" else "minor"
    if quality.seventh == "minor":
        return "dominant"
    return "augmented" if quality.fifth == "augmented" and quality.seventh is None else "major"


def same_color(heard: frozenset[Color], quality: Quality) -> bool:
    """Whether a written quality says the chord's color.

    V7 is no fault where V has no seventh; a minor chord with a major seventh is minor too.
    """
    mine = color(quality)
    if mine in heard or (mine == "minor-major" and "minor" in heard):
        return True
    bare = quality.seventh is None and not quality.sixth
    return mine == "major" and bare and "dominant" in heard


@lru_cache(maxsize=4096)
def colors_of(text: str) -> frozenset[Color] | None:
    """The colors that a written quality may mean, in any case; None where it can't be read."""
    found: set[Color] = set()
    for form in (text, text.lower(), "m" + text, "m" + text.lower()):
        try:
            found.add(color(parse_quality(form)))
        except ChordError:
            continue
    if re.match(r"[mM](?!a|i|A|I)", text):  # m7 and M7 are one where case says nothing
        found |= {"minor", "major"} if text[:1] == "M" else {"minor"}
    elif re.match(r"maj|ma|Δ|△", text, re.IGNORECASE):
        found &= {"major", "augmented", "minor-major"}
    elif "minor-major" in found:
        found.add("minor")
    return frozenset(found) or None


@lru_cache(maxsize=1024)
def degree_from(text: str) -> Degree | None:
    """Read a bare degree such as `b2`, `bVI`, `5`; None where it is none."""
    match = _ALONE.fullmatch(text)
    return None if match is None else _degree(match)


def _degree(match: re.Match[str]) -> Degree:
    word = match["degree"].lower()
    number = int(word) if word.isdigit() else _ROMAN.index(word) + 1
    return Degree(number, _SIGNS.get(match["signs"].lower(), 0))


@lru_cache(maxsize=4096)
def read_chord_heard(text: str) -> HeardChord | None:
    """Read one chord of an answer; None where it can't be read.

    After a slash a roman degree is what the chord is applied to; an arabic one may be that or a bass.
    """
    if text in ("?", "_"):
        return HeardChord(text, (), None)
    match = _TOKEN.fullmatch(text)
    if match is None:
        return None
    degree = _degree(match)
    colors = None
    if match["quality"]:
        colors = colors_of(match["quality"])
        if colors is None:
            return None
    if match["under"] is None:
        return HeardChord(text, (degree,), colors)
    under = degree_from(match["under"])
    if under is None:
        return HeardChord(text, (degree,), colors) if match["quality"] == "6" and match["under"] == "9" else None
    applied = PLAIN_DEGREES[(degree.semitones + under.semitones) % 12]
    return HeardChord(text, (degree, applied) if match["under"][-1].isdigit() else (applied,), colors)


@lru_cache(maxsize=1024)
def _semitones(text: str) -> int | None:
    chord = read_chord_heard(text)
    if chord is None:
        return parse_numeral(text).degree.semitones
    return chord.degrees[0].semitones if chord.degrees else None


def row_degrees(row: Sequence[str]) -> tuple[int | None, ...]:
    """The degrees of a row in half steps above the tonic, applied ones as what they come to; None where left out."""
    return tuple(map(_semitones, row))
