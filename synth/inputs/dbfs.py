"""How loud samples are, in decibels of full scale.

Full scale is the square wave between -1 and 1, so a sine that just reaches full scale has a root mean square of
-3.01 dBFS (10·log10(1/2)), and its peak is 0 dBFS.  AES17-2020 counts the sine itself as 0 dBFS: add 3.01 dB to
have its figures (from memory).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class HeardLevel:
    """How loud a stretch of sound is."""

    rms_dbfs: float
    """Root mean square; -inf for silence."""
    peak_dbfs: float
    """The highest sample; -inf for silence."""


SILENCE = HeardLevel(-math.inf, -math.inf)


def heard_level(samples: Samples) -> HeardLevel:
    """Return the level of samples of any shape; none at all, or what is no number, is silence."""
    if not samples.size:
        return SILENCE
    exact = samples.astype(np.float64).ravel()
    power, peak = float(np.dot(exact, exact)) / exact.size, float(np.abs(exact).max())
    if not (math.isfinite(power) and power > 0.0):
        return SILENCE
    return HeardLevel(10.0 * math.log10(power), 20.0 * math.log10(peak))
