"""What can be wrong with the store, told to the player together with what to do."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.errors import KeyfarerError
from trainer.memory.logged import TRIAL_COLUMNS, trial_of
from trainer.memory.trial import TrialError

if TYPE_CHECKING:
    from trainer.memory.outcome_rows import Rows


class StoreError(KeyfarerError):
    """The store can't be read or written; what was logged before is still there."""


DAMAGED = "is damaged; copy it first, then `keyfarer memory restore` the last backup, or move it away to begin anew."
REBUILT = "is damaged in what is computed from the answers, which are sound; `keyfarer memory rebuild` mends it."

MENDS: tuple[tuple[str, str], ...] = (
    ("NOTADB", "is not a keyfarer store; nothing was changed. Choose another file, or move this one away."),
    ("CORRUPT", DAMAGED),
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
        if name is None and no_text(error):
            name = "SQLITE_CORRUPT"
        if name is None:
            raise
        if name.startswith("SQLITE_IOERR") and _no_room(path):
            name = "SQLITE_FULL"
        rest = next((mend for start, mend in MENDS if str(name).startswith("SQLITE_" + start)), None)
        raise StoreError(f"{path} {rest}" if rest else f"{path}: {error} ({name}).") from error


def _no_room(path: Path) -> bool:
    """Whether the disk is so full that not even what the database keeps beside the file has room."""
    try:
        return shutil.disk_usage(path.parent).free < LEAST_ROOM
    except OSError:
        return False


def no_text(error: Exception) -> bool:
    """Whether the database handed over what should be text and is none."""
    return isinstance(error, UnicodeDecodeError) or str(error).startswith("Could not decode to UTF-8")


LEAST_ROOM = 65_536
"""Bytes that the database wants beside a file while it is in use."""
NONSENSE = (ValueError, TypeError, LookupError, ArithmeticError, AssertionError, RecursionError)
"""What reading or computing with torn values may raise, and a fault of the program as well."""

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


def unread(rows: "Rows") -> tuple[str, ...]:
    """The first trial of the log that can't be read; empty where all can."""
    last = 0
    try:
        for row in rows.execute(f"SELECT {TRIAL_COLUMNS} FROM trials ORDER BY id"):
            last = trial_of(row).id
    except Exception as error:
        if not (isinstance(error, (*NONSENSE, TrialError)) or no_text(error)):
            raise
        return (f"answer {last + 1} or one after it can't be read",)
    return ()
