"""A plain session that is killed: no trial whose mark was printed is lost, and the due days follow from the log."""

import contextlib
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from trainer.memory.store import open_store

MARK = re.compile(r"(Right|Not heard yet|Passed over|\d+ of 100 heard)[.,].* It was ")
"""The line of a mark; it is printed once its trial is stored."""

TYPES = ("--kind", "name-functions", "--type", "major-two-five-one", "--type", "minor-two-five-one")

ANSWER = "2 5 1\n"
"""Right or wrong, it can be read on this rung."""


def plain(home: Path, *options: str, before: tuple[str, ...] = ()) -> subprocess.Popen[str]:
    """Start a plain session of three-chord questions."""
    command = [*before, sys.executable, "-m", "trainer", "drill", "--plain", "--count", "10000", "--rung", "3"]
    environment = {**os.environ, "KEYFARER_HOME": str(home), "PYTHONUNBUFFERED": "1"}
    return subprocess.Popen(
        [*command, *TYPES, *options],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment,
        text=True,
    )


def killed_after(home: Path, delay_s: float) -> int:
    """Answer as fast as the session asks, kill it some time after the first mark; how many marks were printed."""
    marks = 0
    timer: threading.Timer | None = None
    with plain(home) as session:
        assert session.stdin is not None
        assert session.stdout is not None
        for line in session.stdout:
            if line.startswith("Question "):
                with contextlib.suppress(BrokenPipeError):
                    session.stdin.write(ANSWER)
                    session.stdin.flush()
                if timer is None:
                    timer = threading.Timer(delay_s, session.kill)
                    timer.start()
            marks += bool(MARK.match(line))
        with contextlib.suppress(BrokenPipeError):
            session.stdin.close()
    assert timer is not None
    timer.join()
    assert -signal.SIGKILL == session.returncode
    return marks


def kill_and_count(home: Path, kills: int, rng: random.Random) -> None:
    """Kill sessions at random moments; after each, the log holds every trial whose mark was printed."""
    stored = 0
    for _ in range(kills):
        marks = killed_after(home, rng.uniform(0.0, 0.6))
        with open_store(home / "memory.db") as store:
            now = sum(1 for _ in store.trials())
            assert now - stored >= marks
            assert now - stored <= marks + 1
            stored = now
    with open_store(home / "memory.db") as store:
        store.refresh()
        grown = (store.reviews(), [store.review_history(unit) for unit in store.reviews()], store.model())
        store.rebuild()
        assert grown == (store.reviews(), [store.review_history(unit) for unit in store.reviews()], store.model())
        assert stored > kills / 2


@pytest.mark.skipif(os.name == "nt", reason="needs the signal SIGKILL")
def test_nothing_that_was_marked_is_lost_by_a_kill(tmp_path: Path, rng: random.Random) -> None:
    """Eight sessions are killed at random moments."""
    kill_and_count(tmp_path, 8, rng)


@pytest.mark.long
@pytest.mark.skipif(os.name == "nt", reason="needs the signal SIGKILL")
def test_nothing_that_was_marked_is_lost_by_two_hundred_kills(tmp_path: Path, rng: random.Random) -> None:
    """Two hundred sessions are killed at random moments."""
    kill_and_count(tmp_path, 200, rng)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="strace is a Linux program")
def test_the_disk_is_synced_before_the_mark_is_printed(tmp_path: Path) -> None:
    """The system calls show the log synced to the disk between the answer and the line of its mark."""
    if shutil.which("strace") is None:
        assert not os.environ.get("CI"), "strace is missing: it is needed to see that trials reach the disk"
        pytest.skip("strace is not installed")
    trace = tmp_path / "calls"
    watched = ("strace", "-f", "-y", "-s", "300", "-o", str(trace), "-e", "trace=read,write,fsync,fdatasync")
    marks = 0
    with plain(tmp_path, before=watched) as session:
        assert session.stdin is not None
        assert session.stdout is not None
        for line in session.stdout:
            if line.startswith("Question ") and marks < 3:
                session.stdin.write(ANSWER)
                session.stdin.flush()
            marks += bool(MARK.match(line))
            if marks == 3:
                session.stdin.close()
                break
        session.stdout.read()
    calls = trace.read_text(encoding="utf-8", errors="replace").splitlines()
    asked = [n for n, call in enumerate(calls) if "write(1<" in call and '"Question ' in call]
    told = [n for n, call in enumerate(calls) if "write(1<" in call and " It was " in call]
    synced = [n for n, call in enumerate(calls) if re.search(r"f(data)?sync\(\d+<.*memory\.db-wal>", call)]
    assert len(told) >= 3
    for question, mark in zip(asked, told, strict=False):
        assert any(question < sync < mark for sync in synced), calls[question : mark + 1]
