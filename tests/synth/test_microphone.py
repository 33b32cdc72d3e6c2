"""The microphone: its level by closed forms, and that nothing of what it hears is kept."""

import math
import sys
import time
from queue import Empty, Queue
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.inputs import capture
from synth.inputs.capture import LATELY_S, RATE_HZ
from synth.inputs.dbfs import SILENCE, heard_level
from synth.microphone import Microphone, open_microphone
from synth.outputs import portaudio
from tests.doubles.microphone import MicrophoneTwin

Samples = NDArray[np.float32]


def sine(amplitude: float, hz: float = 1000.0, seconds: float = 1.0) -> Samples:
    """Whole periods of a sine."""
    return (amplitude * np.sin(2 * np.pi * hz * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)).astype(np.float32)


@pytest.mark.parametrize("hz", [100.0, 1000.0, 12_000.0])
def test_a_sine_of_full_scale_is_three_decibels_below(hz: float) -> None:
    """Its root mean square is 1/sqrt(2): 10·log10(1/2) = -3.01 dBFS (closed form)."""
    assert pytest.approx(-3.0103, abs=0.001) == heard_level(sine(1.0, hz)).rms_dbfs


@pytest.mark.parametrize("amplitude", [1.0, 0.5, 0.1, 0.001])
def test_level_goes_by_amplitude(amplitude: float) -> None:
    """A tenth of the amplitude is 20 dB less, for peak and root mean square alike (closed form)."""
    level = heard_level(sine(amplitude, 12_000.0))
    assert pytest.approx(20 * math.log10(amplitude), abs=0.001) == level.peak_dbfs
    assert pytest.approx(20 * math.log10(amplitude) - 3.0103, abs=0.001) == level.rms_dbfs


def test_a_square_wave_of_full_scale_is_full_scale() -> None:
    """Zero decibels both ways, as the convention has it."""
    level = heard_level(np.sign(sine(1.0) + 0.001).astype(np.float32))
    assert (0.0, 0.0) == (level.rms_dbfs, level.peak_dbfs)


@pytest.mark.parametrize(
    "samples", [np.zeros(480), np.zeros(0), np.full(480, np.nan)], ids=["silent", "none", "broken"]
)
def test_silence_has_no_level(samples: NDArray[np.float64]) -> None:
    """Nothing, no samples at all and a broken device's are silence, not an error."""
    assert SILENCE == heard_level(samples.astype(np.float32))


class Broken(RuntimeError):
    """What the library raises."""


class Stream:
    """A sounddevice.InputStream under the test's command."""

    device = 3

    def __init__(self, **asked: Any) -> None:
        self.asked = asked
        self.calls: list[str] = []
        self.waiting: Queue[Samples | None] = Queue()
        self.hangs = False

    def start(self) -> None:
        """Remember it."""
        self.calls.append("start")

    def abort(self) -> None:
        """Remember it."""
        self.calls.append("abort")

    def close(self) -> None:
        """Remember it."""
        self.calls.append("close")

    def read(self, frames: int) -> tuple[Samples, bool]:
        """What was handed in, else silence after a while; raises where it was told to break."""
        while self.hangs:
            time.sleep(0.005)
        try:
            came = self.waiting.get(timeout=0.01)
        except Empty:
            return np.zeros((0, 1), dtype=np.float32), False
        if came is None:
            raise Broken("Unanticipated host error")
        return came[:, None], False

    def hears(self, samples: Samples, block: int = 480) -> None:
        """Hand samples in, block by block, and wait until all was taken."""
        for at in range(0, len(samples), block):
            self.waiting.put(samples[at : at + block])
        while not self.waiting.empty():
            time.sleep(0.001)
        time.sleep(0.02)


@pytest.fixture
def streams(monkeypatch: pytest.MonkeyPatch) -> list[Stream]:
    """The streams that were opened through a sounddevice of the test's own."""
    opened: list[Stream] = []

    def stream(**asked: Any) -> Stream:
        opened.append(Stream(**asked))
        return opened[-1]

    fake = SimpleNamespace(
        InputStream=stream, query_devices=lambda device: {"name": f"ear {device}"}, PortAudioError=Broken,
        _exit_handler=lambda: None,
    )  # fmt: skip
    monkeypatch.setitem(sys.modules, "sounddevice", fake)
    monkeypatch.setattr(portaudio, "_end_at_exit", True)
    return opened


def test_the_level_is_that_of_the_last_third_of_a_second(streams: list[Stream]) -> None:
    """What came before has left no trace, in whatever blocks it comes."""
    microphone = open_microphone()
    assert "ear 3" == microphone.name
    assert SILENCE == microphone.level()
    streams[0].hears(sine(1.0, seconds=1.0))
    assert pytest.approx(-3.01, abs=0.01) == microphone.level().rms_dbfs
    streams[0].hears(sine(0.1, seconds=LATELY_S), block=700)
    assert pytest.approx(-23.01, abs=0.01) == microphone.level().rms_dbfs
    streams[0].hears(sine(0.5, seconds=1.0), block=RATE_HZ)
    assert pytest.approx(-9.03, abs=0.01) == microphone.level().rms_dbfs
    microphone.close()


def test_closing_lets_go_and_wipes_what_was_heard(streams: list[Stream]) -> None:
    """The stream is ended once, what lay in the ring is gone, and the library may be begun anew."""
    microphone = open_microphone()
    streams[0].hears(sine(1.0))
    assert (True, 1) == (microphone.open, portaudio._held)
    microphone.close()
    microphone.close()
    assert (False, 0) == (microphone.open, portaudio._held)
    assert SILENCE == microphone.level()
    assert ["start", "abort", "close"] == streams[0].calls


def test_it_is_one_input_stream_and_asks_for_little(streams: list[Stream]) -> None:
    """One channel at 48 kHz."""
    open_microphone().close()
    assert (1, 48_000) == (streams[0].asked["channels"], streams[0].asked["samplerate"])


def test_one_that_went_away_is_known(streams: list[Stream], monkeypatch: pytest.MonkeyPatch) -> None:
    """By the library's word, and without it by its silence; a hanging one holds nothing up but its own kind."""
    first = open_microphone()
    streams[0].waiting.put(None)
    until_closed(first)
    first.close()
    assert "close" in streams[0].calls
    monkeypatch.setattr(capture, "STALLED_S", 0.05)
    monkeypatch.setattr(capture, "CLOSING_LIMIT_S", 0.05)
    second = open_microphone()
    streams[1].hangs = True
    until_closed(second)
    second.close()
    with pytest.raises(SoundError, match="hangs"):
        open_microphone()
    streams[1].hangs = False
    time.sleep(0.1)
    assert 0 == portaudio._held
    open_microphone().close()


def until_closed(microphone: Microphone) -> None:
    """Wait until it says that it is gone."""
    deadline = time.monotonic() + 5.0
    while microphone.open:
        assert time.monotonic() < deadline
        time.sleep(0.005)


def test_one_that_cannot_be_opened_is_told(streams: list[Stream], monkeypatch: pytest.MonkeyPatch) -> None:
    """The library's words with the mend; nothing stays held."""

    def refuses(**asked: Any) -> Stream:
        raise Broken("Error querying device -1")

    monkeypatch.setattr(sys.modules["sounddevice"], "InputStream", refuses)
    with pytest.raises(SoundError, match=r"no microphone \(no such device\); mend: "):
        open_microphone()
    assert 0 == portaudio._held


def test_without_the_library_the_mend_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """No PortAudio: what to install."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(SoundError, match=r"PortAudio can't be loaded.*mend: "):
        open_microphone()
    assert 0 == portaudio._held


def test_the_twin_is_a_microphone() -> None:
    """It hears what it is given, and is closed as the port says."""
    twin = MicrophoneTwin(heard=sine(1.0))
    port: Microphone = twin
    assert pytest.approx(-3.01, abs=0.01) == port.level().rms_dbfs
    assert port.open
    port.close()
    assert (False, 1) == (twin.open, twin.closed)
