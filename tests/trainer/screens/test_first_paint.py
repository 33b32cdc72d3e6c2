"""What the app loads before its first paint."""

import subprocess
import sys
from pathlib import Path

SCRIPT = """
import sys
from trainer.screens import app

def painted(self):
    print(*sorted({"numpy", "scipy", "fsrs", "soundfile", "sounddevice"} & set(sys.modules)), "end")
    return 0

app.KeyfarerApp.run = painted
sys.exit(app.run_app())
"""


def test_no_arrays_no_forgetting_model_before_the_first_paint(tmp_path: Path) -> None:
    """Settings and store are open, the app is about to paint: no numpy, scipy or fsrs is loaded yet."""
    done = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, timeout=60, check=False)
    assert (0, "end\n") == (done.returncode, done.stdout), done.stderr
