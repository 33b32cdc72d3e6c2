"""Memory that is used again and again, for fresh pages cost more than the work done on them."""

import math
import threading

import numpy as np
from numpy.typing import NDArray


class Scratch(threading.local):
    """Each thread's own memory, by what it is used for; what it held before is gone with the next call."""

    def __init__(self) -> None:
        self._held: dict[str, NDArray[np.float32]] = {}

    def floats(self, use: str, *shape: int) -> NDArray[np.float32]:
        """Return an array of this shape, with anything in it."""
        size = math.prod(shape)
        held = self._held.get(use)
        if held is None or len(held) < size:
            held = self._held[use] = np.empty(1 << max(size - 1, 0).bit_length(), dtype=np.float32)
        return held[:size].reshape(shape)
