"""What is to be played, collected in exact quarter notes and then made into a Score in seconds.

Times here are quarter notes from the start of everything, count-in and key confirmation included.
"""

from bisect import bisect_right
from dataclasses import field
from fractions import Fraction
from itertools import groupby, pairwise
from random import Random

from synth.score import KeyChange, Marker, MarkerKind, MeterChange, Note, Part, Score, TempoChange
from trainer.harmony.key import Key
from trainer.harmony.pitch import Pitch
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass
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
class BarTime:
    """When a bar is played."""

    number: int
    """As played, a pickup is 0; the bars of a route count from 1."""
    chorus: int
    """From 0."""
    from_s: float
    until_s: float
    beats: Fraction
    """Its length in units of its meter."""
    role: str

    def beat_at(self, at_s: float) -> int:
        """The beat that is played at a time in it, from 1."""
        return 1 + int(float(self.beats) * max(0.0, at_s - self.from_s) / (self.until_s - self.from_s))


@dataclass(frozen=True, slots=True)
class Performance:
    """A score, and the chords that sound in it."""

    score: Score
    chords: tuple[PlayedChord, ...]
    bars: tuple[BarTime, ...] = ()
    """Of a tune, in order; what is counted in and what rests between its parts has none."""
    written: "Written | None" = field(default=None, repr=False, compare=False)
    """What it was made from; None where several were joined."""


_NamedChord = tuple[ChordSymbol, Fraction, Fraction, str, VoicedChord | None]


@dataclass(frozen=True, slots=True)
class _SheetNote:
    at: Fraction
    quarters: Fraction
    midi: int
    velocity: int
    part: Part
    role: str


@dataclass(frozen=True, slots=True)
class _Stroke:
    """Notes of one part that begin together, from the lowest up."""

    at: Fraction
    part: Part
    notes: tuple[_SheetNote, ...]
    ends: tuple[Fraction, ...]
    """Until when each is held."""


@dataclass(frozen=True, slots=True)
class _SheetBar:
    number: int
    chorus: int
    at: Fraction
    until: Fraction
    beats: Fraction
    role: str


@dataclass(frozen=True, slots=True)
class Written:
    """A sheet that is finished: exact, so that it can be performed at any tempo."""

    tempos: tuple[tuple[Fraction, Fraction], ...]
    meters: tuple[tuple[Fraction, tuple[int, int]], ...]
    strokes: tuple[_Stroke, ...]
    markers: tuple[tuple[Fraction, MarkerKind, str], ...]
    chords: tuple[_NamedChord, ...]
    bars: tuple[_SheetBar, ...]
    keys: tuple[tuple[Fraction, str], ...]
    until: Fraction
    key: Key | None
    title: str
    seed: int | None
    """Of the unevenness; None is even."""
    laid_back: bool
    """The keys lie behind."""


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
    bars: list[_SheetBar] = field(default_factory=list)

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

    def bar(self, number: int, chorus: int, at: Fraction, quarters: Fraction, unit: int, role: str) -> None:
        """Say where a bar is played; `unit` is its meter's."""
        self.bars.append(_SheetBar(number, chorus, at, at + quarters, quarters * unit / 4, role))

    def finished(
        self,
        until: Fraction,
        key: Key | None = None,
        title: str = "",
        seed: int | None = None,
        laid_back: bool = False,
    ) -> Performance:
        """Make the performance; with a seed it is played a little unevenly, the keys behind where `laid_back`."""
        placed = sorted(self.notes, key=lambda note: (note.at, note.part, note.midi))
        strokes = groupby(placed, key=lambda note: (note.at, note.part))
        return performed(
            Written(
                tuple(self.tempos),
                tuple(self.meters),
                tuple(_stroke(at, part, tuple(notes)) for (at, part), notes in strokes),
                tuple(sorted(self.markers, key=lambda marker: marker[0])),
                tuple(self.chords),
                tuple(self.bars),
                tuple(self.keys),
                until,
                key,
                title,
                seed,
                laid_back,
            )
        )


def _stroke(at: Fraction, part: Part, notes: tuple[_SheetNote, ...]) -> _Stroke:
    ends: list[Fraction] = []
    for index, note in enumerate(notes):
        # the notes of a stroke mostly share their length
        shared = index and note.quarters is notes[index - 1].quarters
        ends.append(ends[-1] if shared else at + note.quarters * SOUNDING)
    return _Stroke(at, part, notes, tuple(ends))


def performed(written: Written, faster: Fraction = Fraction(1)) -> Performance:
    """Make a performance, at a multiple of the tempo that is written. How late hands are doesn't grow with it."""
    clock = _Clock([(at, tempo * faster) for at, tempo in written.tempos])
    seconds = clock.seconds
    score = Score(
        notes=_timed(written, clock),
        duration_s=seconds(written.until),
        tempos=tuple(TempoChange(seconds(at), float(tempo * faster)) for at, tempo in written.tempos),
        meters=tuple(MeterChange(seconds(at), *meter) for at, meter in written.meters),
        markers=tuple(Marker(seconds(at), kind, text) for at, kind, text in written.markers),
        key_signature=signature(written.key),
        title=written.title,
        key_changes=tuple(KeyChange(seconds(at), named) for at, named in written.keys),
    )
    chords = tuple(
        PlayedChord(symbol, seconds(at), seconds(end), role, voicing)
        for symbol, at, end, role, voicing in written.chords
    )
    bars = tuple(
        BarTime(bar.number, bar.chorus, seconds(bar.at), seconds(bar.until), bar.beats, bar.role)
        for bar in written.bars
    )
    return Performance(score, chords, bars, written)


class _Clock:
    """Turns quarter notes into seconds under the tempos of a sheet."""

    def __init__(self, tempos: list[tuple[Fraction, Fraction]]) -> None:
        self._starts = [at for at, _ in tempos]
        lengths = [60 / tempo for _, tempo in tempos]
        reached = [Fraction(0)]
        for (before, after), length in zip(pairwise(self._starts), lengths, strict=False):
            reached.append(reached[-1] + (after - before) * length)
        self._lines = [
            (*length.as_integer_ratio(), *(so_far - start * length).as_integer_ratio())
            for start, length, so_far in zip(self._starts, lengths, reached, strict=True)
        ]
        """Seconds a quarter, and seconds at none, each as whole numbers: a quotient of two is rounded but once."""

    def seconds(self, at: Fraction) -> float:
        """Seconds from the start of everything."""
        place = bisect_right(self._starts, at) - 1 if len(self._starts) > 1 else 0
        quarters, parts = at.as_integer_ratio()
        length, length_parts, at_none, none_parts = self._lines[place]
        exact = quarters * length * none_parts + at_none * parts * length_parts
        return exact / (parts * length_parts * none_parts)


def _timed(written: Written, clock: _Clock) -> tuple[Note, ...]:
    hands = None if written.seed is None else Hands(Random(written.seed), written.laid_back)
    timed = []
    for stroke in written.strokes:
        start, notes = clock.seconds(stroke.at), stroke.notes
        ends = [clock.seconds(end) for end in stroke.ends]
        late, harder = 0.0, [0] * len(notes)
        if hands is not None:
            late, harder = hands.stroke(stroke.part, len(notes), min(ends) - start)
        for note, end, more in zip(notes, ends, harder, strict=True):
            velocity = min(LOUDEST, max(SOFTEST, note.velocity + more))
            timed.append(Note(start + late, end - start - late, note.midi, velocity, stroke.part, note.role))
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
