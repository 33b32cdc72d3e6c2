"""What every way out has in common."""

import threading
from typing import Final, Protocol

STALLED_S: Final = 1.0
"""A device that has not asked for frames for so long is taken for gone."""

OPENING_LIMIT_S: Final = 4.0
CLOSING_LIMIT_S: Final = 1.5


class Sink(Protocol):
    """Something that draws frames from a Feed: a device, or a clock where there is none.

    One draws at a time: an opened sink is silent until it is told to begin.
    """

    @property
    def name(self) -> str:
        """What the player knows the device by."""

    @property
    def silent(self) -> bool:
        """Whether nothing can be heard from it."""

    @property
    def rate(self) -> int:
        """Frames a second that the device takes."""

    @property
    def latency_s(self) -> float:
        """From a frame's being drawn to its being heard, as the device tells it."""

    @property
    def underflows(self) -> int:
        """How often the device has said that it was not served in time."""

    def begin(self) -> None:
        """Draw from now on."""

    def alive(self) -> bool:
        """Say whether it still draws frames."""

    def close(self) -> None:
        """End it; it may be gone already.  May hang."""

    def leave_behind(self, closing: threading.Thread) -> None:
        """Take note that its closing hangs, in this thread."""


class NoSink(Exception):
    """Why a way out can't be taken, and what would mend it."""

    def __init__(self, reason: str, mend: str, lasting: bool = False) -> None:
        super().__init__(reason)
        self.reason = reason
        self.mend = mend
        self.lasting = lasting
        """Whether it stays so while the program runs (a missing library), whatever is plugged in."""
