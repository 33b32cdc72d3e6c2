"""Opening stores of other versions: older ones grow up, newer and foreign ones are refused untouched."""

import sqlite3
from pathlib import Path

import pytest

from tests.trainer.memory.made import rows_of, trial
from trainer.memory.opening import APPLICATION_ID, migrations, newest_version
from trainer.memory.store import StoreError, open_store

VERSION_1 = Path(__file__).parent / "golden" / "version_1.sql"


def version_1(path: Path) -> None:
    """Make the store of version 1 with its log."""
    connection = sqlite3.connect(path)
    connection.executescript(VERSION_1.read_text(encoding="utf-8"))
    connection.close()


def test_migrations_are_numbered_without_gaps() -> None:
    """Migrations count from 1, one by one, and the last is the version we write."""
    assert list(range(1, newest_version() + 1)) == [number for number, _ in migrations()]


def test_a_store_of_version_1_grows_up(tmp_path: Path) -> None:
    """A store of the first version keeps its log row for row, and what is computed follows from it."""
    path = tmp_path / "memory.db"
    version_1(path)
    before = rows_of(path, ("trials", "corrections"))
    assert 14 == len(before["trials"])
    with open_store(path) as store:
        assert store.refresh()
        assert {"major-two-five-one", "backdoor"} == set(store.reviews())
        assert 13 == store.model().trials  # one is a slip
        assert 15 == store.append(trial()).id
    after = rows_of(path, ("trials", "corrections"))
    assert before == {"trials": after["trials"][:14], "corrections": after["corrections"]}


def test_opening_twice_migrates_once(tmp_path: Path) -> None:
    """A store that is up to date opens without being written."""
    path = tmp_path / "memory.db"
    open_store(path).close()
    before = path.read_bytes()
    open_store(path).close()
    assert before == path.read_bytes()


def test_a_new_store_carries_our_mark(tmp_path: Path) -> None:
    """The header names us and our version, and the journal is a write-ahead log."""
    path = tmp_path / "deep" / "down" / "memory.db"
    open_store(path).close()
    connection = sqlite3.connect(path)
    found = [connection.execute(f"PRAGMA {name}").fetchone()[0] for name in
             ("application_id", "user_version", "journal_mode")]  # fmt: skip
    connection.close()
    assert [APPLICATION_ID, newest_version(), "wal"] == found


def test_a_newer_store_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    """A store that a newer program wrote is told so in words, and not a byte of it changes."""
    path = tmp_path / "memory.db"
    with open_store(path) as store:
        store.append(trial())
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version = {newest_version() + 3}")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"newer keyfarer .* nothing was changed\. Update"):
        open_store(path)
    assert before == path.read_bytes()


def test_a_newer_version_still_in_the_write_ahead_log_is_seen(tmp_path: Path) -> None:
    """The version counts even while a running program has it in the write-ahead log only."""
    path = tmp_path / "memory.db"
    open_store(path).close()
    running = sqlite3.connect(path, isolation_level=None)
    running.execute("PRAGMA wal_autocheckpoint = 0")
    running.execute(f"PRAGMA user_version = {newest_version() + 1}")
    before = path.read_bytes()
    with pytest.raises(StoreError, match="newer keyfarer"):
        open_store(path)
    assert before == path.read_bytes()
    running.close()


def test_another_program_s_database_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    """A database without our mark is not ours to write."""
    path = tmp_path / "recipes.db"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE soups (name TEXT)")
    connection.commit()
    connection.close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match="another program; nothing was changed"):
        open_store(path)
    assert before == path.read_bytes()


def test_a_migration_that_fails_leaves_the_version_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A migration is one transaction: when its second half fails, its first half is undone as well."""
    path = tmp_path / "memory.db"
    version_1(path)
    before = rows_of(path, ("trials", "sqlite_master"))
    first = migrations()[0]
    broken = "CREATE TABLE half (one INTEGER);\nCREATE TABLE half (two INTEGER);\n"
    monkeypatch.setattr("trainer.memory.opening.migrations", lambda: (first, (2, broken)))
    with pytest.raises(StoreError, match="half"):
        open_store(path)
    assert before == rows_of(path, ("trials", "sqlite_master"))
    monkeypatch.undo()
    with open_store(path) as store:
        assert 14 == len(list(store.trials()))
