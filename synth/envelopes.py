"""How a note begins and ends: raised-cosine ramps, so that no edge clicks."""

from functools import cache

import numpy as np
from numpy.typing import NDArray


@cache
def attack(frames: int) -> NDArray[np.float32]:
    """Return a ramp from silence to 1 in so many frames, level at both ends."""
    ramp = (0.5 - 0.5 * np.cos(np.pi * (np.arange(frames) + 0.5) / max(frames, 1))).astype(np.float32)
    ramp.flags.writeable = False
    return ramp


@cache
def release(frames: int) -> NDArray[np.float32]:
    """Return the ramp from 1 to silence."""
    ramp = attack(frames)[::-1].copy()
    ramp.flags.writeable = False
    return ramp
