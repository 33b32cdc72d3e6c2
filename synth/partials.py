"""The partials of notes, ready to be multiplied out: tables of their keys, and how loud each one is struck.

A note is a sum of damped complex exponentials, the real part of a·e^(wt).  With t = k·BLOCK + l it is the
product of a table over k and a table over l, and both depend on the key alone: however hard it is played,
only the amplitudes differ, and these are real.  So a key's tables are made once and serve all its notes.
What `synth.tones` says of strokes is gathered for the notes of many chords together, so that a few array
operations serve hundreds of notes.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, islice
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.score import Part
from synth.tones import TIMBRES, modes, panorama, stroke

Vector = NDArray[np.float64]
Samples = NDArray[np.float32]

BLOCK: Final = 128
"""Frames that one row of the table over k covers."""

INAUDIBLE: Final = 5.0e-8
"""A partial ends for good where its amplitude has fallen below this (-146 dBFS)."""

LONGEST_LIFE: Final = 1.0e12
"""Frames that a partial lasts which doesn't decay at all."""

KEYS_KEPT: Final = 128
"""Keys whose tables are kept: more than a keyboard and a bass have, and at most some 50 megabytes."""

Struck = tuple[Part, tuple[tuple[int, int], ...]]
"""The notes of one part that begin and end together: key and velocity of each."""


Weighting = Callable[[Vector], Vector]
"""Gains by frequencies in hertz."""


@dataclass(frozen=True, slots=True, eq=False)
class Key:
    """One key of one part, however hard it is played."""

    steps: NDArray[np.complex128]
    """(partials,): what each is multiplied with from frame to frame, as its logarithm."""
    turns: NDArray[np.complex128]
    """(partials,): the phase at the first frame, as a factor."""
    shape: Vector
    """(partials,): amplitude over the fundamental's, before the stroke's brightness."""
    above_hz: Vector
    """(partials,): how far each lies above the first."""
    panorama: tuple[float, float]
    columns: Samples
    """(2·partials, BLOCK): real and imaginary part of e^(w·l), one after the other."""


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A note: a key and how hard it is played."""

    key: Key
    amplitudes: Samples
    """(2·partials, 1): each partial's twice, as the rows of `Key.columns` are."""
    lives: Vector
    """(partials,): frames until each is inaudible."""
    shortest: float
    """The least of `lives`."""


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """The notes of a chord by voices; a voice is what one matrix product renders."""

    voices: tuple[tuple[Stroke, ...], ...]
    gains: Samples
    """(channels, voices)."""


@lru_cache(maxsize=KEYS_KEPT)
def key_of(part: Part, midi: int, rate: int, a4_hz: float, weighting: Weighting | None) -> Key:
    """Return a key; without any partial where the rate has no room for them."""
    found = modes(part, midi, rate, a4_hz)
    frequencies = found.frequencies_hz
    steps = (2j * np.pi * frequencies - found.decays_per_s) / rate
    powers = _powers(1.0, steps, BLOCK)
    columns = np.empty((len(steps), 2, BLOCK), dtype=np.float32)
    columns[:, 0] = powers.real.T
    columns[:, 1] = powers.imag.T
    return Key(
        steps,
        np.exp(1j * found.phases),
        found.shape if weighting is None else found.shape * weighting(frequencies),
        frequencies - frequencies[:1],
        panorama(part, midi),
        columns.reshape(-1, BLOCK),
    )


@lru_cache(maxsize=2 * KEYS_KEPT)
def rows_of(key: Key, rows: int) -> Samples:
    """Return a key's table over k, (rows, 2·partials): the conjugates of its partials at every BLOCKth frame."""
    return _powers(key.turns.conj(), BLOCK * key.steps.conj(), rows).astype(np.complex64).view(np.float32)


def strokes_of(
    chords: Sequence[Struck],
    rate: int,
    a4_hz: float = 440.0,
    channels: int = 2,
    weighting: Weighting | None = None,
) -> list[Strokes]:
    """Return the strokes of some chords; with one channel each note has the loudness of both together.

    A voice holds the notes of a chord that stand at the same place in the panorama.
    """
    keys: list[Key] = []
    levels: list[float] = []
    reaches_hz: list[float] = []
    found: list[tuple[list[int], list[tuple[float, ...]]]] = []
    for part, notes in chords:
        apart = channels == 2 and TIMBRES[part].spread != 0.0
        sizes: list[int] = []
        places: list[tuple[float, ...]] = []
        for midi, velocity in notes:
            key = key_of(part, midi, rate, a4_hz, weighting)
            if not len(key.steps):  # the rate has no room even for its fundamental
                continue
            level, reach_hz = stroke(part, velocity)
            keys.append(key)
            levels.append(level)
            reaches_hz.append(reach_hz)
            if apart or not places:
                sizes.append(0)
                places.append(key.panorama if channels == 2 else (1.0,))
            sizes[-1] += 1
        found.append((sizes, places))
    struck = iter(_struck(keys, levels, reaches_hz))
    return [
        Strokes(
            tuple(tuple(islice(struck, size)) for size in sizes),
            np.array(places, dtype=np.float32).reshape(-1, channels).T.copy(),
        )
        for sizes, places in found
    ]


def _struck(keys: list[Key], levels: list[float], reaches_hz: list[float]) -> list[Stroke]:
    """Return the strokes of keys with partials, each with its level and with how far above it the spectrum reaches."""
    if not keys:
        return []
    counts = [len(key.steps) for key in keys]
    amplitudes = np.concatenate([key.above_hz for key in keys])
    amplitudes /= -np.repeat(reaches_hz, counts)
    np.exp(amplitudes, out=amplitudes)
    amplitudes *= np.repeat(levels, counts)
    amplitudes *= np.concatenate([key.shape for key in keys])
    decays = -np.concatenate([key.steps for key in keys]).real
    with np.errstate(divide="ignore"):
        lives = np.log(amplitudes / INAUDIBLE) / np.maximum(decays, 1.0 / LONGEST_LIFE)
    doubled = amplitudes.astype(np.float32).repeat(2)[:, None]
    ends = list(accumulate(counts))
    begins = [0, *ends[:-1]]
    shortest = np.minimum.reduceat(lives, begins).tolist()
    return [
        Stroke(key, doubled[2 * begin : 2 * end], lives[begin:end], least)
        for key, begin, end, least in zip(keys, begins, ends, shortest, strict=True)
    ]


def _powers(first: NDArray[np.complex128] | float, step: NDArray[np.complex128], count: int) -> NDArray[np.complex128]:
    """Return first·e^(step·n) for n from 0 up, (count, partials), by doubling."""
    powers = np.empty((count, len(step)), dtype=np.complex128)
    powers[0] = first
    factor, done = np.exp(step), 1
    while done < count:
        until = min(2 * done, count)
        np.multiply(powers[: until - done], factor, out=powers[done:until])
        done, factor = until, factor * factor
    return powers
