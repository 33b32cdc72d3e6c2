"""What is to be played, collected in exact quarter notes and then made into a Score in seconds.

Times here are quarter notes from the start of everything, count-in and key confirmation included.
"""

from bisect import bisect_right
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby, pairwise
from random import Random

from synth.score import KeyChange, Marker, MarkerKind, MeterChange, Note, Part, Score, TempoChange
from trainer.harmony.key import Key
from trainer.harmony.pitch import Pitch
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.hands import Hands
from trainer.voicing.leading import VoicedChord

SOUNDING = Fraction(19, 20)
"""The share of its length that a note is held."""

SOFTEST, LOUDEST = 1, 127
_FURTHEST_SIGNATURE = 7

KEYS_VELOCITY, BASS_VELOCITY = 72, 80
_LONGEST_STEP = Fraction(1, 2)
"""Quarter notes between the notes of an arpeggio."""


@dataclass(frozen=True, slots=True)
class PlayedChord:
    """A chord of a performance, from its first note to the start of what follows."""

    symbol: ChordSymbol
    from_s: float
    until_s: float
    role: str
    voicing: VoicedChord | None = None
    """How it is played; None where only a drone sounds."""


@dataclass(frozen=True, slots=True)
class Performance:
    """A score, and the chords that sound in it."""

    score: Score
    chords: tuple[PlayedChord, ...]


_NamedChord = tuple[ChordSymbol, Fraction, Fraction, str, VoicedChord | None]


@dataclass(frozen=True, slots=True)
class _SheetNote:
    at: Fraction
    quarters: Fraction
    midi: int
    velocity: int
    part: Part
    role: str


@dataclass(slots=True)
class Sheet:
    """A performance in the making."""

    tempos: list[tuple[Fraction, Fraction]] = field(default_factory=list)
    """Where, and quarter notes a minute from there on; the first stands at 0."""
    meters: list[tuple[Fraction, tuple[int, int]]] = field(default_factory=list)
    notes: list[_SheetNote] = field(default_factory=list)
    markers: list[tuple[Fraction, MarkerKind, str]] = field(default_factory=list)
    chords: list[_NamedChord] = field(default_factory=list)
    keys: list[tuple[Fraction, str]] = field(default_factory=list)
    """Where the key signature changes, and to what."""

    def meter(self, at: Fraction, meter: tuple[int, int]) -> None:
        """Change the meter where it isn't the one in force."""
        if not self.meters or self.meters[-1][1] != meter:
            self.meters.append((at, meter))

    def key(self, at: Fraction, key: Key | None) -> None:
        """Change the key signature; where a key has none that can be written, the one in force stays."""
        if (named := signature(key)) is not None:
            self.keys.append((at, named))

    def mark(self, at: Fraction, kind: MarkerKind, text: str) -> None:
        """Put a word at a time."""
        self.markers.append((at, kind, text))

    def play(self, at: Fraction, quarters: Fraction, midi: int, velocity: int, part: Part, role: str) -> None:
        """Put one note, held for its share of a length."""
        self.notes.append(_SheetNote(at, quarters, midi, velocity, part, role))

    def name(self, symbol: ChordSymbol, at: Fraction, until: Fraction, role: str, voicing: VoicedChord | None) -> None:
        """Say which chord sounds from when to when."""
        self.chords.append((symbol, at, until, role, voicing))
        self.mark(at, "chord", symbol.text)

    def finished(
        self,
        until: Fraction,
        key: Key | None = None,
        title: str = "",
        seed: int | None = None,
        laid_back: bool = False,
    ) -> Performance:
        """Make the performance; with a seed it is played a little unevenly, the keys behind where `laid_back`."""
        clock = _Clock(self.tempos)
        score = Score(
            notes=_timed(self.notes, clock, None if seed is None else Hands(Random(seed), laid_back)),
            duration_s=clock.seconds(until),
            tempos=tuple(TempoChange(clock.seconds(at), float(tempo)) for at, tempo in self.tempos),
            meters=tuple(MeterChange(clock.seconds(at), *meter) for at, meter in self.meters),
            markers=tuple(
                Marker(clock.seconds(at), kind, text)
                for at, kind, text in sorted(self.markers, key=lambda marker: marker[0])
            ),
            key_signature=signature(key),
            title=title,
            key_changes=tuple(KeyChange(clock.seconds(at), named) for at, named in self.keys),
        )
        chords = tuple(
            PlayedChord(symbol, clock.seconds(at), clock.seconds(end), role, voicing)
            for symbol, at, end, role, voicing in self.chords
        )
        return Performance(score, chords)


class _Clock:
    """Turns quarter notes into seconds under the tempos of a sheet."""

    def __init__(self, tempos: list[tuple[Fraction, Fraction]]) -> None:
        self._starts = [at for at, _ in tempos]
        self._lengths = [60 / tempo for _, tempo in tempos]
        self._reached = [Fraction(0)]
        for (before, after), length in zip(pairwise(self._starts), self._lengths, strict=False):
            self._reached.append(self._reached[-1] + (after - before) * length)
        self._known: dict[Fraction, float] = {}

    def seconds(self, at: Fraction) -> float:
        """Seconds from the start of everything."""
        known = self._known.get(at)
        if known is None:
            index = bisect_right(self._starts, at) - 1
            known = float(self._reached[index] + (at - self._starts[index]) * self._lengths[index])
            self._known[at] = known
        return known


def _timed(notes: list[_SheetNote], clock: _Clock, hands: Hands | None) -> tuple[Note, ...]:
    timed = []
    placed = sorted(
        ((clock.seconds(note.at), note) for note in notes), key=lambda one: (one[0], one[1].part, one[1].midi)
    )
    for (start, part), together in groupby(placed, key=lambda one: (one[0], one[1].part)):
        stroke = [note for _, note in together]
        ends: list[float] = []
        for index, note in enumerate(stroke):
            # the notes of a stroke mostly share their length
            shared = index and note.quarters is stroke[index - 1].quarters
            ends.append(ends[-1] if shared else clock.seconds(note.at + note.quarters * SOUNDING))
        late, harder = 0.0, [0] * len(stroke)
        if hands is not None:
            late, harder = hands.stroke(part, len(stroke), min(ends) - start)
        for note, end, more in zip(stroke, ends, harder, strict=True):
            velocity = min(LOUDEST, max(SOFTEST, note.velocity + more))
            timed.append(Note(start + late, end - start - late, note.midi, velocity, part, note.role))
    return tuple(sorted(timed, key=lambda note: (note.onset_s, note.part, note.midi)))


def signature(key: Key | None) -> str | None:
    """The key as Standard MIDI Files name it; None beyond seven sharps or flats."""
    if key is None or abs(key.fifths) > _FURTHEST_SIGNATURE:
        return None
    return f"{key.tonic}m" if key.mode == "minor" else str(key.tonic)


def strike(
    sheet: Sheet,
    at: Fraction,
    quarters: Fraction,
    voicing: VoicedChord,
    harder: int,
    role: str,
    arpeggiate: bool = False,
) -> None:
    """Play a voiced chord: together, or bass first and the keys rising, all held to the end."""
    tones: list[tuple[Pitch, Part, int]] = [(pitch, "keys", KEYS_VELOCITY) for pitch in voicing.keys]
    if voicing.bass is not None:
        tones.insert(0, (voicing.bass, "bass", BASS_VELOCITY))
    step = min(quarters / (2 * len(tones)), _LONGEST_STEP) if arpeggiate else Fraction(0)
    for place, (pitch, part, velocity) in enumerate(tones):
        sheet.play(at + place * step, quarters - place * step, pitch.midi, velocity + harder, part, role)
