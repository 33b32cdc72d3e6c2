"""An Output in memory: plays in no time, remembers everything."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Played:
    """One sound that was played."""

    samples: NDArray[np.float32]
    rate: int
    from_s: float
    loop: bool
    volume: float


@dataclass(slots=True, eq=False)
class SoundTwin:
    """What synth.output.Output promises, without a device; a sound lasts until `wait` or `stop`."""

    name: str = "twin"
    remark: str | None = None
    silent: bool = False
    volume: float = 1.0
    played: list[Played] = field(default_factory=list)
    stopped: int = 0
    """How often a sound was stopped or replaced before it was waited for."""
    closed: bool = False
    hangs: bool = False
    """Let every wait run out of time."""
    playhead_s: float | None = None

    def play(self, samples: NDArray[np.float32], rate: int = 48_000, from_s: float = 0.0, loop: bool = False) -> None:
        """Remember a sound."""
        assert samples.ndim == 2
        assert samples.shape[1] == 2
        assert not self.closed, "played after close"
        self.stop()
        self.played.append(Played(samples, rate, from_s, loop, self.volume))
        self.playhead_s = from_s

    def wait(self, timeout_s: float | None = None) -> bool:
        """End the sound at once, unless it is a loop or the twin hangs."""
        if self.playhead_s is not None and (self.hangs or self.played[-1].loop):
            assert timeout_s is not None, "would wait for ever"
            return False
        self.playhead_s = None
        return True

    def stop(self) -> None:
        """End the sound."""
        if self.playhead_s is not None:
            self.stopped += 1
        self.playhead_s = None

    def close(self) -> None:
        """End for good."""
        self.stop()
        self.closed = True
