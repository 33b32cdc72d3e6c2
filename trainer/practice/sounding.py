"""From a performance to the loudspeaker: rendered, leveled, handed to the way out."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from synth.output import Output
    from synth.player import Player
    from trainer.voicing.sheet import Performance

RATE_HZ = 48_000


class Sounding(Protocol):
    """What a session plays through."""

    def prepare(self, performance: Performance) -> None:
        """Make what will be played next."""

    def play(self, performance: Performance) -> None:
        """Begin to play and return at once."""

    def play_tune(self, performance: Performance, room: float = 0.0) -> None:
        """Begin to play something of any length: it is made while it sounds, with so much of a room around it."""

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait for the end of the sound; False if the time was up first."""

    def stop(self) -> None:
        """Ramp out whatever sounds."""

    def close(self) -> None:
        """Let go of the device."""

    @property
    def remark(self) -> str | None:
        """What the player should know about the sound, in one line."""


class Loudspeaker:
    """The way out, opened with the first sound."""

    def __init__(self, opened: Callable[[], Output], a4_hz: float = 440.0, volume_db: float = 0.0) -> None:
        self._open = opened
        self._output: Output | None = None
        self._a4_hz = a4_hz
        self._volume_db = volume_db
        self._prepared: tuple[Performance, NDArray[np.float32]] | None = None
        self._player: Player | None = None

    def prepare(self, performance: Performance) -> None:
        """Render and level to -20 LUFS, for `play` to begin at once."""
        self._prepared = performance, self._made(performance)

    def _made(self, performance: Performance) -> NDArray[np.float32]:
        from synth.level import leveled
        from synth.render import render

        return leveled(render(performance.score, RATE_HZ, self._a4_hz), RATE_HZ)

    def play(self, performance: Performance) -> None:
        """Render, level to -20 LUFS, unless it is prepared, and begin to play."""
        if self._prepared is not None and self._prepared[0] is performance:
            samples, self._prepared = self._prepared[1], None
        else:  # what is heard meanwhile leaves the prepared sound for later
            samples = self._made(performance)
        self._let_go_of_tune()
        self._opened().play(samples, RATE_HZ)

    def play_tune(self, performance: Performance, room: float = 0.0) -> None:
        """Begin to play a tune, which is made while it sounds; what sounds now is ramped out."""
        from synth.player import Player

        self._let_go_of_tune()
        self._player = Player(self._opened(), self._a4_hz, room)
        self._player.play(performance.score)

    def _opened(self) -> Output:
        if self._output is None:
            self._output = self._open()
            self._output.volume = 10.0 ** (self._volume_db / 20.0)
        return self._output

    def _let_go_of_tune(self) -> None:
        player, self._player = self._player, None
        if player is not None:
            player.close()

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait for the end of the sound; False if the time was up first."""
        return True if self._output is None else self._output.wait(timeout_s)

    def stop(self) -> None:
        """Ramp out whatever sounds."""
        if self._output is not None:
            self._output.stop()

    def close(self) -> None:
        """Let go of the device."""
        self._let_go_of_tune()
        if self._output is not None:
            self._output.close()
            self._output = None

    def move(self, device: str) -> None:
        """Play through another device from now on, the system's own for no name. Takes its time.

        Raises SoundError where it can't be opened; what was played through before stays.
        """
        self._opened().move(device or None)

    def lately(self) -> tuple[NDArray[np.float32], int] | None:
        """What was sent out in the last three seconds, with its rate; None before the first sound."""
        return None if self._output is None else self._output.lately()

    @property
    def device(self) -> str | None:
        """What the player knows the device by that is played through; None before the first sound."""
        return None if self._output is None else self._output.name

    @property
    def a4_hz(self) -> float:
        """The tuning note of what is played from now on."""
        return self._a4_hz

    @a4_hz.setter
    def a4_hz(self, wanted: float) -> None:
        if wanted != self._a4_hz:
            self._a4_hz, self._prepared = wanted, None

    @property
    def playhead_s(self) -> float | None:
        """Where in the sound the listener is; None when nothing sounds."""
        return None if self._output is None else self._output.playhead_s

    @property
    def volume_db(self) -> float:
        """How far the sound is turned down."""
        return self._volume_db

    @volume_db.setter
    def volume_db(self, wanted: float) -> None:
        self._volume_db = wanted
        if self._output is not None:
            self._output.volume = 10.0 ** (wanted / 20.0)

    @property
    def remark(self) -> str | None:
        """What the player should know about the sound, in one line."""
        return None if self._output is None else self._output.remark
