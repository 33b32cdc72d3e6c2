"""Runs a fuzz harness of tests/ for a while, in a process of its own."""

import os
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

FUZZED_S = 240
"""How long a long test fuzzes; `KEYFARER_FUZZ_S` sets another time."""
FEWEST_RUNS = 1000
"""In that time; fewer would mean that it isn't fuzzing."""

needs_fuzzer = pytest.mark.skipif(find_spec("atheris") is None, reason="the fuzzer has no build for this system")


def fuzzes_clean(module: str, scratch: Path) -> None:
    """Fuzz with a harness; fails with the end of what it said where it finds something or runs too little."""
    limit_s = int(os.environ.get("KEYFARER_FUZZ_S", FUZZED_S))
    done = subprocess.run(
        (sys.executable, "-m", module, f"-max_total_time={limit_s}"),
        cwd=Path(__file__).resolve().parents[1], env={**os.environ, "TMPDIR": str(scratch)},
        capture_output=True, encoding="utf-8", errors="replace", timeout=limit_s + 300, check=False,
    )  # fmt: skip
    assert 0 == done.returncode, done.stderr[-4000:]
    found = re.search(r"Done (\d+) runs", done.stderr)
    assert found is not None
    assert int(found[1]) >= FEWEST_RUNS * min(1.0, limit_s / FUZZED_S)
