"""The partials of notes, ready to be multiplied out: tables of their keys, and how loud each one is struck.

A note is a sum of damped complex exponentials, the real part of a·e^(wt).  With t = k·BLOCK + l it is the
product of a table over k and a table over l, and both depend on the key alone: however hard it is played,
only the amplitudes differ, and these are real.  So a key's tables are made once and serve all its notes.
They are built by doubling in complex128 and multiplied out in complex64.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, cast

import numpy as np
from numpy.typing import NDArray

from synth.score import Part
from synth.scratch import Scratch
from synth.tones import TIMBRES, Modes, modes, panorama, stroke

Vector = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Samples = NDArray[np.float32]

FINE: Final = 16
"""Powers that are made by doubling; products of two of them are all others."""

BLOCK: Final = 128
"""Frames that one row of the table over k covers."""

PACES: Final = np.array([[1], [FINE], [BLOCK]])
"""Frames between the powers that a key's tables are made of."""

INAUDIBLE: Final = 5.0e-8
"""A partial ends for good where its amplitude has fallen below this (-146 dBFS)."""

KEYS_KEPT: Final = 128
"""Keys whose tables are kept: more than a keyboard and a bass have, and at most some 50 megabytes."""

Named = tuple[Part, int]
"""Part and MIDI number of a key."""

Weighting = Callable[[Vector], Vector]
"""Gains by frequencies in hertz."""


@dataclass(frozen=True, slots=True, eq=False)
class Key:
    """One key of one part, however hard it is played."""

    part: Part
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
    """(FINE, partials): the conjugate of e^(w·BLOCK·k), turned by the phase that the partial begins with."""


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
    gains: Samples | None
    """(channels, voices); None for one voice that is the same in all channels."""


_scratch = Scratch()

_kept: dict[tuple[Named, int, float, Weighting | None], Key] = {}


def keys_of(
    names: Iterable[Named], rate: int, a4_hz: float = 440.0, weighting: Weighting | None = None
) -> dict[Named, Key]:
    """Return keys by part and MIDI number; without any partial where the rate has no room for them."""
    found = {name: _kept.get((name, rate, a4_hz, weighting)) for name in names}
    missing = [name for name, key in found.items() if key is None]
    if missing:
        made = _made([modes(*name, rate, a4_hz) for name in missing], rate, weighting)
        if len(_kept) + len(made) > KEYS_KEPT:
            _kept.clear()
        for name, key in zip(missing, made, strict=True):
            found[name] = _kept[name, rate, a4_hz, weighting] = key
    return cast("dict[Named, Key]", found)


def forget_keys() -> None:
    """Let go of all tables that are kept."""
    _kept.clear()
    rows_of.cache_clear()
    stroke_of.cache_clear()


def _made(found: list[Modes], rate: int, weighting: Weighting | None) -> list[Key]:
    """Return keys with their tables, all worked out at once."""
    frequencies = np.concatenate([one.frequencies_hz for one in found])
    shape = np.concatenate([one.shape for one in found])
    if weighting is not None:
        shape *= weighting(frequencies)
    steps = (2j * np.pi * frequencies - np.concatenate([one.decays_per_s for one in found])) / rate
    # One doubling makes the powers of e^w, e^(FINE·w) and e^(BLOCK·w).
    powers = _powers(steps * PACES, FINE)
    fine, coarse = powers[:, :2].transpose(1, 2, 0).astype(np.complex64, order="C")
    within = _scratch.floats("within", len(steps), BLOCK, 2)
    np.multiply(
        coarse[:, : BLOCK // FINE, None],
        fine[:, None],
        out=within.view(np.complex64).reshape(len(steps), BLOCK // FINE, FINE),
    )
    columns = np.ascontiguousarray(within.transpose(0, 2, 1)).reshape(-1, 2 * BLOCK)
    turns = np.exp(1j * np.concatenate([one.phases for one in found]))
    rows = (powers[:, 2] * turns).conj().astype(np.complex64)
    keys, end = [], 0
    for one in found:
        begin, end = end, end + len(one.shape)
        keys.append(
            Key(
                one.part,
                steps[begin:end],
                shape[begin:end],
                one.frequencies_hz - one.frequencies_hz[:1],
                panorama(one.part, one.midi),
                columns[begin:end],
                rows[:, begin:end],
            )
        )
    return keys


@lru_cache(maxsize=KEYS_KEPT)
def rows_of(key: Key, rows: int) -> Samples:
    """Return a key's table over k, (rows, 2·partials), for so many rows: some times FINE."""
    starts = _powers(BLOCK * FINE * key.steps.conj(), rows // FINE).astype(np.complex64)
    table: Samples = (starts[:, None] * key.rows).reshape(rows, -1).view(np.float32)
    return table


def strokes_of(part: Part, notes: tuple[tuple[int, int], ...], keys: Mapping[Named, Key], channels: int = 2) -> Strokes:
    """Return the strokes of notes that begin and end together: key and velocity of each.

    With one channel each note has the loudness of both together.  A voice holds the notes that stand at the
    same place in the panorama.
    """
    apart = channels == 2 and TIMBRES[part].spread != 0.0
    level = math.sqrt(0.5) if channels == 2 and not apart else 1.0
    struck = [
        stroke_of(key, velocity, level)
        for key, velocity in ((keys[part, midi], velocity) for midi, velocity in notes)
        if len(key.steps)  # else the rate has no room even for its fundamental
    ]
    if not apart:
        return Strokes((tuple(struck),) if struck else (), None)
    gains = np.array([note.key.panorama for note in struck], dtype=np.float32).reshape(-1, 2).T.copy()
    return Strokes(tuple((note,) for note in struck), gains)


@lru_cache(maxsize=4 * KEYS_KEPT)
def stroke_of(key: Key, velocity: int, level: float) -> Stroke:
    """Return a key's stroke, so much louder than alone."""
    own, reach_hz = stroke(key.part, velocity)
    amplitudes = np.exp(key.above_hz * (-1.0 / reach_hz))
    amplitudes *= key.shape
    amplitudes *= own * level
    return Stroke(key, amplitudes.astype(np.float32)[:, None])


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
    while True:
        until = min(2 * done, count)
        np.multiply(powers[: until - done], factor, out=powers[done:until])
        if until == count:
            return powers
        done, factor = until, factor * factor
