"""Degrees that something points to, by half steps above the tonic, as players write them."""

from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import PLAIN_DEGREES, Degree, note_of, target_is_minor
from trainer.harmony.pitch import NoteName


def target_text(degree: Degree, mode: Mode) -> str:
    """A degree that something points to: `ii`, `V`, `bIII`."""
    return degree.roman(target_is_minor(degree, mode))


def degree_text(semitones: int, mode: Mode) -> str:
    """The same, told by half steps above the tonic."""
    return target_text(PLAIN_DEGREES[semitones % 12], mode)


def degree_note(semitones: int, key: Key) -> NoteName:
    """The note on a degree of a key."""
    return note_of(PLAIN_DEGREES[semitones % 12], key)
