"""Whatever bytes another program's file has: it is refused with reasons, or it can be played out and written."""

import os
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

FUZZED_S = 240
"""How long the long test fuzzes; `KEYFARER_FUZZ_S` sets another time."""
FEWEST_RUNS = 1000
"""In that time; fewer would mean that it isn't fuzzing."""


@pytest.mark.long
@pytest.mark.skipif(find_spec("atheris") is None, reason="the fuzzer has no build for this system")
def test_fuzzing_finds_nothing(tmp_path: Path) -> None:
    """For some minutes the fuzzer finds no MIDI file, no score and no chord that crashes or hangs."""
    limit_s = int(os.environ.get("KEYFARER_FUZZ_S", FUZZED_S))
    command = (sys.executable, "-m", "tests.trainer.charts.fuzz_files", f"-max_total_time={limit_s}")
    root = Path(__file__).resolve().parents[3]
    surroundings = {**os.environ, "TMPDIR": str(tmp_path)}
    done = subprocess.run(
        command, cwd=root, env=surroundings, capture_output=True, encoding="utf-8", errors="replace",
        timeout=limit_s + 300, check=False,
    )  # fmt: skip
    assert 0 == done.returncode, done.stderr[-4000:]
    found = re.search(r"Done (\d+) runs", done.stderr)
    assert found is not None
    assert int(found[1]) >= FEWEST_RUNS * min(1.0, limit_s / FUZZED_S)
