"""Files that are whole or as they were, whatever breaks in, and one program at a time over a folder."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

LOCK = ".lock"
"""The file that is locked while a folder is changed; it holds nothing and stays."""


def put_whole(path: Path, data: bytes) -> None:
    """Write a file beside its name, bring it to the disk, and let it take its name. Raises OSError."""
    beside = path.with_name(f".{os.urandom(8).hex()}.new")
    try:
        with beside.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(beside, path)
    finally:
        beside.unlink(missing_ok=True)
    _settle(path.parent)


def _settle(folder: Path) -> None:
    """Bring the names in a folder to the disk, where the system can do that for a folder."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Make a folder where there is none, and wait until no other program changes it. Raises OSError.

    The system gives the lock back when a program ends, however it ends.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / LOCK).open("ab") as stream:
        _take(stream.fileno())
        try:
            yield
        finally:
            _give_back(stream.fileno())


if sys.platform == "win32":  # pragma: no cover - the other system's way is tested there
    import msvcrt

    def _take(descriptor: int) -> None:
        os.lseek(descriptor, 0, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_LOCK, 1)

    def _give_back(descriptor: int) -> None:
        os.lseek(descriptor, 0, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _take(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX)

    def _give_back(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_UN)
