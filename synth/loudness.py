"""How loud a sound is: integrated loudness after Recommendation ITU-R BS.1770-4.

K-weighting, blocks of 400 ms every 100 ms, an absolute gate at -70 LKFS and a relative one 10 LU below.  The
weighting filter's two stages are designed for any rate from the analog prototype that yields the
Recommendation's coefficients at 48 kHz (B. De Man, "Evaluation of implementations of the EBU R128 loudness
measurement", 2014).

Weighting runs on matrix products: a block of samples times the filter's impulse responses, with the filter's
state carried from block to block, so that a sound can be weighed as it is made.
"""

import math
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.scratch import Scratch

Samples = NDArray[np.float32]
Matrix = NDArray[np.float64]

BLOCK: Final = 64
"""Samples that are filtered by one row of a matrix product."""

ABSOLUTE_GATE_LUFS: Final = -70.0
RELATIVE_GATE_LU: Final = -10.0
OFFSET_LU: Final = -0.691

TOGETHER: Final = 1 << 16
"""Frames, about, that are weighted at once: what is worked on stays in the processor's cache."""


_scratch = Scratch()


class Weighing:
    """A sound on the scales: it comes piece by piece, and its loudness can be told at the end."""

    def __init__(self, rate: int, channels: int) -> None:
        """Begin with silence. Raises SoundError."""
        if rate < 4000 or channels < 1:
            raise SoundError(f"{channels} channels at {rate} Hz; expected 1 or more, at 4000 Hz or more")
        self._rate, self._step = rate, step_frames(rate)
        self.unit = math.lcm(self._step, BLOCK)
        """Every piece but the last is some times so many frames."""
        self._states = np.zeros((channels, 4))
        self._powers: list[Matrix] = []
        self._frames = 0

    def add(self, samples: Samples) -> None:
        """Weigh some more of it, (frames, channels): some times `unit`, or the rest."""
        if samples.ndim != 2 or samples.shape[1] != len(self._states) or self._frames % self.unit:
            raise SoundError(f"samples {samples.shape} after {self._frames}; expected some times {self.unit} frames")
        at_once = self.unit * max(1, TOGETHER // self.unit)
        for at in range(0, len(samples), at_once):
            self._add(samples[at : at + at_once])

    def powers(self) -> Matrix:
        """Return the weighted power, summed over channels, of each whole 100 ms, at least four of them."""
        steps = max(self._frames // self._step, 4)
        found = np.concatenate([*self._powers, np.zeros(4)])
        return found[:steps]

    def _add(self, samples: Samples) -> None:
        self._frames += len(samples)
        sound = samples.T
        if short := -len(samples) % self.unit:
            sound = np.pad(sound, ((0, 0), (0, short)))
        weighted, self._states = weigh(sound.reshape(len(sound), -1, BLOCK), self._states, self._rate)
        in_steps = weighted.reshape(len(sound), -1, self._step)
        self._powers.append(np.einsum("cij,cij->i", in_steps, in_steps) / self._step)


def integrated_lufs(samples: Samples, rate: int) -> float:
    """Return the gated loudness of a (frames, channels) sound; -inf for silence.

    Sound shorter than one block of 400 ms is measured as if silence followed.
    """
    return gated_lufs(step_powers(samples, rate))


def step_powers(samples: Samples, rate: int) -> Matrix:
    """Return the weighted power, summed over channels, of each whole 100 ms (at least four)."""
    checked(samples, rate)
    scales = Weighing(rate, samples.shape[1])
    scales.add(samples)
    return scales.powers()


def gated_lufs(steps: Matrix) -> float:
    """Return the gated loudness from the weighted power of each 100 ms, at least four of them; -inf for silence."""
    blocks = (steps[:-3] + steps[1:-2] + steps[2:-1] + steps[3:]) / 4
    loud = blocks[blocks > _power(ABSOLUTE_GATE_LUFS)]
    if not len(loud):
        return -math.inf
    gate = float(loud.mean()) * 10.0 ** (RELATIVE_GATE_LU / 10.0)
    return OFFSET_LU + 10.0 * math.log10(float(loud[loud > gate].mean()))


def step_frames(rate: int) -> int:
    """Return how many frames 100 ms are."""
    return round(rate / 10)


def checked(samples: Samples, rate: int) -> None:
    """Raise SoundError for what can't be measured."""
    if samples.ndim != 2 or rate < 4000:
        raise SoundError(f"samples {samples.shape} at {rate} Hz; expected (frames, channels), 4000 Hz up")


def weigh(blocks: Samples, states: Matrix, rate: int) -> tuple[Samples, Matrix]:
    """Return channels' (channels, blocks, BLOCK) sound weighted as (channels, frames), and the states after it.

    states: (channels, 4), the filter's before it. What is weighted is gone with this thread's next call.
    """
    output, to_state, over_block = weighting_matrices(rate)
    passed = np.concatenate([states[:, None], blocks @ to_state], axis=1)
    reach, power = 1, over_block
    while reach < passed.shape[1] and np.abs(power).max() > 1e-12:
        passed[:, reach:] += passed[:, :-reach] @ power.T
        reach, power = 2 * reach, power @ power
    weighted = np.matmul(blocks, output[:BLOCK], out=_scratch.floats("weighted", *blocks.shape))
    ringing = _scratch.floats("ringing", *blocks.shape)
    weighted += np.matmul(passed[:, :-1].astype(np.float32), output[BLOCK:], out=ringing)
    return weighted.reshape(len(blocks), -1), passed[:, -1]


def _power(lufs: float) -> float:
    return float(10.0 ** ((lufs - OFFSET_LU) / 10.0))


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
