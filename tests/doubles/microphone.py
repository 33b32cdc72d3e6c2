"""A Microphone in memory: hears what it is given."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from synth.inputs.dbfs import HeardLevel, heard_level


@dataclass(slots=True, eq=False)
class MicrophoneTwin:
    """What synth.microphone.Microphone promises, without a device."""

    name: str = "twin's ear"
    heard: NDArray[np.float32] = field(default_factory=lambda: np.zeros(480, dtype=np.float32))
    """What comes in, over and over."""
    open: bool = True
    """Set to False it went away."""
    closed: int = 0
    """How often it was closed."""

    def level(self) -> HeardLevel:
        """How loud that is."""
        return heard_level(self.heard)

    def close(self) -> None:
        """Hear no more."""
        self.open = False
        self.closed += 1
