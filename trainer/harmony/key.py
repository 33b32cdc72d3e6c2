"""Keys: a tonic and a mode, their signature and their scale.

Signatures count sharps as positive and flats as negative; keys beyond seven of them exist here
(G# major has 8), because a transposed chart may pass through one. Minor means natural minor.
"""

import re
from functools import lru_cache
from typing import Literal

from trainer.harmony.interval import degree_interval, transposed
from trainer.harmony.pitch import HarmonyError, NoteName, read_letter_and_signs
from trainer.records import dataclass

Mode = Literal["major", "minor"]

_FIFTHS_OF_LETTER = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_MODE_WORDS: dict[str, Mode] = {
    "major": "major", "maj": "major", "M": "major", "dur": "major",
    "minor": "minor", "min": "minor", "mi": "minor", "m": "minor", "-": "minor", "moll": "minor",
}  # fmt: skip
_MINOR_DEGREES = ((1, 0), (2, 0), (3, -1), (4, 0), (5, 0), (6, -1), (7, -1))


class KeyNameError(HarmonyError):
    """A key's name that can't be read."""

    what = "key"


@dataclass(frozen=True, slots=True, order=True)
class Key:
    """A tonic and a mode."""

    tonic: NoteName
    mode: Mode

    @property
    def name(self) -> str:
        """As players say it: `Eb major`, `F# minor`."""
        return f"{self.tonic} {self.mode}"

    @property
    def fifths(self) -> int:
        """Sharps of the signature, flats as a negative number."""
        minor_shift = -3 if self.mode == "minor" else 0
        return _FIFTHS_OF_LETTER[self.tonic.letter] + 7 * self.tonic.alteration + minor_shift

    @property
    def scale(self) -> tuple[NoteName, ...]:
        """Seven names upward from the tonic; natural minor in minor."""
        degrees = _MINOR_DEGREES if self.mode == "minor" else tuple((number, 0) for number in range(1, 8))
        return tuple(transposed(self.tonic, degree_interval(*degree)) for degree in degrees)

    def __str__(self) -> str:
        return self.name


@lru_cache(maxsize=1024)
def parse_key(text: str) -> Key:
    """Read a key: `Eb`, `F# minor`, `Gm`, or `g`, where a small letter is minor. Raises KeyNameError."""
    read = read_letter_and_signs(text[:1].upper() + text[1:])
    if read is None:
        found = repr(text[0]) if text else "nothing"
        raise KeyNameError(text, 1, found, "a letter from A to G, as in `Eb`, `F# minor`, `g`")
    tonic, end = read
    rest = re.sub(r"^[ _]+", "", text[end:])
    column = len(text) - len(rest) + 1
    rest = rest.rstrip()
    if not rest:
        return Key(tonic, "minor" if text[0].islower() else "major")
    mode = _MODE_WORDS.get(rest) or _MODE_WORDS.get(rest.lower() if len(rest) > 1 else rest)
    if mode is None:
        raise KeyNameError(text, column, repr(rest), "`major`, `minor`, `m` or the end")
    return Key(tonic, mode)


@lru_cache(maxsize=64)
def simplest_key(pitch_class: int, mode: Mode, prefer_flats: bool = False) -> Key:
    """The key on a pitch class with the fewest accidentals.

    On a tie F# major goes before Gb unless flats are preferred; in minor Eb goes before D# (common practice).
    """
    candidates = (Key(NoteName(letter, alteration), mode) for letter in _FIFTHS_OF_LETTER for alteration in (-1, 0, 1))
    flats_first = prefer_flats or mode == "minor"
    fitting = (key for key in candidates if key.tonic.pitch_class == pitch_class % 12)
    return min(fitting, key=lambda key: (abs(key.fifths), key.fifths if flats_first else -key.fifths))
