"""The partials of notes, ready to be multiplied out: tables of their keys, and how loud each one is struck.

A note is a sum of damped complex exponentials, the real part of a·e^(wt).  With t = k·BLOCK + l it is the
product of a table over k and a table over l, and both depend on the key alone: however hard it is played,
only the amplitudes differ, and these are real.  So a key's tables are made once and serve all its notes.
They are built by doubling in complex128 and multiplied out in complex64.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.score import Part
from synth.tones import TIMBRES, modes, panorama, stroke

Vector = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Samples = NDArray[np.float32]

FINE: Final = 16
BLOCK: Final = 128
"""Frames that one row of the table over k covers."""

PACES: Final = np.array([[1], [FINE], [BLOCK]])
"""Frames between the powers that a key's tables are made of."""

INAUDIBLE: Final = 5.0e-8
"""A partial ends for good where its amplitude has fallen below this (-146 dBFS)."""

KEYS_KEPT: Final = 128
"""Keys whose tables are kept: more than a keyboard and a bass have, and at most some 50 megabytes."""


Weighting = Callable[[Vector], Vector]
"""Gains by frequencies in hertz."""


@dataclass(frozen=True, slots=True, eq=False)
class Key:
    """One key of one part, however hard it is played."""

    steps: Complexes
    """(partials,): what each is multiplied with from frame to frame, as its logarithm."""
    shape: Vector
    """(partials,): amplitude over the fundamental's, before the stroke's brightness."""
    above_hz: Vector
    """(partials,): how far each lies above the first."""
    panorama: tuple[float, float]
    columns: Samples
    """(partials, 2·BLOCK): real part of e^(w·l), then its imaginary part."""
    rows: NDArray[np.complex64]
    """(ROWS, partials): the conjugate of e^(w·BLOCK·k), turned by the phase that the partial begins with."""


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A note: a key and how hard it is played."""

    key: Key
    amplitudes: Samples
    """(partials, 1)."""


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
    # One doubling makes the powers of e^w, e^(FINE·w) and e^(BLOCK·w).
    powers = _powers(steps * PACES, FINE).transpose(1, 2, 0).astype(np.complex64, order="C")
    fine, coarse, rows = powers
    within = (coarse[:, : BLOCK // FINE, None] * fine[:, None]).view(np.float32)
    columns = np.empty((len(steps), 2, BLOCK), dtype=np.float32)
    np.copyto(columns, within.reshape(-1, BLOCK, 2).transpose(0, 2, 1))
    return Key(
        steps,
        found.shape if weighting is None else found.shape * weighting(frequencies),
        frequencies - frequencies[:1],
        panorama(part, midi),
        columns.reshape(-1, 2 * BLOCK),
        rows.T.conj() * np.exp(-1j * found.phases).astype(np.complex64),
    )


@lru_cache(maxsize=2 * KEYS_KEPT)
def rows_of(key: Key, rows: int) -> Samples:
    """Return a key's table over k, (rows, 2·partials), for so many rows: some times FINE."""
    starts = _powers(FINE * BLOCK * key.steps.conj(), rows // FINE).astype(np.complex64)
    return (starts[:, None] * key.rows).reshape(rows, -1).view(np.float32)


def strokes_of(
    part: Part,
    notes: tuple[tuple[int, int], ...],
    rate: int,
    a4_hz: float = 440.0,
    channels: int = 2,
    weighting: Weighting | None = None,
) -> Strokes:
    """Return the strokes of notes that begin and end together: key and velocity of each.

    With one channel each note has the loudness of both together.  A voice holds the notes that stand at the
    same place in the panorama.
    """
    apart = channels == 2 and TIMBRES[part].spread != 0.0
    voices: list[tuple[Stroke, ...]] = []
    places: list[tuple[float, ...]] = []
    for midi, velocity in notes:
        key = key_of(part, midi, rate, a4_hz, weighting)
        if not len(key.steps):  # the rate has no room even for its fundamental
            continue
        level, reach_hz = stroke(part, velocity)
        amplitudes = np.exp(key.above_hz * (-1.0 / reach_hz))
        amplitudes *= level
        amplitudes *= key.shape
        note = Stroke(key, amplitudes.astype(np.float32)[:, None])
        if apart or not places:
            voices.append((note,))
            places.append(key.panorama if channels == 2 else (1.0,))
        else:
            voices[-1] += (note,)
    return Strokes(tuple(voices), np.array(places, dtype=np.float32).reshape(-1, channels).T.copy())


def living(note: Stroke, frame: int) -> int:
    """Return how many partials of a note must be rendered from a frame on: all up to the last one alive."""
    if not frame:
        return len(note.amplitudes)
    now = note.amplitudes[:, 0] * np.exp(note.key.steps.real * frame)
    alive = np.flatnonzero(now > INAUDIBLE)
    return int(alive[-1]) + 1 if len(alive) else 0


def _powers(steps: Complexes, count: int) -> Complexes:
    """Return e^(steps·n) for n from 0 up, (count, *steps.shape), by doubling."""
    powers = np.empty((count, *steps.shape), dtype=np.complex128)
    powers[0] = 1.0
    factor, done = np.exp(steps), 1
    while done < count:
        until = min(2 * done, count)
        np.multiply(powers[: until - done], factor, out=powers[done:until])
        done, factor = until, factor * factor
    return powers
