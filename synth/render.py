"""From a score to samples: each note one real matrix product.

A note is a sum of damped complex exponentials, the real part of a·e^(wt).  With t = k·BLOCK + l
it is the product of a table over k and a table over l, so one BLAS call gives it exactly, to the
rounding of float32.  Tables are built by doubling in complex128 and live for one call of `render`.
Notes that begin and end together are mixed at once into both channels, a piece at a time that
stays in the processor's cache.
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


def render(score: Score, sample_rate_hz: int = 48_000, a4_hz: float = 440.0) -> Samples:
    """Return the score's sound as (frames, 2), left and right, unleveled and unclipped.

    The frames reach to the end of the score, or of the last note's release if that is later.
    """
    if not LOWEST_RATE_HZ <= sample_rate_hz <= HIGHEST_RATE_HZ:
        raise SoundError(
            f"a sample rate of {sample_rate_hz} Hz; expected {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} Hz"
        )
    chords = _chords(score, sample_rate_hz)
    frames = max([round(score.duration_s * sample_rate_hz)] + [span.start + span.frames for span in chords])
    longest: defaultdict[tuple[Part, int], int] = defaultdict(int)
    for span, notes in chords.items():
        for note in notes:
            longest[note.part, note.midi] = max(longest[note.part, note.midi], span.frames)
    tables = {
        (part, midi): _tables(modes(part, midi, sample_rate_hz, a4_hz), -(-most // BLOCK), sample_rate_hz)
        for (part, midi), most in longest.items()
    }
    planar = np.zeros((2, frames), dtype=np.float32)
    for span, notes in chords.items():
        _mix(planar, span, notes, tables, sample_rate_hz)
    samples = np.empty((frames, 2), dtype=np.float32)
    samples[:, 0] = planar[0]
    samples[:, 1] = planar[1]
    return samples


def _chords(score: Score, rate: int) -> dict[_Span, list[Note]]:
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


def _living(found: Modes, start: NDArray[np.float64], rows: int, rate: int) -> NDArray[np.int64]:
    """Return how many partials are still to be heard as each piece of PIECE rows begins."""
    if rows <= PIECE:
        return np.full(1, len(start))
    until_s = np.log(np.maximum(start, INAUDIBLE) / INAUDIBLE) / np.maximum(found.decays_per_s, 1e-9)
    begin_s = np.arange(0, rows, PIECE) * (BLOCK / rate)
    return len(start) - np.maximum.accumulate(until_s[::-1]).searchsorted(begin_s, side="right")


def _mix(
    planar: Samples, span: _Span, notes: list[Note], tables: dict[tuple[Part, int], _Tables], rate: int
) -> None:
    """Add notes that share a span to both channels."""
    rows = -(-span.frames // BLOCK)
    gains = np.array([panorama(note.part, note.midi) for note in notes], dtype=np.float32).T.copy()
    voices = []
    for note in notes:
        table = tables[note.part, note.midi]
        start = amplitudes(table.found, note.velocity)
        living = _living(table.found, start, rows, rate)
        voices.append((table, start.astype(np.float32).repeat(2), living))
    timbre = TIMBRES[span.part]
    rise = envelopes.attack(round(timbre.attack_s * rate))
    fall = envelopes.release(span.frames - span.held)
    alone = np.empty((len(notes), min(rows, PIECE), BLOCK), dtype=np.float32)
    for piece, first in enumerate(range(0, rows, PIECE)):
        last = min(first + PIECE, rows)
        for voice, (table, strengths, living) in enumerate(voices):
            columns = 2 * living[piece]
            left = table.rows[first:last, :columns] * strengths[:columns]
            np.matmul(left, table.columns[:columns], out=alone[voice, : last - first])
        begin = first * BLOCK
        end = min(last * BLOCK, span.frames)
        sound = alone.reshape(len(notes), -1)[:, : end - begin]
        mixed = gains @ sound if len(notes) > 1 else gains * sound
        _ramp(mixed, begin, 0, rise)
        _ramp(mixed, begin, span.held, fall)
        planar[:, span.start + begin : span.start + end] += mixed


def _ramp(mixed: Samples, begin: int, at: int, ramp: Samples) -> None:
    """Multiply the part of a ramp starting at a frame that falls into a piece starting at another."""
    low, high = max(at, begin), min(at + len(ramp), begin + mixed.shape[1])
    if low < high:
        mixed[:, low - begin : high - begin] *= ramp[low - at : high - at]
