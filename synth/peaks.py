"""True peaks, and easing them.

Between the samples a signal can rise higher than at any of them; four times oversampling by the
interpolating filter of ITU-R BS.1770-4, annex 2, shows by how much.
"""

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

BLOCK: Final = 32
"""Samples whose peak is found together."""

LOOK: Final = 24
"""Blocks (16 ms at 48 kHz) before and after a peak over which the easing gain falls and rises."""

REACH: Final = PHASES.shape[1] - 1


def _interpolating_matrix() -> Samples:
    """Return the filter as (BLOCK + REACH, 4·BLOCK): a stretch of samples to its values between."""
    matrix = np.zeros((BLOCK + REACH, BLOCK, len(PHASES)))
    for at in range(BLOCK):
        matrix[at : at + REACH + 1, at] = PHASES.T[::-1]
    return matrix.reshape(BLOCK + REACH, -1).astype(np.float32)


_MATRIX: Final = _interpolating_matrix()
_MOST: Final = float(np.abs(PHASES).sum(axis=1).max())
"""No value between samples is higher than this times the highest sample around it."""


def _stretches(channel: Samples) -> Samples:
    """Return the channel as overlapping rows of BLOCK + REACH samples, silence around it."""
    blocks = -(-(len(channel) + REACH) // BLOCK)
    padded = np.zeros(REACH + blocks * BLOCK, dtype=np.float32)
    padded[REACH : REACH + len(channel)] = channel
    rows: Samples = sliding_window_view(padded, BLOCK + REACH)[::BLOCK]
    return rows


def _highest(rows: Samples) -> Samples:
    """Return each row's highest sample, whatever its sign."""
    peaks: Samples = np.maximum(rows.max(axis=1), -rows.min(axis=1))
    return peaks


def true_peak(samples: Samples) -> float:
    """Return the highest value of a (frames, channels) sound, between the samples too."""
    most = float(np.abs(samples).max(initial=0.0))
    for channel in samples.T:
        rows = _stretches(channel)
        # Only stretches whose own samples are high enough can hold a higher value between them.
        near = rows[_highest(rows) * _MOST >= most]
        if len(near):
            between = near @ _MATRIX
            most = max(most, float(between.max()), -float(between.min()))
    return most


def highest_possible(samples: Samples) -> float:
    """Return what no value between the samples of a (frames, channels) sound is higher than; cheap."""
    return _MOST * max(float(samples.max(initial=0.0)), -float(samples.min(initial=0.0)))


def block_peaks(samples: Samples) -> Samples:
    """Return the true peak of any channel for each stretch of BLOCK samples."""
    found = np.zeros(-(-(len(samples) + REACH) // BLOCK), dtype=np.float32)
    for channel in samples.T:
        rows = _stretches(channel)
        found = np.maximum(found, np.maximum(_highest(rows), _highest(rows @ _MATRIX)))
    return found


def eased(samples: Samples, peaks: Samples, gain: float, ceiling: float) -> Samples:
    """Return the sound times the gain, less where its peaks (one for each BLOCK) would pass the ceiling.

    The gain falls and rises along a raised cosine over LOOK blocks, so it is never heard as a step.
    """
    allowed = np.minimum(1.0, ceiling * 0.995 / np.maximum(peaks * gain, 1e-9))
    held = sliding_window_view(np.pad(allowed, LOOK + 1, mode="edge"), 2 * LOOK + 3).min(axis=1)
    window = np.hanning(2 * LOOK + 3)[1:-1]
    smooth = sliding_window_view(np.pad(held, LOOK, mode="edge"), 2 * LOOK + 1) @ (window / window.sum())
    # Block j's stretch reaches REACH samples back; its gain stands at its end, the next block's at the next.
    at = (np.arange(len(smooth)) + 0.5) * BLOCK - REACH / 2
    factor = np.interp(np.arange(len(samples)), at, smooth) * gain
    softened: Samples = samples * factor.astype(np.float32)[:, None]
    return softened
