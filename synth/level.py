"""How loud it is, and making every question equally loud.

Integrated loudness after Recommendation ITU-R BS.1770-4: K-weighting, blocks of 400 ms every
100 ms, an absolute gate at -70 LKFS and a relative one 10 LU below; true peak after its annex 2,
four times oversampled.  The weighting filter's two stages are designed for any rate from the analog
prototype that yields the Recommendation's coefficients at 48 kHz (B. De Man, "Evaluation of
implementations of the EBU R128 loudness measurement", 2014).

Both measures run on matrix products: a block of samples times the filter's impulse responses, with
the filter's state carried from block to block.
"""

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.peaks import EASED_TO, block_peaks, eased, peaks_over, sample_peak, true_peak
from synth.render import Rendering
from synth.room import TAIL_S, in_room
from synth.score import Part, Score

Samples = NDArray[np.float32]
Matrix = NDArray[np.float64]

BLOCK: Final = 64
"""Samples that are filtered by one row of a matrix product."""

ABSOLUTE_GATE_LUFS: Final = -70.0
RELATIVE_GATE_LU: Final = -10.0
OFFSET_LU: Final = -0.691

SKETCH_HZ: Final = 16_000
"""The rate at which a score's loudness is worked out beforehand."""

STRETCH_S: Final = 6.0
"""Of a long score such stretches are measured."""

TOLERANCE_LU: Final = 0.1
"""How near to the target a leveled sound is when its peaks had to be eased."""

TOGETHER: Final = 1 << 16
"""Frames, about, that are weighted at once: what is worked on stays in the processor's cache."""


@dataclass(frozen=True, slots=True, eq=False)
class Leveled:
    """A sound at its level, and what it then measures."""

    samples: Samples
    """(frames, channels)."""
    lufs: float
    """Integrated loudness; -inf for silence."""
    peak_dbtp: float
    """True peak; -inf for silence."""


def integrated_lufs(samples: Samples, rate: int) -> float:
    """Return the gated loudness of a (frames, channels) sound; -inf for silence.

    Sound shorter than one block of 400 ms is measured as if silence followed.
    """
    return _gated_lufs(_step_powers(samples, rate))


def _gated_lufs(steps: Matrix) -> float:
    """Return the gated loudness from the weighted power of each 100 ms, at least four of them."""
    blocks = (steps[:-3] + steps[1:-2] + steps[2:-1] + steps[3:]) / 4
    loud = blocks[blocks > _power(ABSOLUTE_GATE_LUFS)]
    if not len(loud):
        return -math.inf
    gate = float(loud.mean()) * 10.0 ** (RELATIVE_GATE_LU / 10.0)
    return OFFSET_LU + 10.0 * math.log10(float(loud[loud > gate].mean()))


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
    step = _step_frames(SKETCH_HZ)
    lead = round(TAIL_S * SKETCH_HZ) if room else 0
    steps = max((rendering.frames + lead) // step, 4)
    powers = []
    for begin, end in _stretches(steps, most_s):
        sketch = rendering.piece(begin * step - lead, end * step)
        if room:
            sketch = in_room(sketch, SKETCH_HZ, room)[lead : lead + (end - begin) * step]
        by_step = sketch.T.reshape(2, end - begin, step)
        powers.append(np.einsum("cij,cij->i", by_step, by_step) / step)
    return _gated_lufs(np.concatenate(powers))


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
    _checked(samples, rate)
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
    _checked(samples, rate)
    loudest = sample_peak(samples)
    if loudest == 0.0:
        return Leveled(samples.copy(), -math.inf, -math.inf)
    powers = _step_powers(samples, rate)
    if not math.isfinite(_gated_lufs(powers)):  # too soft to be measured as it is
        samples, powers = samples * np.float32(0.5 / loudest), powers * (0.5 / loudest) ** 2
        if not math.isfinite(_gated_lufs(powers)):
            return Leveled(samples, -math.inf, true_peak_dbtp(samples, rate))
    ceiling = 10.0 ** (ceiling_dbtp / 20.0)
    gain = 10.0 ** ((target_lufs - _gated_lufs(powers)) / 20.0)
    peak, sharper_peak = peaks_over(samples, ceiling / gain)
    if max(peak, sharper_peak) * gain <= ceiling:
        louder = np.multiply(samples, np.float32(gain), out=out)
        return Leveled(louder, _gated_lufs(powers * gain**2), _decibels(peak * gain))
    for _ in range(8):
        louder = eased(samples, block_peaks(samples, EASED_TO * ceiling / gain), gain, ceiling)
        lufs = integrated_lufs(louder, rate)
        if abs(target_lufs - lufs) <= TOLERANCE_LU:
            break
        gain *= 10.0 ** (min(target_lufs - lufs, 6.0) / 20.0)
    return Leveled(louder, lufs, true_peak_dbtp(louder, rate))


def _decibels(peak: float) -> float:
    return 20.0 * math.log10(peak) if peak > 0 else -math.inf


def _power(lufs: float) -> float:
    return float(10.0 ** ((lufs - OFFSET_LU) / 10.0))


def _step_frames(rate: int) -> int:
    return round(rate / 10)


def _checked(samples: Samples, rate: int) -> None:
    if samples.ndim != 2 or rate < 4000:
        raise SoundError(f"samples {samples.shape} at {rate} Hz; expected (frames, channels), 4000 Hz up")


def k_weighting(rate: int) -> tuple[Matrix, Matrix]:
    """Return the two stages' coefficients, rows b0 b1 b2 and 1 a1 a2: the shelf and the high-pass."""
    k = math.tan(math.pi * 1681.974450955533 / rate)
    q = 0.7071752369554196
    high = 10.0 ** (3.999843853973347 / 20.0)
    band = high**0.4996667741545416
    scale = 1.0 + k / q + k * k
    shelf = np.array(
        [
            [(high + band * k / q + k * k), 2.0 * (k * k - high), (high - band * k / q + k * k)],
            [scale, 2.0 * (k * k - 1.0), 1.0 - k / q + k * k],
        ]
    )
    k = math.tan(math.pi * 38.13547087602444 / rate)
    q = 0.5003270373238773
    scale_low = 1.0 + k / q + k * k
    poles = np.array([scale_low, 2.0 * (k * k - 1.0), 1.0 - k / q + k * k]) / scale_low
    return shelf / scale, np.array([[1.0, -2.0, 1.0], poles])


@cache
def weighting_matrices(rate: int) -> tuple[Samples, Samples, Matrix]:
    """Return the weighting as matrices: (block and state) to output, block to state, state over a block.

    The four state variables are those of both stages in transposed direct form.
    """
    (b, a), (d, c) = k_weighting(rate)
    # State-space form: v is the shelf's output and the high-pass's input.
    step = np.zeros((4, 4))
    step[:2, :2] = [[-a[1], 1.0], [-a[2], 0.0]]
    step[2:, 2:] = [[-c[1], 1.0], [-c[2], 0.0]]
    enters_low = np.array([d[1] - c[1] * d[0], d[2] - c[2] * d[0]])
    step[2:, 0] = enters_low
    feed = np.concatenate([[b[1] - a[1] * b[0], b[2] - a[2] * b[0]], enters_low * b[0]])
    seen = np.array([d[0], 0.0, 1.0, 0.0])
    straight = d[0] * b[0]
    powers = [np.eye(4)]
    for _ in range(BLOCK):
        powers.append(powers[-1] @ step)
    from_state = np.array([seen @ power for power in powers[:BLOCK]])
    response = np.concatenate([[straight], [seen @ power @ feed for power in powers[: BLOCK - 1]]])
    delay = np.subtract.outer(np.arange(BLOCK), np.arange(BLOCK))
    output = np.concatenate([np.where(delay >= 0, response[delay], 0.0), from_state], axis=1).T
    to_state = np.array([power @ feed for power in powers[BLOCK - 1 :: -1]])
    return output.astype(np.float32), to_state.astype(np.float32), powers[BLOCK]


def _step_powers(samples: Samples, rate: int) -> Matrix:
    """Return the weighted power, summed over channels, of each whole 100 ms (at least four)."""
    _checked(samples, rate)
    step = _step_frames(rate)
    frames, channels = samples.shape
    steps = max(frames // step, 4)
    used, blocks = min(frames, steps * step), -(-steps * step // BLOCK)
    whole = used // BLOCK
    output, to_state, over_block = weighting_matrices(rate)
    unit = math.lcm(step, BLOCK)
    unit *= max(1, TOGETHER // unit)
    wide = np.empty((unit // BLOCK, BLOCK + 4), dtype=np.float32)
    weighted = np.empty((unit // BLOCK, BLOCK), dtype=np.float32)
    powers = np.zeros(-(-blocks * BLOCK // unit) * (unit // step))
    for channel in range(channels):
        rows = samples[: whole * BLOCK, channel].reshape(whole, BLOCK)
        rest = np.zeros((blocks - whole, BLOCK), dtype=np.float32)
        if whole < blocks:
            rest[0, : used - whole * BLOCK] = samples[whole * BLOCK : used, channel]
        states = np.concatenate([to_state.T @ rows.T, to_state.T @ rest.T], axis=1, dtype=np.float64)
        reach, power = 1, over_block
        while reach < blocks and np.abs(power).max() > 1e-12:
            states[:, reach:] += power @ states[:, :-reach]
            reach, power = 2 * reach, power @ power
        for at in range(0, blocks, len(wide)):
            until = min(at + len(wide), blocks)
            here = wide[: until - at]
            sounding = max(min(until, whole) - at, 0)
            here[:sounding, :BLOCK] = rows[at : at + sounding]
            here[sounding:, :BLOCK] = rest[at + sounding - whole : until - whole] if sounding < len(here) else 0.0
            here[0, BLOCK:] = states[:, at - 1] if at else 0.0
            here[1:, BLOCK:] = states[:, at : until - 1].T
            np.matmul(here, output, out=weighted[: len(here)])
            weighted[len(here) :] = 0.0
            in_steps = weighted.reshape(-1, step)
            first = at * BLOCK // step
            powers[first : first + len(in_steps)] += np.einsum("ij,ij->i", in_steps, in_steps)
    return powers[:steps] / step
