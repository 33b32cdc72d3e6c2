"""What the cases on a real device share: a sound server that is told to come and go, and a recorder beside it.

The loudspeaker is PulseAudio's, recorded by `parec`, so nothing of ours listens to ourselves.
"""

import os
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from synth.level import leveled
from synth.output import Output, open_output
from synth.render import render
from synth.score import Note
from tests.synth.scores import RATE, cents, score, strongest_hz

Samples = NDArray[np.float32]

CHORD = (45, 55, 60, 64)


def question() -> Samples:
    """A bass and a chord, leveled."""
    notes = (Note(0.0, 0.8, key, 80, "keys") for key in CHORD)
    return leveled(render(score(*notes, duration_s=0.8)), RATE)


def server(word: str) -> None:
    """Tell the sound server to start, stop, pause or resume."""
    subprocess.run([os.environ["VSOUND_SERVER"], word], check=True, timeout=20)


@pytest.fixture(autouse=True)
def server_runs() -> Iterator[None]:
    """Each case begins with a server that runs, and leaves one."""
    yield
    subprocess.run([os.environ["VSOUND_SERVER"], "resume"], check=False, timeout=20)
    server("start")


@pytest.fixture
def out(tmp_path: Path) -> Iterator[Output]:
    """The first way out that works, closed in the end."""
    opened = open_output(None, tmp_path)
    yield opened
    opened.close()


class Recording:
    """What the loudspeaker has played."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    def samples(self) -> Samples:
        """All that was recorded, once the recorder has ended."""
        return np.fromfile(self.path, dtype="<f4").reshape(-1, 2)

    @property
    def sounding(self) -> Samples:
        """From the first sample that isn't silence to the last."""
        heard = np.flatnonzero(np.abs(self.samples).max(axis=1) > 1e-7)
        assert len(heard), "the loudspeaker stayed silent"
        return self.samples[heard[0] : heard[-1] + 1]


@contextmanager
def recorded(folder: Path) -> Iterator[Recording]:
    """Record the loudspeaker for as long as the block lasts."""
    recording = Recording(folder / "recorded.raw")
    command = ["parec", "-d", os.environ["VSOUND_PULSE_MONITOR"], "--raw", "--format=float32le"]
    command += [f"--rate={RATE}", "--channels=2", "--latency-msec=20"]
    with recording.path.open("wb") as file, subprocess.Popen(command, stdout=file) as recorder:
        try:
            deadline = time.monotonic() + 10
            while not recording.path.stat().st_size:
                assert time.monotonic() < deadline, "the recorder doesn't start"
                time.sleep(0.01)
            yield recording
            time.sleep(0.3)
        finally:
            recorder.kill()  # also when the case has failed, or it would be waited for without end


def holds_the_chord(sound: Samples) -> None:
    """The four fundamentals are in the sound, each within two cents."""
    for key in CHORD:
        wanted_hz = 440.0 * 2 ** ((key - 69) / 12)
        assert pytest.approx(0.0, abs=2.0) == cents(strongest_hz(sound.sum(axis=1), wanted_hz), wanted_hz)


def holds(expected: Samples, heard: Samples) -> int:
    """Where in what was heard a sound lies, every frame of it within 1e-6."""
    at = nearest(expected, heard)
    found = heard[at : at + len(expected)]
    assert len(expected) == len(found)
    assert np.abs(expected - found).max() < 1e-6
    return at


def nearest(part: Samples, sound: Samples) -> int:
    """Where a part differs least from a sound, by the sum of squares."""
    size = 1 << (len(sound) + len(part) - 1).bit_length()
    spectrum = np.fft.rfft(sound[:, 0], size) * np.fft.rfft(part[:, 0], size).conj()
    places = len(sound) - len(part) + 1
    energy = np.concatenate([[0.0], np.cumsum(sound[:, 0].astype(np.float64) ** 2)])
    return int(np.argmin(energy[len(part) :] - energy[:places] - 2.0 * np.fft.irfft(spectrum, size)[:places]))


def until(holds_now: Callable[[], bool], limit_s: float) -> None:
    """Wait until something holds."""
    deadline = time.monotonic() + limit_s
    while not holds_now():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.02)
