"""Making every sound equally loud, and knowing beforehand how loud a score will be.

True peaks are kept under a ceiling, four times oversampled after Recommendation ITU-R BS.1770-4, annex 2, and
by a longer filter as well (`synth/peaks.py`).
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.loudness import checked, gated_lufs, integrated_lufs, k_weighting, step_frames, step_powers
from synth.peaks import EASED_TO, block_peaks, eased, peaks_over, sample_peak, true_peak
from synth.render import Rendering
from synth.room import TAIL_S, in_room
from synth.score import Part, Score

Samples = NDArray[np.float32]
Matrix = NDArray[np.float64]

SKETCH_HZ: Final = 16_000
"""The rate at which a score's loudness is worked out beforehand."""

STRETCH_S: Final = 6.0
"""Of a long score such stretches are measured."""

TOLERANCE_LU: Final = 0.1
"""How near to the target a leveled sound is when its peaks had to be eased."""


@dataclass(frozen=True, slots=True, eq=False)
class Leveled:
    """A sound at its level, and what it then measures."""

    samples: Samples
    """(frames, channels)."""
    lufs: float
    """Integrated loudness; -inf for silence."""
    peak_dbtp: float
    """True peak; -inf for silence."""


def score_lufs(
    score: Score,
    a4_hz: float = 440.0,
    parts: frozenset[Part] | None = None,
    room: float = 0.0,
    most_s: float = math.inf,
) -> float:
    """Return a score's gated loudness, in a room of an amount, without making its sound: -inf for silence.

    Its partials are weighted one by one and added up at a low rate, where the highest overtones have no
    room: within 0.1 LU of what the sound itself would measure.  Of a score longer than `most_s` so many
    seconds are taken, in stretches that lie evenly in it: within 0.3 LU where it goes on as it begins.
    """
    rendering = Rendering(score, SKETCH_HZ, a4_hz, parts, weighting=_k_gains)
    step = step_frames(SKETCH_HZ)
    lead = round(TAIL_S * SKETCH_HZ) if room else 0
    steps = max((rendering.frames + lead) // step, 4)
    powers = []
    for begin, end in _stretches(steps, most_s):
        sketch = rendering.piece(begin * step - lead, end * step)
        if room:
            sketch = in_room(sketch, SKETCH_HZ, room)[lead : lead + (end - begin) * step]
        by_step = sketch.T.reshape(2, end - begin, step)
        powers.append(np.einsum("cij,cij->i", by_step, by_step) / step)
    return gated_lufs(np.concatenate(powers))


def _stretches(steps: int, most_s: float) -> list[tuple[int, int]]:
    """All steps of 100 ms, or some stretches of STRETCH_S that lie evenly in them."""
    if steps <= 10 * most_s:
        return [(0, steps)]
    long = round(10 * STRETCH_S)
    count = max(round(10 * most_s) // long, 1)
    begins = [round(at * (steps - long) / max(count - 1, 1)) for at in range(count)]
    return [(begin, begin + long) for begin in begins]


def gain_of(
    score: Score, a4_hz: float = 440.0, target_lufs: float = -20.0, room: float = 0.0, most_s: float = math.inf
) -> float:
    """Return the factor that brings a score, in a room, to the target loudness; 1 for silence. See `score_lufs`."""
    measured = score_lufs(score, a4_hz, room=room, most_s=most_s)
    return 10.0 ** ((target_lufs - measured) / 20.0) if math.isfinite(measured) else 1.0


def _k_gains(frequencies_hz: Matrix) -> Matrix:
    """Return what the weighting does to sines of some frequencies, at 48 kHz as the Recommendation has it."""
    turn = np.exp(-2j * np.pi * frequencies_hz / 48_000)[:, None] ** np.arange(3)
    (b, a), (d, c) = k_weighting(48_000)
    gains: Matrix = np.abs((turn @ b) * (turn @ d) / ((turn @ a) * (turn @ c)))
    return gains


def true_peak_dbtp(samples: Samples, rate: int) -> float:
    """Return the highest level of any channel between and at the samples; -inf for silence."""
    checked(samples, rate)
    return _decibels(true_peak(samples))


def leveled(samples: Samples, rate: int, target_lufs: float = -20.0, ceiling_dbtp: float = -1.5) -> Samples:
    """Return the sound at the target loudness, its true peaks under the ceiling; see `level`."""
    return level(samples, rate, target_lufs, ceiling_dbtp).samples


def level(
    samples: Samples,
    rate: int,
    target_lufs: float = -20.0,
    ceiling_dbtp: float = -1.5,
    out: Samples | None = None,
) -> Leveled:
    """Return the sound at the target loudness, its true peaks under the ceiling, with what both then are.

    A plain gain, unless peaks would pass the ceiling: then these are eased by a gain that begins
    to fall before them.  Where both can't be had (a lone click) the ceiling wins.  Silence stays.
    out: where a plain gain may put its result, such as the samples themselves.
    """
    checked(samples, rate)
    loudest = sample_peak(samples)
    if loudest == 0.0:
        return Leveled(samples.copy(), -math.inf, -math.inf)
    powers = step_powers(samples, rate)
    if not math.isfinite(gated_lufs(powers)):  # too soft to be measured as it is
        samples, powers = samples * np.float32(0.5 / loudest), powers * (0.5 / loudest) ** 2
        if not math.isfinite(gated_lufs(powers)):
            return Leveled(samples, -math.inf, true_peak_dbtp(samples, rate))
    ceiling = 10.0 ** (ceiling_dbtp / 20.0)
    gain = 10.0 ** ((target_lufs - gated_lufs(powers)) / 20.0)
    peak, sharper_peak = peaks_over(samples, ceiling / gain)
    if max(peak, sharper_peak) * gain <= ceiling:
        louder = np.multiply(samples, np.float32(gain), out=out)
        return Leveled(louder, gated_lufs(powers * gain**2), _decibels(peak * gain))
    for _ in range(8):
        louder = eased(samples, block_peaks(samples, EASED_TO * ceiling / gain), gain, ceiling)
        lufs = integrated_lufs(louder, rate)
        if abs(target_lufs - lufs) <= TOLERANCE_LU:
            break
        gain *= 10.0 ** (min(target_lufs - lufs, 6.0) / 20.0)
    return Leveled(louder, lufs, true_peak_dbtp(louder, rate))


def _decibels(peak: float) -> float:
    return 20.0 * math.log10(peak) if peak > 0 else -math.inf
