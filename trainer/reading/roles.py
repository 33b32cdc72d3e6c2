"""The role of a chord in a key, as the search found it."""

from typing import NamedTuple

from trainer.reading.events import Event
from trainer.reading.heard import ChordClass as K
from trainer.reading.slots import A_TWO, LETTERS, A, S


class Role(NamedTuple):
    """A chord in a key: what it is there, and which degree it points to if it is applied."""

    letter: str
    """One of the roles of `costs`; R and r are a dominant and a ii taken up again after an interruption."""
    target: int
    """Semitones above the tonic that an applied chord points to; -1 for the rest."""
    substitute: bool
    """The dominant is the tritone substitute of the fifth above its goal."""
    minor: bool
    degree: int
    """Semitones of the chord's root above the tonic."""
    bass: int
    """Semitones of its lowest note above the tonic."""
    kind: K
    lean: int


def role_of(event: Event, key: int, slot: int) -> Role:
    """An event in a key, in one of the trellis's slots."""
    tonic = key >> 1
    degree = (event.root - tonic) % 12
    letter = LETTERS[slot]
    target = -1
    if slot == A:
        target = (degree + (1 if event.kind == K.DIMINISHED else 5)) % 12
    elif slot == S:
        target = (degree + 11) % 12
    elif slot == A_TWO:
        target = (degree + 10) % 12
    substitute = slot == S or (letter in "DR" and degree == 1)
    bass = (event.bass - tonic) % 12
    return Role(letter, target, substitute, bool(key & 1), degree, bass, event.kind, event.lean)
