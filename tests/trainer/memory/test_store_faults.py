"""What can be wrong with the file or the disk is told in words, and nothing is lost."""

import os
import random
import sqlite3
from pathlib import Path

import pytest

from tests.trainer.memory.made import trial
from trainer.memory.store import StoreError, open_store


def test_a_file_that_is_no_database(tmp_path: Path) -> None:
    """A text file in the store's place is refused and left as it is."""
    path = tmp_path / "memory.db"
    path.write_text("Shopping: strings, rosin, a metronome that doesn't stop by itself.\n" * 40)
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"memory\.db is not a keyfarer store; nothing was changed"):
        open_store(path)
    assert before == path.read_bytes()


def test_a_damaged_store(tmp_path: Path, rng: random.Random) -> None:
    """A store whose pages were overwritten is told to be damaged, on opening or on reading."""
    path = tmp_path / "memory.db"
    with open_store(path) as store:
        store.append_all([trial()] * 500)
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(rng.randbytes(size - 4096))
    with pytest.raises(StoreError, match="is damaged; copy it first"), open_store(path) as store:
        list(store.trials())


def test_a_store_cut_short(tmp_path: Path) -> None:
    """A store that lost its second half is told to be damaged."""
    path = tmp_path / "memory.db"
    with open_store(path) as store:
        store.append_all([trial()] * 500)
    os.truncate(path, path.stat().st_size // 2)
    with pytest.raises(StoreError, match="is damaged"), open_store(path) as store:
        list(store.trials())


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such names")
def test_a_file_with_an_odd_name(tmp_path: Path) -> None:
    """Signs that mean something in an address are no more than signs of a name."""
    path = tmp_path / "50% C# & F?mode=memory ♭" / "my #1.db"
    with open_store(path) as store:
        store.append(trial())
    with open_store(path) as store:
        assert 1 == len(list(store.trials()))
    assert path.is_file()


def test_a_folder_in_the_store_s_place(tmp_path: Path) -> None:
    """A folder can't be opened as a store."""
    with pytest.raises(StoreError, match="is a folder; name a file"):
        open_store(tmp_path)


def test_a_folder_that_can_t_be_made(tmp_path: Path) -> None:
    """Below a regular file there is no room for a store."""
    (tmp_path / "notes").write_text("a file")
    with pytest.raises(StoreError, match="can't be used as a store"):
        open_store(tmp_path / "notes" / "memory.db")


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="no /proc here")
def test_a_folder_that_can_t_be_written() -> None:
    """Where nobody may write, not even the superuser, the fault and the mend are told."""
    with pytest.raises(StoreError, match=r"can't be (used|opened|written)"):
        open_store("/proc/self/memory.db")


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write anywhere"
)
def test_a_store_that_may_only_be_read(tmp_path: Path) -> None:
    """A file without leave to write is told, and its bytes stay."""
    path = tmp_path / "memory.db"
    open_store(path).close()
    path.chmod(0o400)
    with pytest.raises(StoreError, match="can't be written"):
        open_store(path).append(trial())


def test_a_store_that_another_program_is_writing(tmp_path: Path) -> None:
    """After the time to wait is over the lock is told; when it is gone, the same trial goes in."""
    path = tmp_path / "memory.db"
    store = open_store(path, timeout_s=0.05)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError, match="locked by another program"):
        store.append(trial())
    assert [] == list(store.trials())
    other.execute("ROLLBACK")
    other.close()
    assert 1 == store.append(trial()).id
    store.close()


def test_a_full_disk(tmp_path: Path) -> None:
    """When there is no room the trial is refused in words, all before it stay, and with room it goes in."""
    path = tmp_path / "memory.db"
    store = open_store(path)
    pages = store._connection.execute("PRAGMA page_count").fetchone()[0]
    store._connection.execute(f"PRAGMA max_page_count = {pages}")
    big = trial(question="x" * 3000)
    stored = 0
    with pytest.raises(StoreError, match=r"the disk is full; all that was stored before is kept"):  # noqa: PT012
        for _ in range(50):
            store.append(big)
            stored += 1
    assert stored == len(list(store.trials()))
    store._connection.execute("PRAGMA max_page_count = 100000")
    assert stored + 1 == store.append(big).id
    store.close()


def test_a_closed_store_is_a_fault_of_the_program(tmp_path: Path) -> None:
    """Using a store after closing it is not told as a fault of the file."""
    store = open_store(tmp_path / "memory.db")
    store.close()
    with pytest.raises(sqlite3.ProgrammingError):
        store.append(trial())
