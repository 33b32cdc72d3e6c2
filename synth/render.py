"""From a score to samples: each voice of a chord one real matrix product at a time.

A note is a sum of damped complex exponentials, the real part of a·e^(wt).  With t = k·BLOCK + l
it is the product of a table over k and a table over l, so one BLAS call gives it exactly, to the
rounding of float32.  Tables are built by doubling in complex128 and multiplied out in complex64; the
table over k covers ROWS rows and is carried on from any start, so that any stretch costs what it lasts.
Chords are mixed a window at a time, so that what is being worked on stays in the processor's cache.
A chord that comes back is rendered once and added again.

Samples lie channel after channel in memory; (frames, channels) is a view of that.
"""

import threading
from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth import envelopes
from synth.errors import SoundError
from synth.partials import Strokes, Weighting, strokes_of
from synth.score import Part, Score
from synth.tones import CLICK_RINGS_S, TIMBRES

Samples = NDArray[np.float32]
Complexes = NDArray[np.complex128]

FINE: Final = 16
COARSE: Final = 8
BLOCK: Final = FINE * COARSE
"""Frames that one row of the table over k covers."""

ROWS: Final = 256
"""Rows that are rendered and mixed at once; with four notes they fill half a megabyte."""

WINDOW: Final = 1 << 16
"""Frames that all chords are added up in before the next ones are begun."""

BATCH: Final = 64
"""Chords whose partials are worked out together."""

MOST_KEPT: Final = 1 << 24
"""Samples of chords that come back, before they are let go: 64 megabytes."""

LOWEST_RATE_HZ: Final = 8000
HIGHEST_RATE_HZ: Final = 384_000


@dataclass(frozen=True, slots=True)
class _Chord:
    """The notes of one part that begin and end together; times in frames."""

    start: int
    held: int
    """From key down to key up."""
    frames: int
    """Until the release has ended."""
    part: Part
    notes: tuple[tuple[int, int], ...]
    """Key and velocity of each."""

    @property
    def sound(self) -> "_Sound":
        """What chords that sound the same have in common."""
        return self.held, self.part, self.notes


_Sound = tuple[int, Part, tuple[tuple[int, int], ...]]


@dataclass(frozen=True, slots=True, eq=False)
class _Tables:
    """A chord ready to multiply."""

    strokes: Strokes
    rows: NDArray[np.complex64]
    """(rows, partials): the conjugate of e^(w·BLOCK·k)."""
    columns: Samples
    """(2·partials, BLOCK): real and imaginary part of e^(w·l), one after the other."""


class _Scratch(threading.local):
    """Memory that is used again and again, for fresh pages cost more than the work done on them."""

    def __init__(self) -> None:
        self._alone = self._mixed = np.empty(0, dtype=np.float32)

    def alone(self, voices: int, rows: int) -> Samples:
        if len(self._alone) < voices * rows * BLOCK:
            self._alone = np.empty(voices * ROWS * BLOCK, dtype=np.float32)
        return self._alone[: voices * rows * BLOCK].reshape(voices, rows, BLOCK)

    def mixed(self, channels: int, frames: int) -> Samples:
        if len(self._mixed) < channels * frames:
            self._mixed = np.empty(channels * ROWS * BLOCK, dtype=np.float32)
        return self._mixed[: channels * frames].reshape(channels, frames)


_scratch = _Scratch()


class Rendering:
    """A score whose sound can be had piece by piece; by one thread at a time."""

    def __init__(
        self,
        score: Score,
        sample_rate_hz: int = 48_000,
        a4_hz: float = 440.0,
        parts: frozenset[Part] | None = None,
        channels: int = 2,
        weighting: Weighting | None = None,
    ) -> None:
        """Lay out a score, or some parts of it. Raises SoundError for what can't be played.

        With one channel each note is as loud as it is in both channels together. A weighting makes each
        partial louder or softer by its frequency.
        """
        if not LOWEST_RATE_HZ <= sample_rate_hz <= HIGHEST_RATE_HZ:
            raise SoundError(f"a sample rate of {sample_rate_hz} Hz; expected {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} Hz")
        self._rate, self._a4_hz, self._channels, self._weighting = sample_rate_hz, a4_hz, channels, weighting
        self._chords = _chords(score, sample_rate_hz, parts)
        self._starts = [chord.start for chord in self._chords]
        self._longest = max((chord.frames for chord in self._chords), default=0)
        self._times = Counter(chord.sound for chord in self._chords)
        self.frames = max(
            [round(score.duration_s * sample_rate_hz), *(chord.start + chord.frames for chord in self._chords)]
        )
        self._strokes: dict[_Sound, Strokes] = {}
        self._tables: dict[_Sound, _Tables] = {}
        self._kept: dict[_Sound, Samples] = {}

    def piece(self, begin: int, end: int) -> Samples:
        """Return the sound from one frame to another as (end - begin, channels), unleveled and unclipped."""
        out = np.empty((self._channels, end - begin), dtype=np.float32)
        for at in range(begin, end, WINDOW):
            until = min(at + WINDOW, end)
            self._fill(out[:, at - begin : until - begin], at, until)
        return out.T

    def _fill(self, out: Samples, begin: int, end: int) -> None:
        """Write the sound from one frame to another."""
        out.fill(0.0)
        for index in range(bisect_right(self._starts, begin - self._longest), bisect_left(self._starts, end)):
            chord = self._chords[index]
            low, high = max(begin - chord.start, 0), min(end - chord.start, chord.frames)
            if low >= high:
                continue
            for at, sound in self._sounding(index, low, high):
                place = chord.start + at - begin
                skip, take = max(-place, 0), min(sound.shape[1], end - begin - place)
                if skip < take:
                    out[:, place + skip : place + take] += sound[:, skip:take]
            if high == chord.frames:
                self._tables.pop(chord.sound, None)

    def _sounding(self, index: int, low: int, high: int) -> Iterator[tuple[int, Samples]]:
        """Give a chord's sound (channels, frames) from one of its frames to another, in pieces with their places."""
        chord = self._chords[index]
        if self._times[chord.sound] == 1:
            yield from self._pieces(chord, self._tables_of(index, _rows(high) - low // BLOCK), low, high)
            return
        kept = self._kept.get(chord.sound)
        if kept is None:
            kept = np.zeros((self._channels, chord.frames), dtype=np.float32)
            for at, sound in self._pieces(chord, self._tables_of(index, _rows(chord.frames)), 0, chord.frames):
                kept[:, at : at + sound.shape[1]] = sound
            if sum(one.size for one in self._kept.values()) > MOST_KEPT:
                self._kept.clear()
            self._kept[chord.sound] = kept
        yield low, kept[:, low:high]

    def _tables_of(self, index: int, rows: int) -> _Tables:
        """Return a chord's tables, long enough for so many rows, or for ROWS at a time."""
        chord, rows = self._chords[index], min(rows, ROWS)
        found = self._tables.get(chord.sound)
        if found is None or len(found.rows) < rows:
            strokes = self._strokes_of(index) if found is None else found.strokes
            if len(self._tables) >= BATCH:  # left over from places that were jumped away from
                self._tables.clear()
            found = self._tables[chord.sound] = _tables(strokes, rows)
        return found

    def _strokes_of(self, index: int) -> Strokes:
        """Return a chord's strokes; those of the next chords are worked out with it."""
        chord = self._chords[index]
        if chord.sound not in self._strokes:
            batch = {chord.sound: (chord.part, chord.notes) for chord in self._chords[index : index + BATCH]}
            strokes = strokes_of(list(batch.values()), self._rate, self._a4_hz, self._channels, self._weighting)
            self._strokes = dict(zip(batch, strokes, strict=True))
        return self._strokes[chord.sound]

    def _pieces(self, chord: _Chord, tables: _Tables, low: int, high: int) -> Iterator[tuple[int, Samples]]:
        """Give a chord's sound ROWS rows at a time, with where each piece begins; each is gone with the next."""
        strokes, bounds = tables.strokes, tables.strokes.bounds
        voices = len(bounds) - 1
        if not voices:
            return
        last = _rows(high)
        for first in range(low // BLOCK, last, ROWS):
            rows, begin = min(ROWS, last - first), first * BLOCK
            starts = strokes.starts * np.exp(strokes.steps * begin) if first else strokes.starts
            left = (tables.rows[:rows] * starts.conj().astype(np.complex64)).view(np.float32)
            alone = _scratch.alone(voices, rows)
            living = np.add.reduceat(strokes.lives > begin, bounds[:-1], dtype=np.intp).tolist()
            for voice, count in enumerate(living):
                one, end = 2 * bounds[voice], 2 * (bounds[voice] + count)
                np.matmul(left[:, one:end], tables.columns[one:end], out=alone[voice])
            sound = alone.reshape(voices, -1)[:, : chord.frames - begin]
            if self._channels > 1:
                mixed = _scratch.mixed(self._channels, sound.shape[1])
                sound = (np.matmul if voices > 1 else np.multiply)(strokes.gains, sound, out=mixed)
            _ramp(sound, begin, 0, envelopes.attack(round(TIMBRES[chord.part].attack_s * self._rate)))
            _ramp(sound, begin, chord.held, envelopes.release(chord.frames - chord.held))
            yield begin, sound


def render(score: Score, sample_rate_hz: int = 48_000, a4_hz: float = 440.0, channels: int = 2) -> Samples:
    """Return the score's sound as (frames, channels), left and right, unleveled and unclipped.

    The frames reach to the end of the score, or of the last note's release if that is later.
    """
    rendering = Rendering(score, sample_rate_hz, a4_hz, channels=channels)
    return rendering.piece(0, rendering.frames)


def _chords(score: Score, rate: int, parts: frozenset[Part] | None) -> list[_Chord]:
    """Return the notes as chords, in order of their beginning."""
    found: defaultdict[tuple[int, int, int, Part], list[tuple[int, int]]] = defaultdict(list)
    for note in score.notes:
        if parts is not None and note.part not in parts:
            continue
        held_s = CLICK_RINGS_S if note.part == "click" else note.duration_s
        if note.onset_s < 0 or held_s < 0 or not 0 <= note.midi <= 127 or not 1 <= note.velocity <= 127:
            raise SoundError(f"a note outside of time or of MIDI's ranges: {note}")
        start, end = round(note.onset_s * rate), round((note.onset_s + held_s) * rate)
        release = round(TIMBRES[note.part].release_s * rate)
        found[start, end - start, end - start + release, note.part].append((note.midi, note.velocity))
    return [_Chord(*span, tuple(notes)) for span, notes in sorted(found.items())]


def _rows(frames: int) -> int:
    """Return how many rows cover so many frames."""
    return -(-frames // BLOCK)


def _tables(strokes: Strokes, rows: int) -> _Tables:
    """Return a chord's tables, for so many rows at once."""
    count = len(strokes.steps)
    steps = strokes.steps
    # One doubling makes the powers of e^w, and of the conjugates of e^(FINE·w) and e^(BLOCK·w).
    powers = np.empty((FINE, 3, count), dtype=np.complex128)
    powers[0] = 1.0
    factor = np.exp(np.stack([steps, FINE * steps.conj(), BLOCK * steps.conj()]))
    for done in (1, 2, 4, 8):
        np.multiply(powers[:done], factor, out=powers[done : 2 * done])
        factor *= factor
    fine, coarse, by_row = powers.astype(np.complex64).transpose(1, 0, 2)
    turned = np.empty((count, 2, COARSE), dtype=np.complex64)
    turned[:, 0] = coarse[:COARSE].T
    np.multiply(turned[:, 0], np.complex64(1j), out=turned[:, 1])
    within = np.empty((count, 2, FINE), dtype=np.float32)
    within[:, 0] = fine.real.T
    within[:, 1] = fine.imag.T
    columns = turned.view(np.float32).reshape(count, 2 * COARSE, 2) @ within
    if rows > FINE:
        more = -(-rows // FINE)
        starts = np.empty((more, count), dtype=np.complex128)
        starts[0] = 1.0
        step, done = factor[2], 1
        while done < more:
            np.multiply(starts[: min(done, more - done)], step, out=starts[done : 2 * done])
            done, step = 2 * done, step * step
        by_row = (starts.astype(np.complex64)[:, None] * by_row).reshape(more * FINE, count)
    return _Tables(strokes, by_row, columns.reshape(2 * count, BLOCK))


def _ramp(mixed: Samples, begin: int, at: int, ramp: Samples) -> None:
    """Multiply the part of a ramp starting at a frame that falls into a piece starting at another."""
    low, high = max(at, begin), min(at + len(ramp), begin + mixed.shape[1])
    if low < high:
        mixed[:, low - begin : high - begin] *= ramp[low - at : high - at]
