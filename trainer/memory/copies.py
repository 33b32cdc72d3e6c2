"""Whole copies of a store: a backup, and bringing one back.

A copy is taken as of one moment, while other programs may be writing, and is looked through before it takes its
place; until then it lies beside that place under another name. What a restored copy replaces is kept.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from itertools import count
from pathlib import Path

from trainer.memory.opening import APPLICATION_ID, refuse_foreign, sync_folder
from trainer.memory.store_faults import StoreError, faults_of, told_as, unread

BESIDE = ("-wal", "-shm", "-journal")
"""What the database puts beside a file while it is in use."""


def backup(store: Path, target: Path, timeout_s: float = 5.0) -> int:
    """Write a copy of a store, whole and in one file; returns how many trials it holds.

    The target is replaced whole if it is there. Raises StoreError.
    """
    if not store.exists():
        raise StoreError(f"there is no store at {store} yet, so there is nothing to back up")
    if target.is_dir():
        raise StoreError(f"{target} is a folder; name a file in it.")
    if target.exists() and target.samefile(store):
        raise StoreError(f"{target} is the store itself; choose another file for its backup.")
    with _copied(store, target, timeout_s) as (fresh, trials), told_as(target):
        os.replace(fresh, target)
        sync_folder(target.parent)
    return trials


def restore(store: Path, copy: Path, timeout_s: float = 5.0) -> tuple[int, Path | None]:
    """Put a backup in a store's place; returns how many trials it holds, and where the store before is kept.

    The copy stays as it is. Raises StoreError when it is no sound store, or when another program has the store
    open; then nothing has changed.
    """
    if not copy.is_file():
        raise StoreError(f"{copy}: there is no such file to restore from; nothing was changed.")
    if store.exists() and copy.samefile(store):
        raise StoreError(f"{copy} is the store itself; choose a backup of it. Nothing was changed.")
    with told_as(store):
        store.parent.mkdir(parents=True, exist_ok=True)
    with _copied(copy, store, timeout_s) as (fresh, trials), told_as(store):
        kept = _put_aside(store, timeout_s) if store.exists() else None
        os.replace(fresh, store)
        sync_folder(store.parent)
    return trials, kept


@contextmanager
def _copied(source: Path, target: Path, timeout_s: float) -> Iterator[tuple[Path, int]]:
    """A sound copy of a store beside a target, and how many trials it holds; thrown away if it is still there."""
    fresh = target.with_name(f".{target.name}.new")
    try:
        with told_as(source):
            refuse_foreign(source, timeout_s)
        with told_as(target):
            fresh.unlink(missing_ok=True)
            fresh.touch()
        with told_as(target), closing(sqlite3.connect(fresh, isolation_level=None)) as copy:
            with told_as(source), closing(_reading(source, timeout_s)) as original:
                _copy(original, copy, target)
            copy.execute("PRAGMA journal_mode = DELETE")
            with told_as(source):
                trials, broken = _looked_through(copy, source)
        if broken:
            raise StoreError(f"{source} is damaged ({'; '.join(broken)[:200]}); nothing was changed.")
        with told_as(target), fresh.open("rb+") as file:
            os.fsync(file.fileno())
        yield fresh, trials
    finally:
        for place in (fresh, *(fresh.with_name(fresh.name + end) for end in BESIDE)):
            with suppress(OSError):
                place.unlink(missing_ok=True)


def _reading(source: Path, timeout_s: float) -> sqlite3.Connection:
    return sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True, timeout=timeout_s)


def _copy(original: sqlite3.Connection, copy: sqlite3.Connection, target: Path) -> None:
    try:
        original.backup(copy)
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorname", "").startswith(("SQLITE_FULL", "SQLITE_READONLY")):
            with told_as(target):  # what can't be written is the copy
                raise
        raise


def _looked_through(copy: sqlite3.Connection, source: Path) -> tuple[int, tuple[str, ...]]:
    """How many trials a copy holds, and what is broken in it."""
    if copy.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise StoreError(f"{source} is not a keyfarer store; nothing was changed. Choose another file.")
    broken = faults_of(copy) or unread(copy)
    return (0, broken) if broken else (int(copy.execute("SELECT count(*) FROM trials").fetchone()[0]), ())


def _put_aside(store: Path, timeout_s: float) -> Path:
    """Keep a store under another name beside its own; where it is sound it is one whole file then."""
    try:
        with closing(sqlite3.connect(store, timeout=timeout_s, isolation_level=None)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")  # refused while another program has it open
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        if getattr(error, "sqlite_errorname", "").startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            raise StoreError(
                f"{store} is open in another program, perhaps keyfarer in another window; nothing was changed. "
                "Close it, then restore again."
            ) from None
    names = (store.with_name(f"{store.stem}-before-restore-{n}{store.suffix}") for n in count(1))
    kept = next(name for name in names if not name.exists())
    for end in BESIDE:  # only of a damaged store: what belongs to it goes with it
        beside = store.with_name(store.name + end)
        if beside.exists():
            os.replace(beside, kept.with_name(kept.name + end))
    try:
        os.link(store, kept)
    except OSError:  # no second name for a file on this disk
        os.replace(store, kept)
    return kept
