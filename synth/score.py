"""A score: flat timed notes in seconds, with what a player wants to know beside them.

Times are seconds from the start of the score, pitches are MIDI numbers (60 is middle C,
69 is A4), velocities follow MIDI 1.0 (1 to 127).
"""

from dataclasses import dataclass
from typing import Literal

Part = Literal["keys", "bass", "click", "brush", "drone"]
"""Who plays: the struck-key tone, the plucked bass, the click, the brushes, the sustained tone."""

MarkerKind = Literal["section", "center", "chord", "function", "role"]
"""What a marker's text is: a section's name, a key center, a chord symbol, its function, what begins to be played."""


@dataclass(frozen=True, slots=True)
class Note:
    """One note of one part."""

    onset_s: float
    duration_s: float
    """From key down to key up; the tone rings on a little after it."""
    midi: int
    velocity: int
    part: Part
    role: str = "question"
    """What the note is there for (confirm, question, answer); carried along, never read here."""


@dataclass(frozen=True, slots=True)
class Marker:
    """A word at a time."""

    at_s: float
    kind: MarkerKind
    text: str


@dataclass(frozen=True, slots=True)
class TempoChange:
    """From here on, so many quarter notes a minute."""

    at_s: float
    quarters_per_minute: float


@dataclass(frozen=True, slots=True)
class MeterChange:
    """From here on, this meter."""

    at_s: float
    beats: int
    unit: int


@dataclass(frozen=True, slots=True)
class KeyChange:
    """From here on, this key signature."""

    at_s: float
    key_signature: str
    """As Standard MIDI Files name it ("Eb", "F#m")."""


@dataclass(frozen=True, slots=True)
class Score:
    """Notes in order of onset, then of part and pitch; markers, tempi and meters in order of time."""

    notes: tuple[Note, ...]
    duration_s: float
    """Where the last bar ends; the last notes may ring on after it."""
    tempos: tuple[TempoChange, ...]
    """The first stands at 0."""
    meters: tuple[MeterChange, ...]
    """The first stands at 0."""
    markers: tuple[Marker, ...] = ()
    key_signature: str | None = None
    """The first one; None where the music has none."""
    title: str = ""
    key_changes: tuple[KeyChange, ...] = ()
    """The key signatures after the first one."""
