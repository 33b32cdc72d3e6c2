"""The partials of many notes at once, ready to be multiplied out.

What `synth.tones` says of a key and of a stroke is gathered here for the notes of many chords together,
so that a few array operations serve hundreds of notes.

A voice is what one matrix product renders: the notes of a chord that stand at the same place in the
panorama.  Its partials are sorted by how long they are heard, so that those still alive are the first ones.
"""

from collections.abc import Callable, Sequence
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

INAUDIBLE: Final = 5.0e-8
"""A partial ends for good where its amplitude has fallen below this (-146 dBFS)."""

LONGEST_LIFE: Final = 1.0e12
"""Frames that a partial lasts which doesn't decay at all."""

Struck = tuple[Part, tuple[tuple[int, int], ...]]
"""The notes of one part that begin and end together: key and velocity of each."""


Weighting = Callable[[Vector], Vector]
"""Gains by frequencies in hertz."""


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """The partials of notes that begin and end together, voice after voice."""

    steps: Complexes
    """(partials,): what each is multiplied with from frame to frame, as its logarithm."""
    starts: Complexes
    """(partials,): amplitude and phase at the first frame."""
    lives: Vector
    """(partials,): frames until it is inaudible; falling within a voice."""
    bounds: tuple[int, ...]
    """Where each voice begins, and where the last one ends."""
    gains: Samples
    """(channels, voices)."""


@dataclass(frozen=True, slots=True, eq=False)
class _Key:
    """One key of one part, however hard it is played."""

    steps: Complexes
    shape: Complexes
    """Amplitude over the fundamental's, with the phase, before the stroke's brightness."""
    above_hz: Vector
    """How far each partial lies above the first."""
    panorama: tuple[float, float]


@lru_cache(maxsize=1024)
def _key(part: Part, midi: int, rate: int, a4_hz: float, weighting: Weighting | None) -> _Key:
    found = modes(part, midi, rate, a4_hz)
    shape = found.shape if weighting is None else found.shape * weighting(found.frequencies_hz)
    steps = ((2j * np.pi * found.frequencies_hz - found.decays_per_s) / rate).astype(np.complex128)
    return _Key(
        steps,
        shape * np.exp(1j * found.phases),
        found.frequencies_hz - found.frequencies_hz[:1],
        panorama(part, midi),
    )


def strokes_of(
    chords: Sequence[Struck],
    rate: int,
    a4_hz: float = 440.0,
    channels: int = 2,
    weighting: Weighting | None = None,
) -> list[Strokes]:
    """Return the strokes of some chords; with one channel each note has the loudness of both together."""
    keys: list[_Key] = []
    levels: list[float] = []
    reaches_hz: list[float] = []
    voices: list[int] = []
    firsts: list[int] = [0]
    gains: list[Samples] = []
    for part, notes in chords:
        apart = channels == 2 and TIMBRES[part].spread != 0.0
        places: list[tuple[float, ...]] = []
        for midi, velocity in notes:
            key = _key(part, midi, rate, a4_hz, weighting)
            if not len(key.steps):  # the rate has no room even for its fundamental
                continue
            level, reach_hz = stroke(part, velocity)
            keys.append(key)
            levels.append(level)
            reaches_hz.append(reach_hz)
            if apart or not places:
                places.append(key.panorama if channels == 2 else (1.0,))
            voices.append(firsts[-1] + len(places) - 1)
        firsts.append(firsts[-1] + len(places))
        gains.append(np.array(places, dtype=np.float32).reshape(-1, channels).T.copy())
    if not keys:
        return [Strokes(np.zeros(0, complex), np.zeros(0, complex), np.zeros(0), (0,), gain) for gain in gains]
    counts = [len(key.steps) for key in keys]
    steps = np.concatenate([key.steps for key in keys])
    above_hz = np.concatenate([key.above_hz for key in keys])
    starts = np.concatenate([key.shape for key in keys])
    starts *= np.repeat(levels, counts) * np.exp(above_hz / -np.repeat(reaches_hz, counts))
    with np.errstate(divide="ignore"):
        lives = np.log(np.abs(starts) / INAUDIBLE) / np.maximum(-steps.real, 1.0 / LONGEST_LIFE)
    voice = np.repeat(voices, counts)
    order = np.lexsort((-lives, voice))
    steps, starts, lives = steps[order], starts[order], lives[order]
    bounds = [0, *np.cumsum(np.bincount(voice, minlength=firsts[-1])).tolist()]
    found = []
    for first, last, gain in zip(firsts, firsts[1:], gains, strict=False):
        begin, end = bounds[first], bounds[last]
        own = tuple(bound - begin for bound in bounds[first : last + 1])
        found.append(Strokes(steps[begin:end], starts[begin:end], lives[begin:end], own, gain))
    return found
