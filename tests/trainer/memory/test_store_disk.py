"""Disks that are full or can't be written: told in words, nothing lost, and it goes on where there is room again."""

import os
from datetime import timedelta
from pathlib import Path

import pytest

from tests.trainer.memory.disks import read_only, small_disk
from tests.trainer.memory.made import trial
from trainer.memory.copies import backup, restore
from trainer.memory.store import Store, StoreError, open_store

BIG = trial(question="x" * 3000)


def filled(store: Store) -> int:
    """Log until the disk is full; returns how many were stored."""
    stored = 0
    with pytest.raises(StoreError, match="the disk is full; all that was stored before is kept"):  # noqa: PT012
        for _ in range(2000):
            store.append(BIG)
            stored += 1
    return stored


def test_a_full_disk_while_practising(tmp_path: Path) -> None:
    """The answer that finds no room is told; all before it are there, and with room again it goes in."""
    with small_disk(tmp_path / "disk", 600) as disk:
        ballast = disk / "ballast"
        ballast.write_bytes(b"x" * 100_000)
        with open_store(disk / "memory.db") as store:
            stored = filled(store)
            assert stored == len(list(store.trials()))
            ballast.unlink()
            store.append(trial(timedelta(days=1)))
        with open_store(disk / "memory.db") as store:
            assert stored + 1 == len(list(store.trials()))
            assert () == store.faults()


def test_a_full_disk_while_computing(tmp_path: Path) -> None:
    """What can't be computed for want of room is told, leaves the log whole, and is computed later."""
    with small_disk(tmp_path / "disk", 6000) as disk, open_store(disk / "memory.db") as store:
        store.append_all([trial(timedelta(minutes=n), unit=f"unit-{n}") for n in range(300)])
        (disk / "ballast").write_bytes(b"x" * (os.statvfs(disk).f_bavail * os.statvfs(disk).f_frsize))
        with pytest.raises(StoreError, match="the disk is full"):
            store.refresh()
        (disk / "ballast").unlink()
        assert store.refresh()
        assert 300 == len(store.reviews()) == len(list(store.trials()))


def test_no_room_for_a_new_store(tmp_path: Path) -> None:
    """On a disk with no room at all the store can't be made, and that is told."""
    with small_disk(tmp_path / "disk", 16) as disk, pytest.raises(StoreError, match="disk is full"):
        open_store(disk / "memory.db")


def test_no_room_for_a_backup(tmp_path: Path) -> None:
    """A backup that doesn't fit leaves the earlier one and nothing beside it."""
    with open_store(tmp_path / "memory.db") as store:
        store.append(trial())
        with small_disk(tmp_path / "disk", 300) as disk:
            backup(store.path, disk / "copy.db")
            before = (disk / "copy.db").read_bytes()
            store.append_all([BIG] * 200)
            with pytest.raises(StoreError, match=r"copy\.db can't grow, the disk is full"):
                backup(store.path, disk / "copy.db")
            assert ["copy.db"] == os.listdir(disk)
            assert before == (disk / "copy.db").read_bytes()


def test_no_room_to_restore(tmp_path: Path) -> None:
    """Where a backup doesn't fit beside the store, the store stays as it is."""
    with open_store(tmp_path / "large.db") as store:
        store.append_all([BIG] * 200)
    with small_disk(tmp_path / "disk", 400) as disk:
        with open_store(disk / "memory.db") as store:
            store.append(trial())
        before = (disk / "memory.db").read_bytes()
        with pytest.raises(StoreError, match=r"memory\.db can't grow, the disk is full"):
            restore(disk / "memory.db", tmp_path / "large.db")
        assert before == (disk / "memory.db").read_bytes()
        assert ["memory.db"] == os.listdir(disk)


def test_a_folder_that_may_only_be_read(tmp_path: Path) -> None:
    """A store in a read-only folder, and a folder without one, are told with what to do; not a byte changes."""
    home = tmp_path / "home"
    with open_store(home / "memory.db") as store:
        store.append(trial())
    before = (home / "memory.db").read_bytes()
    with read_only(home):
        with pytest.raises(StoreError, match=r"memory\.db can't be (written|opened).*choose another"):
            open_store(home / "memory.db")
        with pytest.raises(StoreError, match=r"other\.db can't be (written|opened|used).*choose another"):
            open_store(home / "other.db")
    assert before == (home / "memory.db").read_bytes()
    with open_store(home / "memory.db") as store:
        assert 1 == len(list(store.trials()))


def test_a_disk_that_becomes_read_only_in_mid_session(tmp_path: Path) -> None:
    """When writing is no longer allowed the answer is told as not stored, and goes in when it is again."""
    home = tmp_path / "home"
    home.mkdir()
    path = home / "memory.db"
    open_store(path).close()
    with read_only(home), pytest.raises(StoreError, match=r"can't be (written|opened)"):
        open_store(path).append(trial())
    with open_store(path) as store:
        assert 1 == store.append(trial()).id


def test_a_backup_on_a_read_only_disk_comes_back(tmp_path: Path) -> None:
    """A backup can be restored from a place that can't be written, and can't be made there."""
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    with open_store(tmp_path / "memory.db") as store:
        store.append(trial())
    backup(tmp_path / "memory.db", shelf / "copy.db")
    with read_only(shelf):
        assert (1, None) == restore(tmp_path / "new.db", shelf / "copy.db")
        with pytest.raises(StoreError, match=r"copy\.db can't be"):
            backup(tmp_path / "memory.db", shelf / "copy.db")
