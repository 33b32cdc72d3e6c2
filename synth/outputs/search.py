"""Looking for a device: the ways in their order, and why each that failed did."""

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass, field
from typing import Final

from synth.outputs.feed import Feed
from synth.outputs.mends import device_mend
from synth.outputs.miniaudio import open_miniaudio
from synth.outputs.portaudio import held, open_portaudio
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

    @property
    def idle(self) -> bool:
        """Whether there is no way to a device that may open one day."""
        return all(way in self.hopeless for way in self._names())

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

    def exactly(self, feed: Feed, others_stay: bool) -> Sink:
        """Return the wanted device and no other, or the first that opens where none is wanted; raises NoSink.

        others_stay: streams that are open go on meanwhile; devices that came since these were opened aren't seen.
        """
        with held() if others_stay else nullcontext():
            if self.wanted is not None:
                return open_portaudio(feed, self.wanted)
            found = self.find(feed)
        if found.sink is None:
            raise found.failure or NoSink("there is no sound device", device_mend())
        return found.sink

    def _names(self) -> list[str]:
        """The ways to a device, in the order in which they are tried."""
        names = []
        if "portaudio" in self.ways:
            names = [f"PortAudio's {self.wanted}"] if self.wanted is not None else []
            names.append("PortAudio's default device")
        return [*names, "miniaudio"] if "miniaudio" in self.ways else names

    def _openers(self, feed: Feed) -> list[tuple[str, Callable[[], Sink]]]:
        openers: dict[str, Callable[[], Sink]] = {
            f"PortAudio's {self.wanted}": lambda: open_portaudio(feed, self.wanted),
            "PortAudio's default device": lambda: open_portaudio(feed),
            "miniaudio": lambda: open_miniaudio(feed),
        }
        return [(name, openers[name]) for name in self._names()]
