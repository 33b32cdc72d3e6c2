"""Going to another device: in mid-sound, refused, and what is known of the devices there are."""

import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from synth.devices import devices_out, try_device
from synth.errors import SoundError
from synth.output import open_output
from synth.outputs import portaudio, search
from synth.outputs.feed import Feed
from synth.outputs.sink import NoSink
from tests.doubles.sound import SoundTwin

RATE = 48_000
TONE = np.full((2 * RATE, 2), 0.1, dtype=np.float32)


class Drawing:
    """A device that draws from the feed when the test lets it."""

    silent, underflows, latency_s, rate = False, 0, 0.0, RATE

    def __init__(self, feed: Feed, name: str) -> None:
        self.feed, self.name = feed, name
        self.began = self.closed = False

    def begin(self) -> None:
        """Draw from now on."""
        self.began = True

    def alive(self) -> bool:
        """It never goes by itself."""
        return not self.closed

    def drawn(self, frames: int = 480) -> np.ndarray:
        """The next frames."""
        assert self.began
        assert not self.closed
        out = np.empty((frames, 2), dtype=np.float32)
        self.feed.fill(out, 0.0)
        return out

    def draws_on(self) -> None:
        """Draw as a device does, until it is closed."""
        while not self.closed:
            self.feed.fill(np.empty((480, 2), dtype=np.float32), 0.0)
            time.sleep(0.003)

    def close(self) -> None:
        """End it."""
        self.closed = True

    def leave_behind(self, closing: threading.Thread) -> None:
        """Nothing hangs here."""


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[Drawing]:
    """The devices that were opened, in order; one called `broken` can't be."""
    found: list[Drawing] = []

    def opener(feed: Feed, device: str | None = None) -> Drawing:
        if device == "broken":
            raise NoSink("PortAudio: no such device", "plug it in")
        found.append(Drawing(feed, device or "the default"))
        return found[-1]

    monkeypatch.setattr(search, "open_portaudio", opener)
    return found


def test_the_sound_goes_on_through_the_other_device(opened: list[Drawing], tmp_path: Path) -> None:
    """In mid-sound the new device goes on where the old one stopped, which is closed."""
    out = open_output(None, tmp_path)
    try:
        out.play(TONE)
        opened[0].drawn(RATE // 2)
        clock = threading.Thread(target=opened[0].draws_on)
        clock.start()
        out.move("a card")
        clock.join()
        assert ("a card", None, False) == (out.name, out.remark, out.silent)
        assert [True, False] == [device.closed for device in opened]
        place = out.place_s
        assert place is not None
        assert 0.5 <= place < 1.0
        heard = opened[1].drawn(4800)
        assert abs(float(heard[0, 0])) < 0.001
        assert pytest.approx(0.1, abs=1e-6) == heard[-1, 0]
        assert not out.paused
        out.move(None)
        assert "the default" == out.name
    finally:
        out.close()


def test_a_paused_sound_stays_paused(opened: list[Drawing], tmp_path: Path) -> None:
    """What was paused before is paused after."""
    out = open_output(None, tmp_path)
    try:
        out.play(TONE)
        opened[0].drawn()
        out.pause()
        out.move("a card")
        assert out.paused
    finally:
        out.close()


def test_what_cannot_be_opened_changes_nothing(opened: list[Drawing], tmp_path: Path) -> None:
    """The reason and the mend are told, the sound goes on where it was, and the old device is still the one wanted."""
    out = open_output(None, tmp_path)
    try:
        out.play(TONE)
        opened[0].drawn()
        with pytest.raises(SoundError, match=r"no such device; mend: plug it in"):
            out.move("broken")
        assert "the default" == out.name
        assert not opened[0].closed
        opened[0].drawn()
        assert not out.paused
        assert out.remark is None
    finally:
        out.close()


def test_open_streams_stay_while_another_is_opened(opened: list[Drawing], monkeypatch: pytest.MonkeyPatch) -> None:
    """The library isn't begun anew under a stream that sounds; after a silence it is, so that new devices are seen."""
    held_then: list[int] = []

    def opener(feed: Feed, device: str | None = None) -> Drawing:
        held_then.append(portaudio._held)
        return Drawing(feed, "a card")

    monkeypatch.setattr(search, "open_portaudio", opener)
    wanted = search.Search(search.WAYS, "a card")
    wanted.exactly(Feed(RATE), others_stay=True)
    wanted.exactly(Feed(RATE), others_stay=False)
    assert [1, 0] == held_then
    assert 0 == portaudio._held


def test_a_closed_way_out_goes_nowhere(opened: list[Drawing], tmp_path: Path) -> None:
    """After closing, moving is refused."""
    out = open_output(None, tmp_path)
    out.close()
    with pytest.raises(SoundError, match="closed"):
        out.move("a card")


def library_with(monkeypatch: pytest.MonkeyPatch, *devices: tuple[str, int, int]) -> list[str]:
    """A sounddevice with devices (name, host system, channels out); what was done to it, as it comes."""
    done: list[str] = []
    fake = SimpleNamespace(
        query_devices=lambda: [
            {"name": name, "hostapi": system, "max_output_channels": channels} for name, system, channels in devices
        ],
        query_hostapis=lambda: ({"name": "Sunrise"}, {"name": "Sunset"}),
        _terminate=lambda: done.append("ended"),
        _initialize=lambda: done.append("begun"),
        _exit_handler=lambda: None,
        PortAudioError=RuntimeError,
    )
    monkeypatch.setitem(sys.modules, "sounddevice", fake)
    monkeypatch.setattr(portaudio, "_end_at_exit", True)
    monkeypatch.setattr(portaudio, "_begun", True)
    return done


def test_devices_are_listed_by_names_that_mean_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each once, without those that have no two channels; one that two systems have stands with each system's name."""
    library_with(monkeypatch, ("Card", 0, 2), ("Card", 1, 2), ("Ear", 0, 0), ("Mono", 0, 1), ("Hall", 1, 8))
    assert ("Card, Sunrise", "Card, Sunset", "Hall") == devices_out()


def test_looking_anew_begins_the_library_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only when it is asked for, and not while a stream is held open."""
    done = library_with(monkeypatch, ("Card", 0, 2))
    devices_out()
    assert [] == done
    with portaudio.held():
        devices_out(anew=True)
    assert [] == done
    devices_out(anew=True)
    assert ["ended", "begun"] == done


def test_without_the_library_looking_says_the_mend(monkeypatch: pytest.MonkeyPatch) -> None:
    """No PortAudio: an error with what to do."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(SoundError, match="mend: "):
        devices_out()


def test_trying_a_device_closes_it_again(opened: list[Drawing]) -> None:
    """It is opened for a moment and named; one that can't be opened is told."""
    assert "a card" == try_device("a card")
    assert opened[0].closed
    assert "the default" == try_device("")
    with pytest.raises(SoundError, match="plug it in"):
        try_device("broken")


def test_looking_that_hangs_has_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """A library that never answers is told in limited time."""
    never = threading.Event()
    monkeypatch.setattr("synth.devices.LIMIT_S", 0.05)
    monkeypatch.setattr("synth.devices.output_names", lambda anew: never.wait(20) or [])
    began = time.monotonic()
    with pytest.raises(SoundError, match="hangs"):
        devices_out()
    assert time.monotonic() - began < 2.0
    never.set()


def test_the_twin_moves_as_the_port_does() -> None:
    """It goes to a device it has, and refuses others."""
    twin = SoundTwin()
    twin.move("other twin")
    assert "other twin" == twin.name
    with pytest.raises(SoundError, match="nowhere"):
        twin.move("nowhere")
    assert "other twin" == twin.name
