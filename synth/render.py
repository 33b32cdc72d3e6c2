"""From a score to samples: each voice of a chord one real matrix product at a time.

What each voice is the product of comes from `synth.partials`.  Chords are rendered and mixed one after the
other, ROWS rows at a time, so that what is being worked on stays in the processor's cache.
A chord that comes back is rendered once and added again.

Samples lie channel after channel in memory; (frames, channels) is a view of that.
"""

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth import envelopes
from synth.errors import SoundError
from synth.partials import BLOCK, Key, Named, Stroke, Strokes, Weighting, keys_of, living, rows_of, strokes_of
from synth.score import Part, Score
from synth.scratch import Scratch
from synth.tones import CLICK_RINGS_S, TIMBRES

Samples = NDArray[np.float32]

ROWS: Final = 768
"""Rows that are rendered and mixed at once: two seconds; with four notes they fill a megabyte and a half."""

FEWEST: Final = 32
STRIDE: Final = 128
"""Rows that tables over k have: few for short notes, else some times STRIDE; beyond ROWS they are carried on."""

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
    sound: "_Sound"
    """What chords that sound the same have in common."""


_Sound = tuple[int, Part, tuple[tuple[int, int], ...]]


_scratch = Scratch()


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
        self._keys: dict[Named, Key] = {}
        self._kept: dict[_Sound, Samples] = {}

    def piece(self, begin: int, end: int) -> Samples:
        """Return the sound from one frame to another as (end - begin, channels), unleveled and unclipped."""
        out = np.zeros((self._channels, end - begin), dtype=np.float32)
        for index in range(bisect_right(self._starts, begin - self._longest), bisect_left(self._starts, end)):
            chord = self._chords[index]
            low, high = max(begin - chord.start, 0), min(end - chord.start, chord.frames)
            if low >= high:
                continue
            for at, sound in self._sounding(chord, low, high):
                place = chord.start + at - begin
                skip, take = max(-place, 0), min(sound.shape[1], end - begin - place)
                if skip < take:
                    out[:, place + skip : place + take] += sound[:, skip:take]
        return out.T

    def _sounding(self, chord: _Chord, low: int, high: int) -> Iterator[tuple[int, Samples]]:
        """Give a chord's sound from one of its frames to another, in pieces with their places.

        Each is (channels, frames), or (1, frames) where all channels have the same.
        """
        if self._times[chord.sound] == 1:
            yield from self._pieces(chord, low, high)
            return
        kept = self._kept.get(chord.sound)
        if kept is None:
            channels = 1 if self._strokes_of(chord).gains is None else self._channels
            kept = np.zeros((channels, chord.frames), dtype=np.float32)
            for at, sound in self._pieces(chord, 0, chord.frames):
                kept[:, at : at + sound.shape[1]] = sound
            if sum(one.size for one in self._kept.values()) > MOST_KEPT:
                self._kept.clear()
            self._kept[chord.sound] = kept
        yield low, kept[:, low:high]

    def _strokes_of(self, chord: _Chord) -> Strokes:
        """Return a chord's strokes."""
        missing = {(chord.part, midi) for midi, _ in chord.notes} - self._keys.keys()
        if missing:
            self._keys.update(keys_of(missing, self._rate, self._a4_hz, self._weighting))
        return strokes_of(chord.part, chord.notes, self._keys, self._channels)

    def _pieces(self, chord: _Chord, low: int, high: int) -> Iterator[tuple[int, Samples]]:
        """Give a chord's sound ROWS rows at a time, with where each piece begins; each is gone with the next."""
        strokes = self._strokes_of(chord)
        if not strokes.voices:
            return
        last = _rows(high)
        for first in range(low // BLOCK, last, ROWS):
            rows, begin = min(ROWS, last - first), first * BLOCK
            alone = _scratch.floats("alone", len(strokes.voices), rows, BLOCK)
            for voice, out in zip(strokes.voices, alone, strict=True):
                np.matmul(*_factors(voice, first, rows), out=out)
            sound = alone.reshape(len(alone), -1)[:, : chord.frames - begin]
            if strokes.gains is not None:
                mixed = _scratch.floats("mixed", self._channels, sound.shape[1])
                sound = (np.matmul if len(alone) > 1 else np.multiply)(strokes.gains, sound, out=mixed)
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
    chords = []
    for (start, held, frames, part), notes in sorted(found.items()):
        chords.append(_Chord(start, held, frames, part, tuple(notes), (held, part, tuple(notes))))
    return chords


def _rows(frames: int) -> int:
    """Return how many rows cover so many frames."""
    return -(-frames // BLOCK)


def _factors(voice: tuple[Stroke, ...], first: int, rows: int) -> tuple[Samples, Samples]:
    """Return what a voice is the product of, from a row on: (rows, 2·partials) and (2·partials, BLOCK).

    Both are gone with the next call.
    """
    counts = [living(note, first * BLOCK) for note in voice]
    right, at = _scratch.floats("right", sum(counts), 2 * BLOCK), 0
    lefts = []
    for note, count in zip(voice, counts, strict=True):
        np.multiply(note.key.columns[:count], note.amplitudes[:count], out=right[at : at + count])
        lefts.append(_left(note.key, first, rows)[:, : 2 * count])
        at += count
    left = lefts[0] if len(lefts) == 1 else np.concatenate(lefts, axis=1, out=_scratch.floats("left", rows, 2 * at))
    return left, right.reshape(-1, BLOCK)


def _left(key: Key, first: int, rows: int) -> Samples:
    """Return a key's table over k from a row on; rows that aren't kept are made from the first ones."""
    until = first + rows
    if until <= ROWS:
        size = FEWEST if until <= FEWEST else -(-until // STRIDE) * STRIDE
        return rows_of(key, size)[first:until]
    factor = np.exp((key.decays - 1j * key.angles) * (first * BLOCK)).astype(np.complex64)
    table: Samples = (rows_of(key, ROWS)[:rows].view(np.complex64) * factor).view(np.float32)
    return table


def _ramp(mixed: Samples, begin: int, at: int, ramp: Samples) -> None:
    """Multiply the part of a ramp starting at a frame that falls into a piece starting at another."""
    low, high = max(at, begin), min(at + len(ramp), begin + mixed.shape[1])
    if low < high:
        mixed[:, low - begin : high - begin] *= ramp[low - at : high - at]
