"""An Output in memory: plays in no time, remembers everything."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.output import Loop
from synth.outputs.source import Source


@dataclass(frozen=True, slots=True, eq=False)
class Played:
    """One sound that was played."""

    samples: NDArray[np.float32]
    rate: int
    from_s: float
    loop: Loop | bool
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

    dropouts: int = 0
    latency_s: float = 0.0
    paused: bool = False
    asked: list[tuple[str, object]] = field(default_factory=list)
    """What was asked for while something sounded, in order."""
    devices: tuple[str, ...] = ("twin", "other twin")
    """Those that can be opened, the system's own first."""

    def play(
        self,
        sound: NDArray[np.float32] | Source,
        rate: int = 48_000,
        from_s: float = 0.0,
        loop: Loop | bool = False,
    ) -> None:
        """Remember a sound."""
        samples = sound if isinstance(sound, np.ndarray) else np.concatenate(list(sound.pieces()))
        assert samples.ndim == 2
        assert samples.shape[1] == 2
        assert not self.closed, "played after close"
        self.stop()
        rate = rate if isinstance(sound, np.ndarray) else sound.rate
        self.played.append(Played(samples, rate, from_s, loop, self.volume))
        self.playhead_s = from_s

    @property
    def place_s(self) -> float | None:
        """Where the listener is: nothing is delayed here."""
        return self.playhead_s

    def lately(self) -> tuple[NDArray[np.float32], int]:
        """The first three seconds of what was played last, at its volume."""
        last = self.played[-1]
        return last.samples[: 3 * last.rate] * np.float32(last.volume), last.rate

    def go_over(self, source: Source, place: Callable[[float], float], loop: Loop | None = None) -> None:
        """Remember a sound that this one is led into."""
        if self.playhead_s is not None:
            samples = np.concatenate(list(source.pieces()))
            self.playhead_s = place(self.playhead_s)
            self.played.append(Played(samples, source.rate, self.playhead_s, loop or False, self.volume))

    def seek(self, to_s: float) -> None:
        """Go to another place."""
        if self.playhead_s is not None:
            self.playhead_s = to_s
            self.asked.append(("seek", to_s))

    def go_round(self, loop: Loop | None) -> None:
        """Remember the stretch."""
        self.asked.append(("loop", loop))

    def pause(self) -> None:
        """Stand still."""
        self.paused = self.playhead_s is not None

    def resume(self) -> None:
        """Go on."""
        self.paused = False

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

    def move(self, device: str | None) -> None:
        """Go through another device of those there are."""
        wanted = self.devices[0] if device is None else device
        if wanted not in self.devices:
            raise SoundError(f"PortAudio: No output device matching {wanted!r}; mend: plug it in")
        self.name = wanted

    def close(self) -> None:
        """End for good."""
        self.stop()
        self.closed = True
