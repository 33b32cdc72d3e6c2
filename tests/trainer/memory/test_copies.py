"""Backups and bringing them back: whole, checked before they replace anything, and nothing thrown away."""

import os
import random
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from tests.trainer.memory.made import MONDAY, rows_of, trial
from trainer.memory.copies import backup, restore
from trainer.memory.derive import DERIVED
from trainer.memory.store import StoreError, open_store

FLIPS = 40
"""Copies that are damaged, each in another way."""
LOG = ("trials", "corrections", "imported", "this_store")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A store with three trials, one a slip, up to date."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(timedelta(days=n)) for n in range(3)])
        store.slip(2, MONDAY)
        store.refresh()
    return tmp_path / "memory.db"


def test_a_backup_is_the_store_in_one_file(path: Path, tmp_path: Path) -> None:
    """Row for row the same, in one file, also while the store is open and its newest rows stand beside it."""
    with open_store(path) as store:
        store.append(trial(timedelta(days=5)))
        assert 4 == backup(path, tmp_path / "copy.db")
        assert rows_of(path, (*LOG, *DERIVED)) == rows_of(tmp_path / "copy.db", (*LOG, *DERIVED))
    assert {"memory.db", "copy.db"} == set(os.listdir(tmp_path))


def test_a_backup_comes_back(path: Path, tmp_path: Path) -> None:
    """What the backup holds is there again; what it replaces is kept, whole, and can be merged."""
    backup(path, tmp_path / "copy.db")
    with open_store(path) as store:
        before = rows_of(tmp_path / "copy.db", LOG)
        store.append(trial(timedelta(days=5), answer="after the backup"))
    trials, kept = restore(path, tmp_path / "copy.db")
    assert 3 == trials
    assert before == rows_of(path, LOG)
    assert kept == tmp_path / "memory-before-restore-1.db"
    with open_store(path) as store, open_store(kept) as old:
        old.refresh()
        assert 1 == store.merge(old.logged(old.places())).added
        assert "after the backup" in {one.answer for one in store.trials()}
    assert (3, tmp_path / "memory-before-restore-2.db") == restore(path, tmp_path / "copy.db")
    assert {f"memory{name}.db" for name in ("", "-before-restore-1", "-before-restore-2")} | {"copy.db"} == {
        name for name in os.listdir(tmp_path) if not name.endswith(("-wal", "-shm"))
    }


def test_a_backup_comes_back_where_there_is_no_store(path: Path, tmp_path: Path) -> None:
    """On a new machine the folder is made and nothing has to be kept."""
    assert (3, None) == restore(tmp_path / "new" / "memory.db", path)
    assert rows_of(path, LOG) == rows_of(tmp_path / "new" / "memory.db", LOG)


def test_a_damaged_store_gives_way_to_its_backup(path: Path, tmp_path: Path, rng: random.Random) -> None:
    """A store that can't be read is put aside as it is, and the backup takes its place."""
    backup(path, tmp_path / "copy.db")
    broken = rng.randbytes(9000)
    path.write_bytes(broken)
    trials, kept = restore(path, tmp_path / "copy.db")
    assert (3, broken) == (trials, kept.read_bytes() if kept else b"")
    with open_store(path) as store:
        assert () == store.faults()


def test_no_restoring_while_another_program_has_the_store(path: Path, tmp_path: Path) -> None:
    """A store that is open elsewhere is not pulled away from under it."""
    backup(path, tmp_path / "copy.db")
    with open_store(path) as other:
        other.append(trial(timedelta(days=9)))
        with pytest.raises(StoreError, match=r"open in another program.*nothing was changed. Close it"):
            restore(path, tmp_path / "copy.db", timeout_s=0.1)
        other.append(trial(timedelta(days=10)))
    with open_store(path) as store:
        assert 5 == len(list(store.trials()))
    assert {"memory.db", "copy.db"} == set(os.listdir(tmp_path))


def test_what_is_no_backup_is_refused(path: Path, tmp_path: Path) -> None:
    """A text, another program's database, an empty file, no file, the store itself: told, and nothing changes."""
    (tmp_path / "notes.txt").write_text("bring the metronome\n" * 99)
    (tmp_path / "empty.db").touch()
    other = sqlite3.connect(tmp_path / "soups.db")
    other.execute("CREATE TABLE soups (name TEXT)")
    other.commit()
    other.close()
    before = path.read_bytes()
    for name, why in (
        ("notes.txt", "is not a keyfarer store; nothing was changed"),
        ("empty.db", "is not a keyfarer store; nothing was changed"),
        ("soups.db", "database of another program; nothing was changed"),
        ("gone.db", "no such file"),
        ("memory.db", "the store itself"),
    ):
        with pytest.raises(StoreError, match=why):
            restore(path, tmp_path / name)
    assert before == path.read_bytes()
    assert not [name for name in os.listdir(tmp_path) if name.startswith(".")]


def test_a_copy_whose_log_is_not_guarded_is_refused(path: Path, tmp_path: Path) -> None:
    """A copy in which the log could be changed is no sound store."""
    backup(path, tmp_path / "copy.db")
    other = sqlite3.connect(tmp_path / "copy.db")
    other.execute("DROP TRIGGER trials_stay")
    other.close()
    with pytest.raises(StoreError, match="table trials is not guarded against changes"):
        restore(path, tmp_path / "copy.db")


def test_bytes_flipped_anywhere_are_found_or_harmless(path: Path, tmp_path: Path, rng: random.Random) -> None:
    """A torn copy is refused in words or holds the same log; a good backup always comes back."""
    backup(path, tmp_path / "good.db")
    whole, log = (tmp_path / "good.db").read_bytes(), rows_of(tmp_path / "good.db", LOG)
    refused = 0
    for _ in range(FLIPS):
        torn = bytearray(whole)
        start = rng.randrange(len(torn))
        length = rng.choice((1, 16, 512, 4096))
        torn[start : start + length] = rng.randbytes(len(torn[start : start + length]))
        (tmp_path / "torn.db").write_bytes(torn)
        before = path.read_bytes()
        try:
            restore(tmp_path / "elsewhere.db", tmp_path / "torn.db")
        except StoreError as error:
            refused += 1
            assert "torn.db" in str(error)
            assert not (tmp_path / "elsewhere.db").exists()
        else:
            with open_store(tmp_path / "elsewhere.db") as store:
                assert 3 == len(list(store.trials()))
        for name in os.listdir(tmp_path):
            if name.startswith("elsewhere"):
                (tmp_path / name).unlink()
        assert before == path.read_bytes()
    assert refused > FLIPS // 10
    restore(path, tmp_path / "good.db")
    assert log == rows_of(path, LOG)


def test_a_torn_store_is_told_in_words(path: Path, tmp_path: Path, rng: random.Random) -> None:
    """Whatever bytes of a store are torn, using it works or the file is told to be at fault; its backup comes back."""
    backup(path, tmp_path / "good.db")
    whole, told = (tmp_path / "good.db").read_bytes(), 0
    for _ in range(FLIPS):
        torn = bytearray(whole)
        for _ in range(rng.randrange(1, 30)):
            torn[rng.randrange(len(torn))] = rng.randrange(256)
        broken = tmp_path / "torn.db"
        broken.write_bytes(torn)
        try:
            with open_store(broken) as store:
                store.refresh()
                store.append(trial(timedelta(days=30)))
                store.rebuild()
                list(store.trials())
        except StoreError as error:
            told += 1
            assert "torn.db" in str(error)
        restore(broken, tmp_path / "good.db")
        assert rows_of(tmp_path / "good.db", LOG) == rows_of(broken, LOG)
        for name in os.listdir(tmp_path):
            if name.startswith("torn"):
                (tmp_path / name).unlink()
    assert told > 0
