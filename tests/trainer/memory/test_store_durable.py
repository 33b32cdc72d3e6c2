"""What `append` has returned is on the disk: after kills, beside others, by its system calls."""

import os
import random
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from trainer.memory import opening
from trainer.memory.store import open_store

KILLS = 25

WRITER = """
import sys
from datetime import UTC, datetime
from trainer.memory.store import open_store
from trainer.memory.trial import Trial

path, times, refreshing = sys.argv[1], int(sys.argv[2]), sys.argv[3] == "refreshing"
at = datetime(2027, 3, 1, 18, tzinfo=UTC)
store = open_store(path, timeout_s=60)
for number in range(times):
    stored = store.append(Trial(
        at_utc=at, utc_offset_minutes=0, session=sys.argv[4], unit="turnaround", kind="name-cadence",
        rung=1, key="C major", seed=number, material="table", question="{}", answer="1 6 2 5",
        correct="1 6 2 5", credit=1.0, guess_chance=0.3, answer_s=5.0, sound_s=8.0,
    ))
    sys.stdout.write(f"stored {stored.id} {number}\\n")
    sys.stdout.flush()
    if refreshing and number % 3 == 2:
        store.refresh()
"""


def writer(path: Path, times: int, name: str = "one", refreshing: bool = False) -> list[str]:
    """The command of a program that logs trials and says each time when one is stored."""
    return [sys.executable, "-c", WRITER, str(path), str(times), "refreshing" if refreshing else "-", name]


@pytest.mark.skipif(os.name == "nt", reason="needs the signal SIGKILL")
@pytest.mark.parametrize("refreshing", [False, True], ids=["logging", "logging-and-refreshing"])
def test_nothing_stored_is_lost_by_a_kill(tmp_path: Path, rng: random.Random, refreshing: bool) -> None:
    """Killed at random moments, a program loses no trial it was told is stored; derived rows stay right."""
    path = tmp_path / "new" / "memory.db"
    acknowledged: dict[int, tuple[str, int]] = {}
    for kill in range(KILLS):
        program = subprocess.Popen(
            writer(path, 10**6, f"run-{kill}", refreshing), stdout=subprocess.PIPE, text=True
        )
        assert program.stdout is not None
        said = [program.stdout.readline()]
        time.sleep(rng.uniform(0, 0.05))
        program.send_signal(signal.SIGKILL)
        said += program.stdout.readlines()
        program.stdout.close()
        assert -signal.SIGKILL == program.wait(30)
        for line in said:
            if found := re.fullmatch(r"stored (\d+) (\d+)\n", line):
                acknowledged[int(found[1])] = (f"run-{kill}", int(found[2]))
    assert len(acknowledged) >= KILLS
    with open_store(path) as store:
        kept = {one.id: (one.session, one.seed) for one in store.trials()}
        assert acknowledged.items() <= kept.items()
        assert list(range(1, len(kept) + 1)) == sorted(kept)
        store.refresh()
        grown = store.reviews(), store.tallies(), store.model()
        store.rebuild()
        assert grown == (store.reviews(), store.tallies(), store.model())


def test_a_session_that_breaks_off_still_gets_its_review(tmp_path: Path) -> None:
    """A program that stops without refreshing or closing leaves a log from which the review is made."""
    path = tmp_path / "memory.db"
    subprocess.run(writer(path, 4), check=True, capture_output=True, timeout=60)
    with open_store(path) as store:
        assert {} == store.reviews()
        assert store.refresh()
        assert 4 == store.reviews()["turnaround"].trials


def test_two_programs_log_at_once(tmp_path: Path) -> None:
    """Programs that make and fill one store at once, refreshing too, lose nothing and number all trials."""
    path = tmp_path / "memory.db"
    commands = [writer(path, 30, name, refreshing=True) for name in ("one", "two", "three")]
    programs = [
        subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) for command in commands
    ]
    for program in programs:
        _, errors = program.communicate(timeout=120)
        assert (0, b"") == (program.returncode, errors)
    with open_store(path) as store:
        kept = [(one.session, one.seed) for one in store.trials()]
    assert sorted((name, n) for name in ("one", "two", "three") for n in range(30)) == sorted(kept)


def traced(path: Path, times: int, log: Path) -> list[str]:
    """System calls of a writer that matter here, one a line, in order."""
    found = shutil.which("strace")
    if found is None:
        assert not os.environ.get("CI"), "strace is missing: it is needed to see that trials reach the disk"
        pytest.skip("strace is not installed")
    calls = "trace=fsync,fdatasync,pwrite64,write,rename"
    command = [found, "-f", "-y", "-s", "64", "-e", calls, "-o", str(log), *writer(path, times)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    if done.returncode and "ptrace" in done.stderr:
        assert not os.environ.get("CI"), f"strace may not trace here: {done.stderr.strip()}"
        pytest.skip("strace may not trace here")
    assert "" == done.stderr
    return log.read_text(errors="replace").splitlines()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="strace is a Linux program")
@pytest.mark.parametrize("new", [True, False], ids=["new-store", "store-that-exists"])
def test_each_trial_reaches_the_disk_before_it_is_acknowledged(tmp_path: Path, new: bool) -> None:
    """Before the word "stored" the write-ahead log is synced; at first its folders are too."""
    path = tmp_path / "some" / "folder" / "memory.db"
    if not new:
        open_store(path).close()
    lines = traced(path, 5, tmp_path / "calls")
    unsynced: set[str] = set()
    synced: set[str] = set()
    stored = 0
    for line in lines:
        if call := re.search(r"\b(pwrite64|fsync|fdatasync)\(\d+<([^>]*)>", line):
            name, file = call.groups()
            if name == "pwrite64" and not file.endswith("-shm"):
                unsynced.add(file)
            elif name != "pwrite64":
                unsynced.discard(file)
                synced.add(file)
        elif re.search(r'\bwrite\(1<[^>]*>, "stored', line):
            stored += 1
            assert set() == {file for file in unsynced if file.endswith(("-wal", "-journal"))}
            assert f"{path}-wal" in synced
            assert str(path.parent) in synced
            if new:
                assert {str(path.parent.parent), str(tmp_path)} <= synced
            synced.discard(f"{path}-wal")
    assert 5 == stored


def test_a_store_made_between_two_looks_is_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While one program looks whose the file is another makes the store in it: it is not taken for a foreign one."""
    path = tmp_path / "memory.db"
    empty = sqlite3.connect(path)
    empty.execute("PRAGMA journal_mode = WAL")
    empty.execute("PRAGMA user_version = 0")
    empty.close()
    asked, plain = [], opening._number

    def number(connection: sqlite3.Connection, question: str) -> int:
        found = plain(connection, question)
        asked.append(question)
        if len(asked) == 2:  # whose it is has been read, how many tables it has not
            other = sqlite3.connect(path, isolation_level=None)
            opening._migrate(other)
            other.close()
        return found

    monkeypatch.setattr(opening, "_number", number)
    with open_store(path) as store:
        assert [] == list(store.trials())
    assert len(asked) > 3
