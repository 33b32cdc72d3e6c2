"""What can be wrong with the store, told to the player together with what to do."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from trainer.errors import KeyfarerError


class StoreError(KeyfarerError):
    """The store can't be read or written; what was logged before is still there."""


MENDS: tuple[tuple[str, str], ...] = (
    ("NOTADB", "is not a keyfarer store; nothing was changed. Choose another file, or move this one away."),
    (
        "CORRUPT",
        "is damaged; copy it first, then bring back the last good copy or move it away to begin anew.",
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
