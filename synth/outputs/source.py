"""What a feed copies from: a sound that is there as a whole, or one whose pieces are made ahead of it."""

from collections.abc import Iterator
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError

Samples = NDArray[np.float32]


class Source(Protocol):
    """A sound of (frames, 2) at one rate.  What is copied begins and ends in silence."""

    @property
    def rate(self) -> int:
        """Frames a second."""

    @property
    def frames(self) -> int:
        """How long it is."""

    def ready(self, begin: int, end: int) -> bool:
        """Say whether these frames can be copied at once; those outside of the sound always can.  Never waits."""

    def copy(self, begin: int, out: Samples) -> None:
        """Write the frames from one on; silence where there are none.  Called by the device: never waits."""

    def pieces(self) -> Iterator[Samples]:
        """Give the whole sound from its beginning, a piece at a time; for another thread than the device's."""


class Whole:
    """A sound that is there as a whole."""

    def __init__(self, samples: Samples, rate: int) -> None:
        """Raises SoundError for another shape than (frames, 2)."""
        self._samples = np.ascontiguousarray(samples, dtype=np.float32)
        if self._samples.ndim != 2 or self._samples.shape[1] != 2:
            raise SoundError(f"a sound of shape {samples.shape}; expected (frames, 2)")
        self.rate = rate
        self.frames = len(self._samples)

    def ready(self, begin: int, end: int) -> bool:
        """All of it always is."""
        return True

    def copy(self, begin: int, out: Samples) -> None:
        """Write the frames from one on."""
        copy_from(self._samples, begin, out)

    def pieces(self) -> Iterator[Samples]:
        """Give it as one piece."""
        yield self._samples


def copy_from(samples: Samples, begin: int, out: Samples) -> None:
    """Write samples from one on, silence before the first and after the last."""
    skip = min(max(-begin, 0), len(out))
    count = max(min(len(out), len(samples) - begin) - skip, 0)
    out[:skip] = 0.0
    out[skip : skip + count] = samples[begin + skip : begin + skip + count]
    out[skip + count :] = 0.0
