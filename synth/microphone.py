"""The way in: a port behind which stands a microphone, for looking at how loud it is.

It is opened only when the player asks for it.  Nothing is recorded: what comes in is gone after a third of a
second, and there is no way to have it but as a level.
"""

from typing import Protocol

from synth.errors import SoundError
from synth.inputs.capture import Capture, open_capture
from synth.inputs.dbfs import HeardLevel, heard_level
from synth.outputs.sink import NoSink

__all__ = ["HeardLevel", "Microphone", "open_microphone"]


class Microphone(Protocol):
    """An open microphone."""

    @property
    def name(self) -> str:
        """What the player knows it by."""

    @property
    def open(self) -> bool:
        """Whether it still listens; False once it was closed or went away."""

    def level(self) -> HeardLevel:
        """Return how loud the last third of a second was."""

    def close(self) -> None:
        """Let go of it, in limited time; closing again does nothing."""


def open_microphone() -> Microphone:
    """Open the system's own microphone; raises SoundError with the mend."""
    try:
        return _Microphone(open_capture())
    except NoSink as failure:
        raise SoundError(f"{failure.reason}; mend: {failure.mend}") from failure


class _Microphone:
    def __init__(self, capture: Capture) -> None:
        self._capture = capture
        self._closed = False
        self.name = capture.name

    @property
    def open(self) -> bool:
        return not self._closed and self._capture.alive()

    def level(self) -> HeardLevel:
        return heard_level(self._capture.lately())

    def close(self) -> None:
        if not self._closed:
            self._closed = True
            self._capture.close()
