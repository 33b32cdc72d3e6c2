"""Spelled intervals: letters walked and half steps, so that a transposed name keeps its spelling.

Names follow common practice: m3 a minor third, A4 an augmented fourth, d5 a diminished fifth; `-`
before the name is downward. Letter arithmetic is the whole method: the letters give the number,
the half steps give the quality.
"""

from typing import overload

from trainer.harmony.pitch import (
    FURTHEST_ALTERATION,
    LETTERS,
    NATURAL_PITCH_CLASSES,
    NoteName,
    Pitch,
    simplest_name,
)
from trainer.records import dataclass

_MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
"""Half steps of the perfect and major intervals within an octave, by letters walked."""
_PERFECT_STEPS = frozenset({0, 3, 4})


@dataclass(frozen=True, slots=True, order=True)
class Interval:
    """A spelled interval, upward or downward; Interval(2, 3) is a minor third up."""

    steps: int
    """Letters walked, signed; a third is 2."""
    semitones: int
    """Half steps, signed."""

    @property
    def name(self) -> str:
        """The trade's short name: `m3`, `P5`, `A4`, `-M2`; 15 and above are counted on (M9, P15)."""
        if self.steps < 0 or (self.steps == 0 and self.semitones < 0):
            return "-" + (-self).name
        octaves, within = divmod(self.steps, 7)
        excess = self.semitones - 12 * octaves - _MAJOR_SEMITONES[within]
        if within in _PERFECT_STEPS:
            quality = "P" if excess == 0 else "A" * excess if excess > 0 else "d" * -excess
        elif excess >= 0:
            quality = "M" if excess == 0 else "A" * excess
        else:
            quality = "m" if excess == -1 else "d" * (-excess - 1)
        return f"{quality}{self.steps + 1}"

    def __neg__(self) -> "Interval":
        return Interval(-self.steps, -self.semitones)

    def __add__(self, other: "Interval") -> "Interval":
        return Interval(self.steps + other.steps, self.semitones + other.semitones)

    def __str__(self) -> str:
        return self.name


def degree_interval(degree: int, alteration: int = 0) -> Interval:
    """The interval from a root up to a degree (1 to 13), altered against the root's major scale."""
    octaves, within = divmod(degree - 1, 7)
    return Interval(degree - 1, 12 * octaves + _MAJOR_SEMITONES[within] + alteration)


def between(low: NoteName, high: NoteName) -> Interval:
    """The interval from one name up to the next place of the other, within an octave of letters.

    The half steps follow the letters, so from C up to Cb is (0, -1) and from B up to Cb is (1, 0).
    """
    steps = (LETTERS.index(high.letter) - LETTERS.index(low.letter)) % 7
    naturals = (NATURAL_PITCH_CLASSES[high.letter] - NATURAL_PITCH_CLASSES[low.letter]) % 12
    return Interval(steps, naturals + high.alteration - low.alteration)


@overload
def transposed(note: NoteName, by: Interval) -> NoteName: ...
@overload
def transposed(note: Pitch, by: Interval) -> Pitch: ...
def transposed(note: NoteName | Pitch, by: Interval) -> NoteName | Pitch:
    """Move a note by an interval and keep the interval's spelling, without limit on the accidentals."""
    octaves, index = divmod(LETTERS.index(note.letter) + by.steps, 7)
    letter = LETTERS[index]
    naturals = NATURAL_PITCH_CLASSES[letter] + 12 * octaves - NATURAL_PITCH_CLASSES[note.letter]
    alteration = note.alteration + by.semitones - naturals
    if isinstance(note, Pitch):
        return Pitch(letter, alteration, note.octave + octaves)
    return NoteName(letter, alteration)


def readable(name: NoteName) -> NoteName:
    """The name itself, respelled with the fewest accidentals only beyond a double flat or double sharp."""
    if abs(name.alteration) <= FURTHEST_ALTERATION:
        return name
    return simplest_name(name.pitch_class, prefer_flats=name.alteration < 0)


def practical(name: NoteName) -> NoteName:
    """The name a player would rather read: double flats and double sharps become a plain neighbour."""
    if abs(name.alteration) < FURTHEST_ALTERATION:
        return name
    return simplest_name(name.pitch_class, prefer_flats=name.alteration < 0)
