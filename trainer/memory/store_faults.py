"""What can be wrong with the store, told to the player together with what to do."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.errors import KeyfarerError

if TYPE_CHECKING:
    from trainer.memory.derive import Rows


class StoreError(KeyfarerError):
    """The store can't be read or written; what was logged before is still there."""


MENDS: tuple[tuple[str, str], ...] = (
    ("NOTADB", "is not a keyfarer store; nothing was changed. Choose another file, or move this one away."),
    (
        "CORRUPT",
        "is damaged; copy it first, then `keyfarer memory restore` the last backup, or move it away to begin anew.",
    ),
    (
        "READONLY",
        "can't be written; nothing was changed. Allow writing to it and its folder, or choose another.",
    ),
    ("PERM", "may not be opened; allow reading and writing it, or choose another file."),
    ("CANTOPEN", "can't be opened; see that its folder exists and can be written, or choose another file."),
    ("BUSY", "is locked by another program that is writing; try again when that one is done."),
    ("LOCKED", "is locked by another program that is writing; try again when that one is done."),
    ("FULL", "can't grow, the disk is full; all that was stored before is kept. Make room, then try again."),
    ("IOERR", "can't be read or written, the disk reports an error; see to the disk, then try again."),
    ("CONSTRAINT_TRIGGER", "keeps its log of trials as it is; nothing was changed."),
)
"""How SQLite's name of a fault begins, without SQLITE_, and the rest of the sentence; the first counts."""


@contextmanager
def told_as(path: Path) -> Iterator[None]:
    """Turn what the database and the system report into StoreError."""
    try:
        yield
    except KeyfarerError:
        raise
    except OSError as error:
        raise StoreError(
            f"{path} can't be used as a store ({error.strerror or error}); see that its folder exists "
            "and can be written, or choose another file."
        ) from error
    except Exception as error:
        name = getattr(error, "sqlite_errorname", None)
        if name is None:
            raise
        rest = next((mend for start, mend in MENDS if str(name).startswith("SQLITE_" + start)), None)
        raise StoreError(f"{path} {rest}" if rest else f"{path}: {error} ({name}).") from error


GUARDED = ("trials", "corrections", "this_store", "imported")
"""Tables of the log: no row of them may change or go."""


def faults_of(rows: "Rows") -> tuple[str, ...]:
    """What the database finds broken in a store, and guards of the log that are gone; ten at most."""
    found = [str(row[0]) for row in rows.execute("PRAGMA integrity_check(10)")]
    broken = [] if found == ["ok"] else found
    for table, _, parent, _ in rows.execute("PRAGMA foreign_key_check").fetchall()[:10]:
        broken.append(f"a row of {table} belongs to none of {parent}")
    count = "SELECT tbl_name, count(*) FROM sqlite_master WHERE type = ? GROUP BY 1"
    tables, guards = (dict(rows.execute(count, (kind,)).fetchall()) for kind in ("table", "trigger"))
    unguarded = [table for table in GUARDED if table in tables and guards.get(table) != 3]
    broken += [f"the log's table {table} is not guarded against changes" for table in unguarded]
    return tuple(broken[:10])
