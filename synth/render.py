"""From a score to samples: each note one real matrix product.

A note is a sum of damped complex exponentials, the real part of a·e^(wt).  With t = k·BLOCK + l
it is the product of a table over k and a table over l, so one BLAS call gives it exactly, to the
rounding of float32.  Tables are built by doubling in complex128 and live for one call of `render`.
Notes that begin and end together are mixed at once into both channels, a piece at a time, in order
of time, so that what is being worked on stays in the processor's cache.
"""

from collections import defaultdict
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth import envelopes
from synth.errors import SoundError
from synth.score import Note, Part, Score
from synth.tones import CLICK_RINGS_S, TIMBRES, Modes, amplitudes, modes, panorama

Samples = NDArray[np.float32]
Complexes = NDArray[np.complex128]

BLOCK: Final = 256
"""Frames that one row of the table over k covers."""

PIECE: Final = 256
"""Rows that are rendered and mixed at once; with four notes they fill a megabyte."""

INAUDIBLE: Final = 1.0e-8
"""A partial ends for good where its amplitude has fallen below this (-160 dBFS)."""

LOWEST_RATE_HZ: Final = 8000
HIGHEST_RATE_HZ: Final = 384_000


@dataclass(frozen=True, slots=True)
class _Span:
    """Where the notes of one part that begin and end together stand, in frames."""

    part: Part
    start: int
    held: int
    """From key down to key up."""
    frames: int
    """Until the release has ended."""


@dataclass(frozen=True, slots=True, eq=False)
class _Tables:
    """One key of one part, ready to multiply: cosine and sine side by side for each partial."""

    found: Modes
    rows: Samples
    """(rows, 2·partials): e^(w·BLOCK·k) with the phase."""
    columns: Samples
    """(2·partials, BLOCK): e^(w·l)."""


@dataclass(frozen=True, slots=True, eq=False)
class _Voice:
    """One note of a chord."""

    tables: _Tables
    strengths: Samples
    """Amplitude of each partial, twice."""
    living: NDArray[np.int64]
    """How many partials are still to be heard as each piece begins."""


@dataclass(frozen=True, slots=True, eq=False)
class _Chord:
    """Notes that share a span, ready to be rendered piece by piece."""

    span: _Span
    voices: list[_Voice]
    gains: Samples
    """(2, notes): left and right."""
    rise: Samples
    fall: Samples


def render(score: Score, sample_rate_hz: int = 48_000, a4_hz: float = 440.0) -> Samples:
    """Return the score's sound as (frames, 2), left and right, unleveled and unclipped.

    The frames reach to the end of the score, or of the last note's release if that is later.
    """
    if not LOWEST_RATE_HZ <= sample_rate_hz <= HIGHEST_RATE_HZ:
        raise SoundError(f"a sample rate of {sample_rate_hz} Hz; expected {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} Hz")
    notes_by_span = _by_span(score, sample_rate_hz)
    longest: defaultdict[tuple[Part, int], int] = defaultdict(int)
    for span, notes in notes_by_span.items():
        for note in notes:
            longest[note.part, note.midi] = max(longest[note.part, note.midi], span.frames)
    tables = {
        (part, midi): _tables(modes(part, midi, sample_rate_hz, a4_hz), _rows(most), sample_rate_hz)
        for (part, midi), most in longest.items()
    }
    chords = [_chord(span, notes, tables, sample_rate_hz) for span, notes in notes_by_span.items()]
    return _mixed(chords, round(score.duration_s * sample_rate_hz))


def _by_span(score: Score, rate: int) -> dict[_Span, list[Note]]:
    """Return the notes by the span they share."""
    found: defaultdict[_Span, list[Note]] = defaultdict(list)
    for note in score.notes:
        held_s = CLICK_RINGS_S if note.part == "click" else note.duration_s
        if note.onset_s < 0 or held_s < 0 or not 0 <= note.midi <= 127 or not 1 <= note.velocity <= 127:
            raise SoundError(f"a note outside of time or of MIDI's ranges: {note}")
        start, end = round(note.onset_s * rate), round((note.onset_s + held_s) * rate)
        release = round(TIMBRES[note.part].release_s * rate)
        found[_Span(note.part, start, end - start, end - start + release)].append(note)
    return found


def _rows(frames: int) -> int:
    """Return how many rows cover so many frames."""
    return -(-frames // BLOCK)


def _tables(found: Modes, rows: int, rate: int) -> _Tables:
    """Return a key's tables, long enough for so many rows."""
    step = (2j * np.pi * found.frequencies_hz - found.decays_per_s) / rate
    columns = _powers(np.exp(step), BLOCK, np.ones(len(step), np.complex128))
    by_row = _powers(np.exp(step * BLOCK), rows, np.exp(1j * found.phases))
    both = np.empty((len(step), 2, BLOCK), dtype=np.float32)
    both[:, 0] = columns.real.T
    both[:, 1] = columns.imag.T
    np.negative(both[:, 1], out=both[:, 1])
    return _Tables(found, by_row.astype(np.complex64).view(np.float32), both.reshape(-1, BLOCK))


def _powers(base: Complexes, count: int, first: Complexes) -> Complexes:
    """Return first·base^k for k below count as (count, len(base)), by doubling."""
    powers = np.empty((count, len(base)), dtype=np.complex128)
    powers[:1] = first
    done, factor = 1, base
    while done < count:
        more = min(done, count - done)
        np.multiply(powers[:more], factor, out=powers[done : done + more])
        done += more
        factor = factor * factor
    return powers


def _chord(span: _Span, notes: list[Note], tables: dict[tuple[Part, int], _Tables], rate: int) -> _Chord:
    """Return notes that share a span, with all that rendering them needs."""
    voices = []
    for note in notes:
        table = tables[note.part, note.midi]
        start = amplitudes(table.found, note.velocity)
        living = _living(table.found, start, _rows(span.frames), rate)
        voices.append(_Voice(table, start.astype(np.float32).repeat(2), living))
    return _Chord(
        span,
        voices,
        gains=np.array([panorama(note.part, note.midi) for note in notes], dtype=np.float32).T.copy(),
        rise=envelopes.attack(round(TIMBRES[span.part].attack_s * rate)),
        fall=envelopes.release(span.frames - span.held),
    )


def _living(found: Modes, start: NDArray[np.float64], rows: int, rate: int) -> NDArray[np.int64]:
    """Return how many partials are still to be heard as each piece of PIECE rows begins."""
    if rows <= PIECE:
        return np.full(1, len(start))
    until_s = np.log(np.maximum(start, INAUDIBLE) / INAUDIBLE) / np.maximum(found.decays_per_s, 1e-9)
    begin_s = np.arange(0, rows, PIECE) * (BLOCK / rate)
    return len(start) - np.maximum.accumulate(until_s[::-1]).searchsorted(begin_s, side="right")


def _mixed(chords: list[_Chord], least_frames: int) -> Samples:
    """Return the sum of chords, with silence up to at least so many frames.

    Pieces are added up in a window, one channel after the other, that moves on with them; what no
    later piece can reach is copied out.
    """
    frames = max([least_frames] + [chord.span.start + chord.span.frames for chord in chords])
    pieces = [
        (chord.span.start + first * BLOCK, index, first)
        for index, chord in enumerate(chords)
        for first in range(0, _rows(chord.span.frames), PIECE)
    ]
    samples = np.zeros((frames, 2), dtype=np.float32)
    most = PIECE * BLOCK
    window = np.zeros((2, 2 * most), dtype=np.float32)
    scratch = np.empty(most * max((len(chord.voices) for chord in chords), default=0), dtype=np.float32)
    base = 0
    for begin, index, first in sorted(pieces):
        if begin - base > most:
            _move_on(window, begin - base, samples[base:])
            base = begin
        sound = _piece(chords[index], first, scratch)
        window[:, begin - base : begin - base + sound.shape[1]] += sound
    _move_on(window, frames - base, samples[base:])
    return samples


def _move_on(window: Samples, by: int, samples: Samples) -> None:
    """Copy out the window's first frames, so many of them, and bring the others to the front."""
    ready = min(by, window.shape[1])
    samples[:ready, 0] = window[0, :ready]
    samples[:ready, 1] = window[1, :ready]
    left = window.shape[1] - ready
    window[:, :left] = window[:, ready:]
    window[:, left:] = 0.0


def _piece(chord: _Chord, first: int, scratch: Samples) -> Samples:
    """Return the piece of a chord that begins at a row, as (2, frames)."""
    last = min(first + PIECE, _rows(chord.span.frames))
    begin, end = first * BLOCK, min(last * BLOCK, chord.span.frames)
    count = len(chord.voices)
    alone = scratch[: count * (last - first) * BLOCK].reshape(count, last - first, BLOCK)
    for voice, out in zip(chord.voices, alone, strict=True):
        columns = 2 * voice.living[first // PIECE]
        left = voice.tables.rows[first:last, :columns] * voice.strengths[:columns]
        np.matmul(left, voice.tables.columns[:columns], out=out)
    sound = alone.reshape(count, -1)[:, : end - begin]
    mixed = chord.gains @ sound if count > 1 else chord.gains * sound
    _ramp(mixed, begin, 0, chord.rise)
    _ramp(mixed, begin, chord.span.held, chord.fall)
    return mixed


def _ramp(mixed: Samples, begin: int, at: int, ramp: Samples) -> None:
    """Multiply the part of a ramp starting at a frame that falls into a piece starting at another."""
    low, high = max(at, begin), min(at + len(ramp), begin + mixed.shape[1])
    if low < high:
        mixed[:, low - begin : high - begin] *= ramp[low - at : high - at]
