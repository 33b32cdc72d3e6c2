"""Who plays what in a MIDI file: which parts hold the chords, which one the bass, and which are left out.

A part whose strokes hold several notes plays chords; a part below those, or one with a bass program of
General MIDI (33 to 40, as players count), is the bass; any other is a tune of its own and says nothing
about the chord symbols. Where no part plays several notes at once all of them together do.
Source: General MIDI System Level 1 (MIDI Manufacturers Association, 1991), instrument groups; from memory.
"""

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from statistics import median

from trainer.charts.midi_file import MidiNote
from trainer.records import dataclass

TOGETHER = Fraction(1, 8)
"""Quarter notes within which notes are struck at once."""
SEVERAL = 1.7
"""Notes a stroke, on an average, from which on a part plays chords."""
BASS_PROGRAMS = range(32, 40)
BELOW = 5
"""Half steps that a part lies below the chords at least to be their bass."""
LOW = 55
"""MIDI number; a line with its middle above this (G3) is no bass."""


@dataclass(frozen=True, slots=True)
class Parts:
    """The notes of a tune, sorted by what they tell."""

    chords: tuple[MidiNote, ...]
    bass: tuple[MidiNote, ...]
    left_out: int
    """How many parts are neither."""


def parts_of(notes: Sequence[MidiNote]) -> Parts:
    """Sort notes into chords and bass; each group in order of onset, then of pitch."""
    by_part: defaultdict[tuple[int, int], list[MidiNote]] = defaultdict(list)
    for note in notes:
        by_part[note.part].append(note)
    bass = {part for part, own in by_part.items() if own[0].program in BASS_PROGRAMS}
    several = {part for part, own in by_part.items() if part not in bass and _notes_a_stroke(own) >= SEVERAL}
    if not several:
        several = set(by_part) - bass or set(by_part)
        return _sorted(notes, several, bass - several, 0)
    middle = median(note.midi for part in several for note in by_part[part])
    for part in set(by_part) - several - bass:
        height = median(note.midi for note in by_part[part])
        if height <= middle - BELOW and height < LOW:
            bass.add(part)
    return _sorted(notes, several, bass, len(by_part) - len(several | bass))


def _sorted(
    notes: Sequence[MidiNote], chords: set[tuple[int, int]], bass: set[tuple[int, int]], left_out: int
) -> Parts:
    return Parts(
        tuple(note for note in notes if note.part in chords),
        tuple(note for note in notes if note.part in bass),
        left_out,
    )


def _notes_a_stroke(notes: Sequence[MidiNote]) -> float:
    """How many notes are struck at once on an average."""
    strokes = 0
    began: Fraction | None = None
    for note in notes:
        if began is None or note.start - began > TOGETHER:
            strokes += 1
            began = note.start
    return len(notes) / strokes
