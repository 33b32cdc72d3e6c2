"""Spelled pitches: a letter, its alteration, and an octave where one is meant.

Octaves follow scientific pitch notation: C4 is middle C, MIDI number 60 (MIDI 1.0). Alterations
count half steps: -1 flat, +1 sharp. A name keeps its spelling; the pitch class is derived from it.
"""

from trainer.errors import KeyfarerError
from trainer.records import dataclass

LETTERS = "CDEFGAB"
NATURAL_PITCH_CLASSES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

SIGN_ALTERATIONS = {"b": -1, "♭": -1, "#": 1, "♯": 1, "x": 2, "𝄪": 2, "𝄫": -2, "♮": 0}
"""What each accidental sign does, in half steps."""

FURTHEST_ALTERATION = 2
"""Double flats and double sharps are the last that players read."""


class HarmonyError(KeyfarerError):
    """A name that can't be read; holds the text, the column from 1, what was found and expected."""

    what = "text"
    """What the text was meant to be, in a player's word."""

    def __init__(self, text: str, column: int, found: str, expected: str) -> None:
        super().__init__(f"{self.what} {text!r}, column {column}: found {found}; expected {expected}")
        self.text = text
        self.column = column
        self.found = found
        self.expected = expected

    def __reduce__(self) -> tuple[type["HarmonyError"], tuple[str, int, str, str]]:
        return type(self), (self.text, self.column, self.found, self.expected)


class NoteNameError(HarmonyError):
    """A note name that can't be read."""

    what = "note name"


@dataclass(frozen=True, slots=True, order=True)
class NoteName:
    """A spelled pitch class, such as Bb or F##."""

    letter: str
    alteration: int = 0
    """Half steps against the natural letter."""

    @property
    def pitch_class(self) -> int:
        """Half steps above C, 0 to 11."""
        return (NATURAL_PITCH_CLASSES[self.letter] + self.alteration) % 12

    def __str__(self) -> str:
        return self.letter + accidental_text(self.alteration)


@dataclass(frozen=True, slots=True, order=True)
class Pitch:
    """A spelled pitch in an octave; the octave is that of the letter, so B#3 sounds as C4."""

    letter: str
    alteration: int
    octave: int

    @property
    def name(self) -> NoteName:
        """The pitch without its octave."""
        return NoteName(self.letter, self.alteration)

    @property
    def midi(self) -> int:
        """MIDI number; C4 is 60."""
        return 12 * (self.octave + 1) + NATURAL_PITCH_CLASSES[self.letter] + self.alteration

    def __str__(self) -> str:
        return f"{self.name}{self.octave}"


def accidental_text(alteration: int) -> str:
    """Write an alteration in half steps as plain accidentals: -2 is `bb`, 1 is `#`."""
    return "b" * -alteration if alteration < 0 else "#" * alteration


def read_letter_and_signs(text: str, start: int = 0) -> tuple[NoteName, int] | None:
    """Read one note name from `start` (an index from 0) and say where it ends; None where there is none.

    Flats or sharps of one kind belong to the letter, up to a double flat or a double sharp.
    """
    if start >= len(text) or text[start] not in NATURAL_PITCH_CLASSES:
        return None
    alteration, end = 0, start + 1
    while end < len(text) and (step := SIGN_ALTERATIONS.get(text[end])) is not None:
        if step * alteration < 0 or abs(alteration + step) > FURTHEST_ALTERATION:
            break
        alteration, end = alteration + step, end + 1
    return NoteName(text[start], alteration), end


def parse_note_name(text: str) -> NoteName:
    """Read a note name such as `Bb`, `F##`, `Fx` or `E♭`; the letter is a capital. Raises NoteNameError."""
    read = read_letter_and_signs(text)
    if read is None:
        found = repr(text[0]) if text else "nothing"
        raise NoteNameError(text, 1, found, "a letter from A to G")
    name, end = read
    if end < len(text):
        raise NoteNameError(text, end + 1, repr(text[end]), "the end, or up to two flats or sharps")
    return name


def simplest_name(pitch_class: int, prefer_flats: bool = True) -> NoteName:
    """Name a pitch class with no more than one flat, or one sharp where sharps are preferred."""
    pitch_class %= 12
    for letter, natural in NATURAL_PITCH_CLASSES.items():
        if natural == pitch_class:
            return NoteName(letter)
    side = -1 if prefer_flats else 1
    for letter, natural in NATURAL_PITCH_CLASSES.items():
        if (natural + side) % 12 == pitch_class:
            return NoteName(letter, side)
    raise AssertionError("every pitch class is a natural or next to one")


def pitch_at_or_above(name: NoteName, midi: int) -> Pitch:
    """Place a note name in the lowest octave where it sounds at `midi` or above."""
    octave = -(-(midi - NATURAL_PITCH_CLASSES[name.letter] - name.alteration) // 12) - 1
    return Pitch(name.letter, name.alteration, octave)
