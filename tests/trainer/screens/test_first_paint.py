"""What the app loads before its first paint."""

import os
import subprocess
import sys
from pathlib import Path

SCRIPT = """
import sys
from trainer.screens import app, running

def painted(self):
    late = {
        "numpy", "scipy", "fsrs", "soundfile", "sounddevice", "sqlite3", "click", "trainer.reading.analysis",
        "trainer.practice.session", "trainer.drills.kinds", "trainer.harmony.cadence", "trainer.memory.store",
    }
    print(*sorted(late & set(sys.modules)), "end")
    return 0

app.KeyfarerApp.run = painted
sys.exit(running.run_app())
"""


def test_no_arrays_no_forgetting_model_before_the_first_paint(tmp_path: Path) -> None:
    """Settings are read, the app is about to paint: memory, drills, arrays, forgetting and readings wait."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        env=os.environ | {"KEYFARER_HOME": str(tmp_path)},
    )
    assert (0, "end\n") == (done.returncode, done.stdout), done.stderr
