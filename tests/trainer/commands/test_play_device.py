"""`keyfarer play` on a real sound server: what comes out of the loudspeaker is what a file would hold."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from tests.trainer.commands.commanding import CHART, keyfarer
from tests.trainer.commands.played_aloud import RATE_HZ

EDGE = 64
"""Frames by which the edges of the two may differ."""
ROOT = Path(__file__).resolve().parents[3]
SCRIPT = ROOT / "tests" / "sound" / "with-virtual-sound.sh"
NO_SERVER = 125
"""The script's exit status where it can't set up a server."""
NEEDED = os.environ.get("CI") == "true" or os.environ.get("KEYFARER_NEED_DEVICE") == "1"
"""Whether a missing device is a failure."""


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with what was recorded and printed."""
    if sys.platform != "linux" and not NEEDED:
        pytest.skip("the virtual sound server is Linux's")
    folder = tmp_path_factory.mktemp("aloud")
    command = (str(SCRIPT), sys.executable, "-m", "tests.trainer.commands.played_aloud", str(folder))
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=200, check=False)
    if done.returncode == NO_SERVER and not NEEDED:
        pytest.skip(done.stderr.strip().splitlines()[-1])
    assert 0 == done.returncode, done.stderr
    return folder


def sounding(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """From the first sample that isn't silence to the last."""
    loud = np.flatnonzero(np.abs(samples).max(axis=1) > 1e-6)
    assert len(loud), "silence"
    return samples[loud[0] : loud[-1] + 1]


def recording(path: Path) -> NDArray[np.float32]:
    """What the loudspeaker gave."""
    return sounding(np.fromfile(path, dtype="<f4").reshape(-1, 2))


@pytest.mark.device
def test_the_loudspeaker_gives_what_a_file_holds(played: Path, tmp_path: Path) -> None:
    """The recording is the file that the same command writes, to the rounding of 24 bits, and the lines came.

    A file is leveled by what it measures, what is played by what its score foretells: that one factor may differ,
    by a little more than loudness may.
    """
    assert "Two Lamps\n  A, in Bb major\nexit 0\n" == (played / "whole.txt").read_text(encoding="utf-8")
    written = tmp_path / "whole.wav"
    assert 0 == keyfarer("play", "-", "--tempo", "240", "--to", str(written), given=CHART.encode()).returncode
    expected = sounding(soundfile.read(written, dtype="float32")[0])
    heard = recording(played / "whole.raw")
    # The quietest first samples may be lost to the rounding, so the two are laid over each other.
    frames = min(len(expected), len(heard)) - EDGE
    assert frames > 9 * RATE_HZ / 2
    wanted = expected[EDGE // 2 :][:frames].astype(np.float64)
    power = (wanted * wanted).sum()
    found = []
    for at in range(EDGE):
        sound = heard[at : at + frames].astype(np.float64)
        louder = (sound * wanted).sum() / power
        found.append((np.abs(sound - louder * wanted).max(), abs(20.0 * np.log10(abs(louder)))))
    apart, decibels = min(found)
    assert apart < 1e-6
    assert decibels < 0.15


@pytest.mark.device
def test_ctrl_c_stops_the_sound_without_a_click(played: Path) -> None:
    """Ctrl-C ends with exit 130, the sound soon after, ramped out over 10 ms and not cut off."""
    told = (played / "stopped.txt").read_text(encoding="utf-8")
    assert told.startswith("Coal Barge\n")
    assert told.endswith("exit 130\n")
    assert "Traceback" not in told
    heard = recording(played / "stopped.raw")
    assert 1.0 < len(heard) / RATE_HZ < 4.0
    steps = np.abs(np.diff(heard, axis=0)).max(axis=1)
    assert steps[-RATE_HZ // 50 :].max() <= steps[: -RATE_HZ // 50].max()
    assert np.abs(heard[-5:]).max() < 0.01
