"""Where a preparation leads, as players say it: a degree with a mode, or in a given key a chord's name.

`4 major`, `IV`, `ii minor`, `flat six major`, `2m`, `IVmaj7`; `F major`, `Dm`. Case says nothing: a small
numeral is no minor chord, only a written mode or quality is. A degree alone leaves the mode out.
"""

import re
from collections.abc import Collection, Mapping
from types import MappingProxyType

from trainer.drills.answer import Goal
from trainer.drills.heard import Color, colors_of, degree_from
from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import PLAIN_DEGREES, Degree
from trainer.harmony.pitch import read_letter_and_signs

_FILLERS = frozenset({"to", "the", "it", "they", "wants", "want", "goes", "go", "chord", "degree"})
_NUMBERS: Mapping[str, str] = MappingProxyType(
    {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "home": "1"}
)
_SIGNS: Mapping[str, str] = MappingProxyType({"flat": "b", "sharp": "#", "b": "b", "♭": "b", "#": "#", "♯": "#"})
_MODES: Mapping[str, Mode] = MappingProxyType(
    {"major": "major", "maj": "major", "minor": "minor", "min": "minor", "mi": "minor", "m": "minor", "-": "minor"}
)
_MINOR: frozenset[Color] = frozenset({"minor", "minor-major", "half-diminished", "diminished"})
_MAJOR: frozenset[Color] = frozenset({"major", "dominant", "augmented"})
_DEGREE = re.compile(r"(?P<degree>[b#♭♯]?(?:[1-7]|vii|vi|v|iv|iii|ii|i))(?P<quality>.*)", re.IGNORECASE)
_NOTE = re.compile(r"(?P<note>[A-Ga-g][b#♭♯]?)(?P<quality>.*)")


def goal_named(text: str, key: Key | None) -> Goal | None:
    """Read a goal; None where it is none. key: the one that is given, whose notes may be named."""
    words = [word for word in re.split(r"[\s,;]+", text.strip(" .,;()")) if word.lower() not in _FILLERS]
    if not words:
        return None
    if len(words) > 1 and words[0].lower() in _SIGNS and _is_degree(words[1]):
        words = [_SIGNS[words[0].lower()] + _NUMBERS.get(words[1].lower(), words[1]), *words[2:]]
    head, rest = _NUMBERS.get(words[0].lower(), words[0]), "".join(words[1:])
    if (found := _DEGREE.fullmatch(head)) is not None:
        degree = degree_from(found["degree"])
        return None if degree is None else _goal(degree, found["quality"] + rest)
    if key is None or (found := _NOTE.fullmatch(head)) is None:
        return None
    read = read_letter_and_signs(found["note"][:1].upper() + found["note"][1:])
    if read is None:
        return None
    return _goal(PLAIN_DEGREES[(read[0].pitch_class - key.tonic.pitch_class) % 12], found["quality"] + rest)


def _is_degree(word: str) -> bool:
    return word.lower() in _NUMBERS or degree_from(word) is not None


def _goal(degree: Degree, quality: str) -> Goal | None:
    """A degree with what is written after it; None where that says nothing known."""
    if not quality:
        return Goal(degree, None)
    if (mode := _MODES.get(quality.lower())) is not None:
        return Goal(degree, mode)
    colors = colors_of(quality)
    return None if colors is None else Goal(degree, _mode_of(colors))


def _mode_of(colors: Collection[Color]) -> Mode | None:
    told = set(colors) - {"minor-major"} if "major" in colors else set(colors)
    minor, major = bool(told & _MINOR), bool(told & _MAJOR)
    if minor == major:
        return None
    return "minor" if minor else "major"
