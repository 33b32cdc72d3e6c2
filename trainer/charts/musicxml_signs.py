"""Where the music jumps in a MusicXML score: signs, words and sound attributes, made into a chart's signs.

A sign that is obeyed (`to coda`, `fine`, D.C., D.S.) counts at the end of the measure it stands in,
wherever files put it there; one that is jumped to counts at its measure's start. A coda sign without a
word says by its place which it is: the last one of the score is where the coda begins (common practice).
"""

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from trainer.records import dataclass

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

CODA_SIGN = "coda sign"
"""A sign without a word: either where to leave, or the coda's start."""

_JUMP = re.compile(r"(?:(?P<capo>d ?c|da capo)|d ?s|dal segno)\b")
_AL = re.compile(r"\bal? (?P<goal>fine|coda)\b")
_PLAIN = {
    "segno": "segno", "coda": "coda", "to coda": "to coda", "al coda": "to coda", "fine": "fine", "al fine": "fine",
}  # fmt: skip
_NOT_LETTERS = re.compile(r"[^a-z0-9]+")
_SIGN_LETTERS = str.maketrans({"𝄋": " segno ", "𝄌": " coda ", "⊕": " coda "})


@dataclass(frozen=True, slots=True)
class FoundSign:
    """A sign as found in a measure, before it is known what the others say."""

    measure: int
    """The measure's place in the part, from 0."""
    sign: str
    """One of the chart's signs, or CODA_SIGN."""


def sign_of_words(text: str) -> str | None:
    """What words such as `D.S. al Coda` ask for; None for any other words."""
    words = _NOT_LETTERS.sub(" ", text.translate(_SIGN_LETTERS).casefold().replace(".", "")).strip()
    if (jump := _JUMP.match(words)) is not None:
        name = "D.C." if jump["capo"] else "D.S."
        goal = _AL.search(words, jump.end())
        return f"{name} al {goal['goal']}" if goal else name
    return _PLAIN.get(words)


def signs_of_sound(sound: "Element") -> list[str]:
    """What the attributes of a `<sound>` ask for."""
    named = {"segno": "segno", "coda": "coda", "tocoda": "to coda", "fine": "fine", "dalsegno": "D.S."}
    signs = [sign for name, sign in named.items() if sound.get(name)]
    return [*signs, "D.C."] if sound.get("dacapo") == "yes" else signs


def signs_of_direction(types: Iterable["Element"], sound: "Element | None") -> list[str]:
    """What one direction asks for: its words before its sound, and a coda sign by what both say."""
    said: list[str] = []
    glyphs: list[str] = []
    for element in types:
        if element.tag == "words" and (sign := sign_of_words("".join(element.itertext()))):
            said.append(sign)
        elif element.tag == "segno":
            glyphs.append("segno")
        elif element.tag == "coda":
            glyphs.append(CODA_SIGN)
    for sign in signs_of_sound(sound) if sound is not None else ():
        if not any(known.startswith(sign) for known in said):
            said.append(sign)
    for glyph in glyphs:
        if glyph == CODA_SIGN and any(sign == "coda" or "to coda" in sign for sign in said):
            continue
        if glyph == "segno" and any(sign == "segno" or "D.S." in sign for sign in said):
            continue
        said.append(glyph)
    return said


def resolved(found: Sequence[FoundSign]) -> dict[int, list[str]]:
    """The chart's signs of each measure: coda signs told apart, doubles gone, D.S. joined to its coda."""
    explicit = {(one.measure, one.sign) for one in found if one.sign != CODA_SIGN}
    codas = sorted({one.measure for one in found if one.sign == CODA_SIGN})
    codas = [at for at in codas if not explicit & {(at, "coda"), (at, "to coda")}]
    signs = {sign for _, sign in explicit}
    if codas and "coda" not in signs:
        explicit.add((codas.pop(), "coda"))
    if codas and "to coda" not in signs:
        explicit.update((at, "to coda") for at in codas)
    signs = {sign for _, sign in explicit}
    leaves = {"coda", "to coda"} <= signs and not any("al coda" in sign for sign in signs)
    of_measure: dict[int, list[str]] = {}
    for at, sign in sorted(explicit, key=lambda pair: (pair[0], _ORDER.index(pair[1][:4]), -len(pair[1]))):
        if sign in ("D.C.", "D.S.") and leaves:
            sign += " al coda"
        here = of_measure.setdefault(at, [])
        if not (sign.startswith("D.") and any(other.startswith(sign[:4]) for other in here)):
            here.append(sign)
    return of_measure


_ORDER = ("segn", "coda", "to c", "fine", "D.C.", "D.S.")
"""The first letters of the signs in the order in which they stand in a bar."""
