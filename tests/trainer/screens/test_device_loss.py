"""A device that goes in mid-drill, in a real terminal: it is told, the drill goes on, and the sound comes back."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from tests.synth.test_device import NEEDED, NO_SERVER, ROOT, SCRIPT


@pytest.mark.device
def test_the_drill_goes_on_without_its_device(tmp_path: Path) -> None:
    """The loss and where the sound is kept are told in words, both answers are stored, the next question sounds."""
    if sys.platform != "linux" and not NEEDED:
        pytest.skip("the virtual sound server is Linux's")
    command = (str(SCRIPT), sys.executable, "-m", "tests.trainer.screens.device_lost", str(tmp_path))
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=200, check=False)
    if done.returncode == NO_SERVER and not NEEDED:
        pytest.skip(done.stderr.strip().splitlines()[-1])
    assert 0 == done.returncode, done.stderr[-3000:]
    told = json.loads((tmp_path / "screens.json").read_text(encoding="utf-8"))
    screens = {step: " ".join(text.split()) for step, text in told.items()}
    assert "no sound" not in screens["before"]
    assert "went away" in screens["gone"]
    assert "unheard" in screens["gone"]
    assert "1 of 3: the answer" in screens["answered"]
    assert "the sound is back" in screens["back"]
    assert "2" == (tmp_path / "trials.txt").read_text(encoding="utf-8")
    heard = np.fromfile(tmp_path / "after.raw", dtype="<f4")
    assert np.abs(heard).max() > 0.01
