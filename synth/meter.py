"""A meter of what is sent out: how loud it is, and how high it peaks.

Loudness is K-weighted after Recommendation ITU-R BS.1770-4, over the last 400 ms (momentary) and the last
3 s (short-term) as EBU Tech 3341 has it, ungated; before the first sound there was silence.  Peaks are true
peaks (annex 2): shown for a second, then falling by 20 dB in 1.7 s as digital peak meters do (IEC 60268-18,
from memory).

Time is that of the samples added, in steps of 10 ms; however the sound is cut, the meter shows the same.
"""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.loudness import BLOCK, OFFSET_LU, weigh
from synth.peaks import PHASES, REACH

Samples = NDArray[np.float32]
Vector = NDArray[np.float64]

STEPS_A_SECOND: Final = 100
MOMENTARY_STEPS: Final = 40
SHORT_TERM_STEPS: Final = 300

HOLD_STEPS: Final = 100
FALL: Final = 10.0 ** (-20.0 / 1.7 / STEPS_A_SECOND / 20.0)
"""What a peak that is no longer held is multiplied with each step."""

SILENT: Final = 1.0e-12
"""Power below which there is nothing: what is left in the filters doesn't count."""

AT_ONCE: Final = 1 << 16
"""Frames worked on at once, so that a whole tune needs no more memory than a second."""

_BETWEEN: Final = PHASES[:, ::-1].astype(np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class Meter:
    """What a meter shows, and what it must remember to go on."""

    rate: int
    peak: float
    """The true peak that is shown: the highest for a second, then falling; 1 is full scale."""
    highest: float
    """The highest true peak of all."""
    powers: Vector
    """(SHORT_TERM_STEPS,): the weighted power of each of the last steps, the newest at the end."""
    loudest: tuple[float, float]
    """The highest power of any 400 ms and of any 3 s, a step apart."""
    held: int
    """Steps for which the shown peak has stood."""
    waiting: Samples
    """(channels, frames): what has come since the last whole BLOCK, with the REACH frames before it."""
    states: Vector
    """(channels, 4): the weighting filters' states."""
    begun: tuple[int, float, float]
    """Frames, weighted energy and peak of the step that isn't over yet."""

    @property
    def momentary_lufs(self) -> float:
        """Loudness of the last 400 ms; -inf for silence."""
        return _decibels_of_power(float(self.powers[-MOMENTARY_STEPS:].mean()))

    @property
    def short_term_lufs(self) -> float:
        """Loudness of the last 3 s; -inf for silence."""
        return _decibels_of_power(float(self.powers.mean()))

    @property
    def highest_momentary_lufs(self) -> float:
        """The highest loudness of any 400 ms since the meter began."""
        return _decibels_of_power(self.loudest[0])

    @property
    def highest_short_term_lufs(self) -> float:
        """The highest loudness of any 3 s since the meter began."""
        return _decibels_of_power(self.loudest[1])

    @property
    def peak_dbtp(self) -> float:
        """The peak to show."""
        return _decibels(self.peak)

    @property
    def highest_dbtp(self) -> float:
        """The highest peak since the meter began."""
        return _decibels(self.highest)

    def add(self, samples: Samples) -> "Meter":
        """Return the meter after some more sound (frames, channels)."""
        channels = len(self.states)
        if samples.ndim != 2 or samples.shape[1] != channels:
            raise SoundError(
                f"samples {samples.shape} for a meter of {channels} channels; expected (frames, {channels})"
            )
        meter = self
        for at in range(0, len(samples), AT_ONCE):
            meter = _added(meter, samples[at : at + AT_ONCE])
        return meter


def meter_at(rate: int, channels: int = 2) -> Meter:
    """Return a meter that has heard nothing yet."""
    if rate < 4000 or channels < 1:
        raise SoundError(f"a meter of {channels} channels at {rate} Hz; expected 1 or more, at 4000 Hz or more")
    return Meter(
        rate=rate,
        peak=0.0,
        highest=0.0,
        powers=np.zeros(SHORT_TERM_STEPS),
        loudest=(0.0, 0.0),
        held=0,
        waiting=np.zeros((channels, REACH), dtype=np.float32),
        states=np.zeros((channels, 4)),
        begun=(0, 0.0, 0.0),
    )


def _added(meter: Meter, samples: Samples) -> Meter:
    waiting = np.concatenate([meter.waiting, samples.T], axis=1)
    blocks = (waiting.shape[1] - REACH) // BLOCK
    if not blocks:
        return replace(meter, waiting=waiting)
    frames = blocks * BLOCK
    sound = waiting[:, REACH : REACH + frames]
    weighted, states = weigh(sound.reshape(len(sound), blocks, BLOCK), meter.states, meter.rate)
    between = _BETWEEN @ sliding_window_view(waiting[:, : REACH + frames], frames, axis=1)
    step = round(meter.rate / STEPS_A_SECOND)
    filled, energy, peak = meter.begun
    energies, peaks = np.zeros(filled + frames), np.zeros(filled + frames, dtype=np.float32)
    energies[filled:] = np.einsum("ij,ij->j", weighted, weighted)
    peaks[filled:] = np.maximum(np.abs(sound).max(axis=0), np.abs(between).max(axis=(0, 1)))
    if filled:
        energies[0], peaks[0] = energy, peak
    over = len(energies) // step * step
    begun = len(energies) - over, float(energies[over:].sum()), float(peaks[over:].max(initial=0.0))
    meter = replace(meter, waiting=waiting[:, frames:], states=states, begun=begun)
    if not over:
        return meter
    tops = peaks[:over].reshape(-1, step).max(axis=1).tolist()
    return _stepped(meter, energies[:over].reshape(-1, step).sum(axis=1) / step, tops)


def _stepped(meter: Meter, new: Vector, tops: list[float]) -> Meter:
    """Return the meter after whole steps of these powers and true peaks."""
    powers = np.concatenate([meter.powers, new])
    sums = np.concatenate([[0.0], np.cumsum(powers)])
    momentary, short_term = (
        float((sums[SHORT_TERM_STEPS + 1 :] - sums[SHORT_TERM_STEPS + 1 - steps : -steps]).max()) / steps
        for steps in (MOMENTARY_STEPS, SHORT_TERM_STEPS)
    )
    shown, held = meter.peak, meter.held
    for top in tops:
        shown, held = (shown, held + 1) if held < HOLD_STEPS else (shown * FALL, held)
        if top >= shown:
            shown, held = top, 0
    return replace(
        meter,
        peak=shown,
        highest=max(meter.highest, *tops),
        powers=powers[-SHORT_TERM_STEPS:],
        loudest=(max(meter.loudest[0], momentary), max(meter.loudest[1], short_term)),
        held=held,
    )


def _decibels_of_power(power: float) -> float:
    return OFFSET_LU + 10.0 * math.log10(power) if power > SILENT else -math.inf


def _decibels(peak: float) -> float:
    return 20.0 * math.log10(peak) if peak > 0.0 else -math.inf
