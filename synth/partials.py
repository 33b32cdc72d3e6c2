"""The partials of notes, ready to be multiplied out: tables of their keys, and how loud each one is struck.

A note is a sum of damped complex exponentials, the real part of a·e^(wt).  With t = k·BLOCK + l it is the
product of a table over k and a table over l, and both depend on the key alone: however hard it is played,
only the amplitudes differ, and these are real.  So a key's tables are made once and serve all its notes.
They are built in float64 and multiplied out in float32.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, cast

import numpy as np
from numpy.typing import NDArray

from synth.powers import fill
from synth.score import Part
from synth.tones import TIMBRES, Modes, modes, panorama, stroke

Vector = NDArray[np.float64]
Samples = NDArray[np.float32]

BLOCK: Final = 128
"""Frames that one row of the table over k covers."""

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
    decays: Vector
    """(partials,): logarithm of what each one's amplitude is multiplied with from frame to frame; zero or below."""
    angles: Vector
    """(partials,): radians from frame to frame."""
    phases: Vector
    """(partials,): radians that each begins with."""
    shape: Vector
    """(partials,): amplitude over the fundamental's, before the stroke's brightness."""
    above_hz: Vector
    """(partials,): how far each lies above the first."""
    panorama: tuple[float, float]
    columns: Samples
    """(partials, 2·BLOCK): real part of e^(w·l), then its imaginary part."""


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


_kept: dict[tuple[Named, int, float, Weighting | None], Key] = {}


def keys_of(
    names: Iterable[Named], rate: int, a4_hz: float = 440.0, weighting: Weighting | None = None
) -> dict[Named, Key]:
    """Return keys by part and MIDI number; without any partial where the rate has no room for them."""
    found = {name: _kept.get((name, rate, a4_hz, weighting)) for name in names}
    missing = [name for name, key in found.items() if key is None]
    if missing:
        made = [_made(modes(*name, rate, a4_hz), rate, weighting) for name in missing]
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


def _made(found: Modes, rate: int, weighting: Weighting | None) -> Key:
    """Return a key with its table over l."""
    frequencies = found.frequencies_hz
    decays, angles = found.decays_per_s * (-1.0 / rate), frequencies * (2.0 * np.pi / rate)
    columns = np.empty((len(frequencies), 2, BLOCK), dtype=np.float32)
    fill(decays, angles, np.zeros(len(frequencies)), columns)
    return Key(
        found.part,
        decays,
        angles,
        found.phases,
        found.shape if weighting is None else found.shape * weighting(frequencies),
        frequencies - frequencies[:1],
        panorama(found.part, found.midi),
        columns.reshape(-1, 2 * BLOCK),
    )


@lru_cache(maxsize=KEYS_KEPT)
def rows_of(key: Key, rows: int) -> Samples:
    """Return a key's table over k, (rows, 2·partials): the conjugate of e^(w·BLOCK·k), turned by the first phase."""
    table = np.empty((rows, len(key.phases), 2), dtype=np.float32)
    fill(BLOCK * key.decays, -BLOCK * key.angles, -key.phases, table.transpose(1, 2, 0))
    return table.reshape(rows, -1)


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
        if len(key.phases)  # else the rate has no room even for its fundamental
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
    now = note.amplitudes[:, 0] * np.exp(note.key.decays * frame)
    alive = np.flatnonzero(now > INAUDIBLE)
    return int(alive[-1]) + 1 if len(alive) else 0
