"""The whole memory as a file of JSON lines (`memory/logged.py` tells its form), written and read line by line."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, BinaryIO

from trainer.memory.logged import LineError, Logged, head_line, read_head, read_line, write_line
from trainer.memory.trial import TrialError

if TYPE_CHECKING:
    from trainer.memory.store import Store

LONGEST = 16_000_000
"""Bytes of a line that are looked at."""


def write_log(store: "Store", file: BinaryIO) -> int:
    """Write every trial with its identity and slips, in the log's order; returns how many."""
    store.refresh()
    ids, slips = store.places(), store.slips()
    file.write(f"{head_line(store.id, len(ids), len(slips))}\n".encode())
    for one in store.logged(ids):
        file.write(f"{write_line(one)}\n".encode())
    return len(ids)


def read_log(file: BinaryIO, tell: Callable[[int, str], None]) -> Iterator[Logged]:
    """The trials of a file, one after the other.

    tell: is given the number (from 1) of each line that can't be read, and why; 0 stands for the file as a whole.
    Raises LineError for a file of another kind.
    """
    lines = _lines(file)
    _, first = next(lines, (1, b""))
    if first is None:
        raise LineError(f"its first line is longer than {LONGEST} bytes")
    promised, found = read_head(_text(first).removeprefix("\ufeff")), 0
    for number, line in lines:
        found += 1
        try:
            if line is None:
                raise LineError(f"it is longer than {LONGEST} bytes")
            yield read_line(_text(line))
        except (LineError, TrialError) as error:
            tell(number, str(error))
    if found < promised:
        tell(0, f"it promises {promised} answers and holds {found}; it may be cut short")


def _lines(file: BinaryIO) -> Iterator[tuple[int, bytes | None]]:
    """Lines with their numbers, empty ones left out; None for one that is too long."""
    number = 0
    while line := file.readline(LONGEST):
        number += 1
        whole = line.endswith(b"\n") or len(line) < LONGEST
        while not whole:
            rest = file.readline(LONGEST)
            whole = rest.endswith(b"\n") or len(rest) < LONGEST
            line = b""
        if not line:
            yield number, None
        elif stripped := line.strip():
            yield number, stripped


def _text(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        raise LineError("it is no UTF-8 text") from None
