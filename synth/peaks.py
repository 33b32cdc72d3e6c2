"""True peaks, and easing them.

Between the samples a signal can rise higher than at any of them; four times oversampling by the
interpolating filter of ITU-R BS.1770-4, annex 2, shows by how much.  That filter is short: of what lies
above nine tenths of half the sample rate it passes a half to nine tenths, so a stroke that is mostly noise
can stand higher than it tells, by 0.15 dB and more.  What is held under a ceiling is therefore also measured
by a longer one, eight times oversampled, which passes nearly all of it.  In the last twentieth below half
the sample rate no two interpolators agree.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

Samples = NDArray[np.float32]

# fmt: off
PHASES: Final = np.array([
    [0.0017089843750, 0.0109863281250, -0.0196533203125, 0.0332031250000, -0.0594482421875, 0.1373291015625,
     0.9721679687500, -0.1022949218750, 0.0476074218750, -0.0266113281250, 0.0148925781250, -0.0083007812500],
    [-0.0291748046875, 0.0292968750000, -0.0517578125000, 0.0891113281250, -0.1665039062500, 0.4650878906250,
     0.7797851562500, -0.2003173828125, 0.1015625000000, -0.0582275390625, 0.0330810546875, -0.0189208984375],
    [-0.0189208984375, 0.0330810546875, -0.0582275390625, 0.1015625000000, -0.2003173828125, 0.7797851562500,
     0.4650878906250, -0.1665039062500, 0.0891113281250, -0.0517578125000, 0.0292968750000, -0.0291748046875],
    [-0.0083007812500, 0.0148925781250, -0.0266113281250, 0.0476074218750, -0.1022949218750, 0.9721679687500,
     0.1373291015625, -0.0594482421875, 0.0332031250000, -0.0196533203125, 0.0109863281250, 0.0017089843750],
])
# fmt: on
"""The interpolating filter by phase (ITU-R BS.1770-4, annex 2, table of 48 coefficients; from memory)."""

REACH: Final = PHASES.shape[1] - 1
"""How many samples before a place the values there hang on."""

BLOCK: Final = 32
"""Samples whose peak is found together."""

LOOK: Final = 24
"""Blocks (16 ms at 48 kHz) before and after a peak over which the easing gain falls and rises."""

EASED_TO: Final = 0.99
"""Of the ceiling: how high a peak is that was eased."""

COARSE: Final = 32
"""Blocks that are passed over together where all of them are low."""

PIECE: Final = 1 << 17
"""Frames that are looked through at once."""


@dataclass(frozen=True, slots=True, eq=False)
class Interpolator:
    """A filter that tells the values between samples."""

    matrix: Samples
    """(BLOCK + reach, phases·BLOCK): a stretch of samples to the values between them."""
    reach: int
    """How many samples before a block its values hang on."""
    most: float
    """No value between samples is higher than this times the highest sample around it."""


def _interpolator(phases: NDArray[np.float64]) -> Interpolator:
    """Return the filter of a table of coefficients, a row a phase."""
    taps = phases.shape[1]
    matrix = np.zeros((BLOCK + taps - 1, BLOCK, len(phases)))
    for at in range(BLOCK):
        matrix[at : at + taps, at] = phases.T[::-1]
    most = float(np.abs(phases).sum(axis=1).max())
    return Interpolator(matrix.reshape(len(matrix), -1).astype(np.float32), taps - 1, most)


@cache
def recommended() -> Interpolator:
    """Return the Recommendation's filter."""
    return _interpolator(PHASES)


@cache
def sharper() -> Interpolator:
    """Return a longer one: eight phases of a sinc of 48 samples under a Kaiser window with beta 5.

    It passes 98 percent and more up to 0.94 of half the sample rate.
    """
    places = np.arange(48) - 23 - np.arange(8)[:, None] / 8
    window = np.i0(5.0 * np.sqrt(np.clip(1.0 - (places / 24) ** 2, 0.0, None))) / np.i0(5.0)
    return _interpolator(np.sinc(places) * window)


def _rows(channel: Samples, reach: int) -> Iterator[Samples]:
    """Give the channel as overlapping rows of BLOCK + reach samples, silence around it, some rows at a time."""
    blocks = -(-(len(channel) + reach) // BLOCK)
    padded = np.zeros(reach + min(PIECE, blocks * BLOCK), dtype=np.float32)
    for at in range(0, blocks * BLOCK, PIECE):
        count = min(PIECE, blocks * BLOCK - at)
        if at:
            padded[:reach] = padded[-reach:]
        here = channel[at : at + count]
        padded[reach : reach + len(here)] = here
        padded[reach + len(here) : reach + count] = 0.0
        yield sliding_window_view(padded[: reach + count], BLOCK + reach)[::BLOCK]


def _highest(rows: Samples) -> Samples:
    """Return each row's highest sample, whatever its sign."""
    peaks: Samples = np.maximum(rows.max(axis=1), -rows.min(axis=1))
    return peaks


def _high(rows: Samples, reach: int, floor: float) -> NDArray[np.intp]:
    """Return the places of those rows, and perhaps of some beside them, that hold a sample over a floor."""
    sound = rows[:, reach:]  # each sample once
    whole = len(rows) // COARSE * COARSE
    high = np.ones(len(rows), dtype=bool)
    coarse = np.repeat(_highest(sound[:whole].reshape(-1, COARSE * BLOCK)) >= floor, COARSE)
    high[:whole] = coarse
    places = np.flatnonzero(high)
    high[places] = np.abs(sound[places].T).max(axis=0, initial=0.0) >= floor
    near = high.copy()
    for by in range(1, -(-reach // BLOCK) + 1):
        near[by:] |= high[:-by]
        near[by - 1] = True  # what lies before the first row is in no block
    return np.flatnonzero(near)


def sample_peak(samples: Samples) -> float:
    """Return the highest sample of a (frames, channels) sound, whatever its sign."""
    return max(float(samples.max(initial=0.0)), -float(samples.min(initial=0.0)))


def true_peak(samples: Samples) -> float:
    """Return the highest value of a (frames, channels) sound, between the samples too."""
    return peaks_over(samples, math.inf)[0]


def peaks_over(samples: Samples, floor: float) -> tuple[float, float]:
    """Return the true peak, and what the sharper filter finds over a floor; where nothing is, something below it."""
    short, long = recommended(), sharper()
    true = highest = sample_peak(samples)
    for channel in samples.T:
        for rows in _rows(channel, long.reach):
            # Only stretches whose own samples are high enough can hold a higher value between them.
            near = rows[_high(rows, long.reach, min(true / short.most, max(highest, floor) / long.most))]
            tops = _highest(near)
            for by in (short, long):
                least = true if by is short else max(highest, floor)
                high = near[tops * by.most >= least]
                if len(high):
                    between = high[:, long.reach - by.reach :] @ by.matrix
                    found = max(float(between.max()), -float(between.min()))
                    true, highest = (max(true, found), highest) if by is short else (true, max(highest, found))
    return true, highest


def highest_possible(samples: Samples) -> float:
    """Return what no value between the samples of a (frames, channels) sound is higher than; cheap."""
    return sharper().most * sample_peak(samples)


def block_peaks(samples: Samples, floor: float = 0.0) -> Samples:
    """Return the peak of any channel, as the sharper filter tells it, for each stretch of BLOCK samples.

    Below a floor it is only said to be there.
    """
    by = sharper()
    found = np.zeros(-(-(len(samples) + by.reach) // BLOCK), dtype=np.float32)
    for channel in samples.T:
        at = 0
        for rows in _rows(channel, by.reach):
            peaks = _highest(rows)
            high = np.flatnonzero(peaks * by.most >= floor)
            if len(high):
                peaks[high] = np.maximum(peaks[high], _highest(rows[high] @ by.matrix))
            np.maximum(found[at : at + len(rows)], peaks, out=found[at : at + len(rows)])
            at += len(rows)
    return found


def eased(samples: Samples, peaks: Samples, gain: float, ceiling: float) -> Samples:
    """Return the sound times the gain, less where its peaks (one for each BLOCK) would pass the ceiling.

    The gain falls and rises along a raised cosine over LOOK blocks, so it is never heard as a step.
    """
    allowed = np.minimum(1.0, EASED_TO * ceiling / np.maximum(peaks * gain, 1e-9))
    held = sliding_window_view(np.pad(allowed, LOOK + 1, mode="edge"), 2 * LOOK + 3).min(axis=1)
    window = np.hanning(2 * LOOK + 3)[1:-1]
    smooth = sliding_window_view(np.pad(held, LOOK, mode="edge"), 2 * LOOK + 1) @ (window / window.sum())
    # Block j's stretch reaches some samples back; its gain stands at its end, the next block's at the next.
    at = (np.arange(len(smooth)) + 0.5) * BLOCK - sharper().reach / 2
    factor = np.interp(np.arange(len(samples)), at, smooth) * gain
    softened: Samples = samples * factor.astype(np.float32)[:, None]
    return softened
