"""Ten minutes of sound on a virtual device, the screens in use and a core busy."""

import os
import subprocess
import sys

import pytest

from tests.synth.test_device import NEEDED, NO_SERVER, ROOT

MINUTES = 10


@pytest.mark.long
@pytest.mark.device
def test_ten_minutes_without_a_dropout(capsys: pytest.CaptureFixture[str]) -> None:
    """What was recorded is what was sent, to the sample, for ten minutes."""
    if sys.platform != "linux" and not NEEDED:
        pytest.skip("the virtual sound server is Linux's")
    script = ROOT / "tests" / "sound" / "with-virtual-sound.sh"
    command = [str(script), sys.executable, "-m", "pytest", str(ROOT / "tests" / "synth" / "soak_cases.py"), "-q", "-s"]
    command += ["-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist", "-m", ""]
    settings = os.environ | {"SOAK_MINUTES": str(MINUTES)}
    done = subprocess.run(command, cwd=ROOT, env=settings, capture_output=True, text=True, timeout=60 * MINUTES + 300)
    if done.returncode == NO_SERVER and not NEEDED:
        pytest.skip(done.stderr.strip().splitlines()[-1])
    with capsys.disabled():
        sys.stdout.write(f"\n{done.stderr.strip()}\n")
    assert done.returncode == 0, f"{done.stdout[-3000:]}\n{done.stderr[-2000:]}"
