"""Bytes to what a Standard MIDI File says: notes, meters, tempi, key signature, markers, in exact quarter notes.

Read by mido, behind limits of our own on size, on numbers and on time. Notes of the percussion channel
(channel 10 of General MIDI) are left out. A key that is never let go sounds until it is struck again or
until the file ends.

Source: MIDI Manufacturers Association, "The Complete MIDI 1.0 Detailed Specification", 1996; from memory.
"""

import io
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import field
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.charts.lexer import shortened
from trainer.errors import Fault, TextError
from trainer.records import dataclass

if TYPE_CHECKING:
    from mido import MidiFile, MidiTrack

MAX_MIDI_BYTES = 512 * 1024
"""A tune with its accompaniment takes some ten KiB."""
MIDI_START = b"MThd"
LONGEST_QUARTERS = 4096 * 32
PERCUSSION = 9
"""From 0, as the bytes have it."""
_LONGEST_RUN = 4096
"""Bytes above 127 in a row; a number has at most three by the standard, a text may have more."""
_LONGEST_WAIT = 1 << 28
"""Ticks between two events, by the standard."""
_TOLD = "a Standard MIDI File"


@dataclass(frozen=True, slots=True)
class MidiNote:
    """A note of one part; times are quarter notes from the start of the file."""

    start: Fraction
    until: Fraction
    midi: int
    part: tuple[int, int]
    """Track and channel, from 0."""
    program: int
    """General MIDI, from 0."""


@dataclass(slots=True)
class MidiTune:
    """Everything a file says that a chart can use."""

    notes: list[MidiNote] = field(default_factory=list)
    meters: list[tuple[Fraction, int, int]] = field(default_factory=list)
    """Where, beats, unit."""
    tempos: list[tuple[Fraction, int]] = field(default_factory=list)
    """Where, microseconds a quarter."""
    keys: list[tuple[Fraction, str]] = field(default_factory=list)
    """Where, and the signature as the standard names it (`Eb`, `F#m`)."""
    markers: list[tuple[Fraction, str]] = field(default_factory=list)
    title: str = ""
    drums: bool = False
    """Percussion was left out."""


class _Guarded(io.BytesIO):
    """Bytes that end within a run that can only be a number without end, which costs more with each byte."""

    _run = 0

    def read(self, size: int | None = -1, /) -> bytes:
        """Read on; raises EOFError where the run is too long."""
        data = super().read(size)
        self._run = self._run + 1 if size == 1 and data >= b"\x80" else 0
        if self._run > _LONGEST_RUN:
            raise EOFError
        return data


def read_midi_file(data: bytes, file: str) -> MidiTune:
    """Read the bytes of a file. Raises TextError."""
    if len(data) > MAX_MIDI_BYTES:
        raise _error(file, f"more than {MAX_MIDI_BYTES // 1024} KiB", "the MIDI file of one tune")
    if not data.startswith(MIDI_START):
        raise _error(file, "no header of a MIDI file" if data else "an empty file", _TOLD)
    parsed = _parsed(data, file)
    if parsed.type not in (0, 1):
        raise _error(file, f"a file of type {parsed.type}", "type 0 or 1, whose tracks belong together")
    if parsed.ticks_per_beat <= 0:
        raise _error(file, "times that count frames of a film", "times that count parts of a quarter note")
    tune = MidiTune()
    for number, track in enumerate(parsed.tracks):
        _take(tune, track, number, parsed.ticks_per_beat, file)
    for times in (tune.meters, tune.tempos, tune.keys, tune.markers):
        times.sort(key=lambda event: event[0])
    tune.notes.sort(key=lambda note: (note.start, note.midi))
    if tune.notes and max(note.until for note in tune.notes) > LONGEST_QUARTERS:
        raise _error(file, f"more than {LONGEST_QUARTERS} quarter notes", "the length of a tune")
    return tune


def _error(file: str, found: str, expected: str) -> TextError:
    return TextError(file, (Fault(0, 0, found, expected),))


def _parsed(data: bytes, file: str) -> "MidiFile":
    """The file as mido has it; whatever a damaged file makes it raise is told as that."""
    import mido
    from mido.midifiles.meta import KeySignatureError

    try:
        return mido.MidiFile(file=_Guarded(data), clip=True)
    except KeySignatureError:
        told = "a key signature that there is none of"
    except EOFError:
        told = "an end before the end of the music"
    except (OSError, ValueError, LookupError, TypeError, OverflowError, AttributeError) as error:
        told = f"a damaged file ({shortened(str(error)) or type(error).__name__})"
    raise _error(file, told, _TOLD)


class _Keys:
    """The keys of one track that are down."""

    def __init__(self, track: int) -> None:
        self.track = track
        self.down: dict[tuple[int, int], tuple[Fraction, int]] = {}
        """By channel and pitch: since when, and with which program."""
        self.programs: dict[int, int] = {}

    def struck(self, channel: int, midi: int, at: Fraction) -> Iterator[MidiNote]:
        """A key goes down; if it was, the note before ends here."""
        yield from self.let_go(channel, midi, at)
        self.down[channel, midi] = at, self.programs.get(channel, 0)

    def let_go(self, channel: int, midi: int, at: Fraction) -> Iterator[MidiNote]:
        """A key goes up; a note without length is none."""
        since, program = self.down.pop((channel, midi), (at, 0))
        if since < at:
            yield MidiNote(since, at, midi, (self.track, channel), program)

    def all_let_go(self, at: Fraction) -> Iterator[MidiNote]:
        """The file ends."""
        for channel, midi in tuple(self.down):
            yield from self.let_go(channel, midi, at)


def _take(tune: MidiTune, track: "MidiTrack", number: int, ticks_a_quarter: int, file: str) -> None:
    """Take over the events of one track."""
    keys = _Keys(number)
    ticks = 0
    for event in track:
        if event.time >= _LONGEST_WAIT:
            raise _error(file, "a wait longer than the standard has", _TOLD)
        ticks += event.time
        at = Fraction(ticks, ticks_a_quarter)
        match event.type:
            case "note_on" | "note_off" if event.channel == PERCUSSION:
                tune.drums = True
            case "note_on" if event.velocity:
                tune.notes += keys.struck(event.channel, event.note, at)
            case "note_on" | "note_off":
                tune.notes += keys.let_go(event.channel, event.note, at)
            case "program_change":
                keys.programs[event.channel] = event.program
            case "time_signature":
                tune.meters.append((at, event.numerator, event.denominator))
            case "set_tempo":
                tune.tempos.append((at, event.tempo))
            case "key_signature":
                tune.keys.append((at, event.key))
            case "marker":
                tune.markers.append((at, _text(event.text)))
            case "track_name" if not number and not tune.title:
                tune.title = _text(event.name)
    tune.notes += keys.all_let_go(Fraction(ticks, ticks_a_quarter))


def _text(text: str) -> str:
    """A text on one line; the standard leaves its encoding open, so UTF-8 goes before Latin 1."""
    with suppress(UnicodeError):
        text = text.encode("latin-1").decode("utf-8")
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
