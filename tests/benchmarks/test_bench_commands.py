"""How long a player waits for a command, as a ratio to an interpreter that does nothing."""

import os
import subprocess
import sys
import time
from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path

import pytest

from tests.trainer.memory.made import KEYS, trial
from trainer.harmony.cadence import CADENCES
from trainer.memory.store import open_store
from trainer.places import memory_file

MOST_FOR_PROGRESS = 8.0
"""Times `python -c pass`."""
ROUNDS = 25
TRIALS, TYPES = 3000, 24
"""A hundred days of thirty questions over half the table."""

NOTHING = ("-c", "pass")
PROGRESS = ("-m", "trainer", "progress")


@pytest.fixture
def surroundings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """A player's own folders with a store, and bytecode kept as an installed program has it."""
    ids = [row.id for row in CADENCES[:TYPES]]
    monkeypatch.delenv("KEYFARER_HOME", raising=False)
    with open_store(memory_file()) as store:
        store.append_all(
            [
                trial(
                    timedelta(days=number // 30, minutes=number % 30),
                    unit=ids[number * 7 % TYPES],
                    rung=1 + number * 13 % 6,
                    key=KEYS[number % 12],
                    credit=float(number % 3 > 0),
                    taken_for=None if number % 3 else ids[number % 5],
                )
                for number in range(TRIALS)
            ]
        )
        store.refresh()
    kept = {**os.environ, "PYTHONPYCACHEPREFIX": str(tmp_path / "bytecode")}
    kept.pop("PYTHONDONTWRITEBYTECODE", None)
    return kept


def taken_s(arguments: tuple[str, ...], surroundings: Mapping[str, str]) -> float:
    """Time of one run: the processor's, which other programs don't lengthen, or by the clock where that isn't told."""
    began = time.perf_counter()
    with subprocess.Popen((sys.executable, *arguments), stdout=subprocess.DEVNULL, env=surroundings) as running:
        if sys.platform == "win32":
            assert 0 == running.wait()
            return time.perf_counter() - began
        _, status, used = os.wait4(running.pid, 0)
        running.returncode = os.waitstatus_to_exitcode(status)
    assert 0 == running.returncode
    return used.ru_utime + used.ru_stime


def ratio(arguments: tuple[str, ...], surroundings: Mapping[str, str]) -> float:
    """How many times an empty interpreter it takes: runs take turns, the quickest of each counts."""
    taken_s(arguments, surroundings)  # which also makes the bytecode
    turns = [(taken_s(NOTHING, surroundings), taken_s(arguments, surroundings)) for _ in range(ROUNDS)]
    nothing, ours = (min(column) for column in zip(*turns, strict=True))
    print(f"{' '.join(arguments)}: {1000 * ours:.0f} ms, {ours / nothing:.2f} times {' '.join(NOTHING)}")
    return ours / nothing


def test_progress_is_there_at_once(surroundings: dict[str, str]) -> None:
    """`keyfarer progress` takes at most eight times an empty interpreter."""
    assert ratio(PROGRESS, surroundings) <= MOST_FOR_PROGRESS


def test_progress_loads_neither_arrays_nor_the_forgetting_model_nor_screens(surroundings: dict[str, str]) -> None:
    """Looking at one's progress imports no numpy, no fsrs, no textual, and none of the harmony."""
    code = (
        "import sys; from trainer.cli import run; code = run(['progress'])\n"
        "shunned = {'numpy', 'fsrs', 'textual', 'soundfile', 'mido', 'trainer.harmony', 'trainer.charts'}\n"
        "loaded = sorted(shunned & set(sys.modules))\n"
        "sys.exit(code or (str(loaded) if loaded else 0))"
    )
    done = subprocess.run((sys.executable, "-c", code), env=surroundings, capture_output=True, check=False)
    assert (0, b"") == (done.returncode, done.stderr)
    assert b"Practice day" in done.stdout


def test_an_analysis_is_there_before_one_wonders(surroundings: dict[str, str]) -> None:
    """`keyfarer analyze` of a tune of 24 bars, all told, stays under thirty times an empty interpreter."""
    assert ratio(("-m", "trainer", "analyze", "the-courier-turns-back"), surroundings) <= 30.0
