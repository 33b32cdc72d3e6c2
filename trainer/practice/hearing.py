"""A microphone that is open only as long as the player wants it, whatever happens meanwhile."""

from collections.abc import Callable
from threading import Lock
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # devices and arrays come with it
    from synth.microphone import HeardLevel, Microphone


class Hearing:
    """Opens and closes the microphone; may be told to from several threads."""

    def __init__(self, opened: "Callable[[], Microphone]") -> None:
        self._open = opened
        self._wanted = False
        self._microphone: Microphone | None = None
        self._changing = Lock()

    def want(self) -> None:
        """Say that `begin` is coming, so that `end` can take it back."""
        self._wanted = True

    def begin(self) -> None:
        """Open it, if it is wanted still before and after. Takes its time. Raises SoundError."""
        if not self._wanted:
            return
        microphone = self._open()
        with self._changing:
            if self.wanted and self._microphone is None:
                self._microphone = microphone
                return
        microphone.close()

    def let_go(self) -> "Microphone | None":
        """Want it no more; returns the open one, for the caller to close."""
        with self._changing:
            self._wanted = False
            microphone, self._microphone = self._microphone, None
        return microphone

    def end(self) -> None:
        """Close it, also where it is only being opened. Takes its time."""
        microphone = self.let_go()
        if microphone is not None:
            microphone.close()

    @property
    def name(self) -> str:
        """What the open one is called; empty where none is."""
        microphone = self._microphone
        return "" if microphone is None else microphone.name

    @property
    def wanted(self) -> bool:
        """Whether it is open or being opened."""
        return self._wanted

    @property
    def gone(self) -> bool:
        """Whether it went away by itself."""
        microphone = self._microphone
        return microphone is not None and not microphone.open

    def level(self) -> "HeardLevel | None":
        """How loud the last third of a second was; None where none is open."""
        microphone = self._microphone
        return None if microphone is None else microphone.level()
