"""Looking for a device: the ways in their order, and why each that failed did."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from synth.outputs.feed import Feed
from synth.outputs.miniaudio import open_miniaudio
from synth.outputs.portaudio import open_portaudio
from synth.outputs.sink import NoSink, Sink

WAYS: Final = ("portaudio", "miniaudio", "silent")
"""In the order in which they are tried."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a search came to."""

    sink: Sink | None
    way: str
    """How the sink was reached, in words; empty where there is none."""
    failure: NoSink | None
    """Why the first choice failed, if it did."""


@dataclass(slots=True)
class Search:
    """Knows what to look for, and what it need not try again."""

    ways: tuple[str, ...] = WAYS
    wanted: str | None = None
    """A device by PortAudio's name for it; None for the default."""
    hopeless: dict[str, NoSink] = field(default_factory=dict)
    """Ways that no new device can open, and why."""

    def find(self, feed: Feed) -> Found:
        """Return the first device that opens; it draws from the feed."""
        failures: list[NoSink] = []
        for way, opener in self._openers(feed):
            failure = self.hopeless.get(way)
            if failure is None:
                try:
                    return Found(opener(), way, failures[0] if failures else None)
                except NoSink as met:
                    failure = met
                if failure.lasting:
                    self.hopeless[way] = failure
            failures.append(failure)
        return Found(None, "", failures[0] if failures else None)

    def _openers(self, feed: Feed) -> list[tuple[str, Callable[[], Sink]]]:
        wanted, openers = self.wanted, list[tuple[str, Callable[[], Sink]]]()
        if "portaudio" in self.ways:
            if wanted is not None:
                openers.append((f"PortAudio's {wanted}", lambda: open_portaudio(feed, wanted)))
            openers.append(("PortAudio's default device", lambda: open_portaudio(feed)))
        if "miniaudio" in self.ways:
            openers.append(("miniaudio", lambda: open_miniaudio(feed)))
        return openers
