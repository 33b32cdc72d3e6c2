"""Opening the file of a store: whose it is, its pragmas, its migrations; the connection that comes of it.

Migrations are numbered files, each applied in one transaction together with the version it reaches. A store that a
newer keyfarer wrote, and a database that isn't ours, are refused and left as they are.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from trainer.memory.store_faults import StoreError, told_as

APPLICATION_ID = 0x6B657966
"""Marks the file as ours in the SQLite header ("keyf")."""
LOG_PAGES = 8000
"""Pages in the write-ahead log from which an answer has to wait for them to be moved; `refresh` does it before."""


def connected(path: Path, timeout_s: float) -> sqlite3.Connection:
    """Open a store, or make it; bring an older one up to date.

    timeout_s: how long to wait for another program that is writing. Raises StoreError.
    """
    if path.is_dir():
        raise StoreError(f"{path} is a folder; name a file in it.")
    with told_as(path):
        made = _made_folder(path)
        refuse_foreign(path, timeout_s)
        connection = sqlite3.connect(path, timeout=timeout_s, isolation_level=None, check_same_thread=False)
        try:
            _prepare(connection)
            _migrate(connection)
        except BaseException:
            connection.close()
            raise
        for folder in made:
            sync_folder(folder)
    return connection


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """One transaction: kept when left, undone when an error leaves it."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _made_folder(path: Path) -> list[Path]:
    """Make the folders that are missing; returns all whose entries must be made durable."""
    missing = [folder for folder in (path.parent, *path.parent.parents) if not folder.exists()]
    path.parent.mkdir(parents=True, exist_ok=True)
    new_file = not path.exists() or path.stat().st_size == 0
    return [path.parent, *(folder.parent for folder in missing)] if new_file or missing else []


def sync_folder(folder: Path) -> None:
    """Make a folder's entries durable."""
    if os.name == "nt":  # Windows has no such call; its file system logs folder entries itself.
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def refuse_foreign(path: Path, timeout_s: float) -> None:
    """Refuse what is not ours to write, through a connection that cannot write."""
    if not path.exists() or (path.is_file() and path.stat().st_size == 0):
        return
    address = f"{path.absolute().as_uri()}?mode=ro"
    connection = sqlite3.connect(address, uri=True, timeout=timeout_s, isolation_level=None)
    try:
        connection.execute("BEGIN")  # all as of one moment: another program may be making the store
        version = _number(connection, "PRAGMA user_version")
        ours = _number(connection, "PRAGMA application_id") == APPLICATION_ID
        tables = _number(connection, "SELECT count(*) FROM sqlite_master")
    finally:
        connection.close()
    if tables and not ours:
        raise StoreError(f"{path} is a database of another program; nothing was changed. Choose another.")
    if version > newest_version():
        raise StoreError(
            f"{path} was written by a newer keyfarer (its version {version}, this one knows "
            f"{newest_version()}); nothing was changed. Update keyfarer, or choose another file."
        )


def _prepare(connection: sqlite3.Connection) -> None:
    try:
        mode = connection.execute("PRAGMA journal_mode = WAL").fetchone()[0]
    except sqlite3.OperationalError:
        # Another program makes the store right now; unlike this pragma, a transaction waits its turn.
        with transaction(connection):
            pass
        mode = connection.execute("PRAGMA journal_mode = WAL").fetchone()[0]
    # Where the file system can't share memory there is no write-ahead log; EXTRA is as durable without it.
    connection.execute(f"PRAGMA synchronous = {'FULL' if mode == 'wal' else 'EXTRA'}")
    connection.execute("PRAGMA fullfsync = ON")
    connection.execute("PRAGMA checkpoint_fullfsync = ON")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute(f"PRAGMA wal_autocheckpoint = {LOG_PAGES}")
    connection.execute("PRAGMA journal_size_limit = 4194304")


MIGRATIONS = Path(__file__).parent / "migrations"
"""A file each, its number first; beside this module in a wheel as well."""


def _migration_names() -> list[str]:
    return sorted(name for name in os.listdir(MIGRATIONS) if name.endswith(".sql"))


def migrations() -> tuple[tuple[int, str], ...]:
    """Number and text of every migration, in order."""
    return tuple((int(name[:4]), (MIGRATIONS / name).read_text(encoding="utf-8")) for name in _migration_names())


def newest_version() -> int:
    """The version this keyfarer writes."""
    return int(_migration_names()[-1][:4])


def _migrate(connection: sqlite3.Connection) -> None:
    if _number(connection, "PRAGMA user_version") == newest_version():
        return
    for number, text in migrations():
        with transaction(connection):
            # Asked inside the transaction: another program may have migrated in the meantime.
            if _number(connection, "PRAGMA user_version") >= number:
                continue
            for statement in _statements(text):
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {number}")


def _statements(text: str) -> Iterator[str]:
    statement = ""
    for line in text.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
    if statement.strip():
        yield statement


def _number(connection: sqlite3.Connection, sql: str) -> int:
    return int(connection.execute(sql).fetchone()[0])
