"""Bytes to text: a size limit, UTF-8 only, and plain words about whatever a file turns out to be instead."""

from pathlib import Path
from typing import IO

from trainer.errors import Fault, TextError

MAX_CHART_BYTES = 1024 * 1024
"""No chart comes near this; more is another kind of file."""


def read_text_file(path: Path) -> str:
    """Read a file of UTF-8 text, never more of it than the limit. Raises TextError."""
    return decoded(read_bytes_file(path, MAX_CHART_BYTES), str(path))


def read_bytes_file(path: Path, most: int) -> bytes:
    """Read a file, at most one byte more than a limit. Raises TextError."""
    name = str(path)
    try:
        if path.is_dir():
            raise TextError(name, (Fault(0, 0, "a folder", "a chart file"),))
        with path.open("rb") as stream:
            return stream.read(most + 1)
    except FileNotFoundError:
        raise TextError(name, (Fault(0, 0, "no such file", "the path of a chart"),)) from None
    except PermissionError:
        raise TextError(name, (Fault(0, 0, "a file you may not read", "leave to read it"),)) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise TextError(name, (Fault(0, 0, f"a file that can't be read ({reason})", "a readable chart"),)) from None


def read_text(stream: IO[bytes], name: str) -> str:
    """Read a stream of UTF-8 text, never more of it than the limit. Raises TextError."""
    return decoded(stream.read(MAX_CHART_BYTES + 1), name)


def decoded(data: bytes, name: str) -> str:
    """Turn bytes into text; a byte order mark is accepted. Raises TextError."""
    if len(data) > MAX_CHART_BYTES:
        raise TextError(name, (too_large(),))
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise TextError(name, (Fault(0, 0, "UTF-16 text", "UTF-8: save it again with that encoding"),))
    if b"\0" in data:
        line, column = _place(data, data.index(b"\0"))
        raise TextError(name, (Fault(line, column, "a zero byte, as in a binary file", "plain text in UTF-8"),))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # Counted in the data themselves: the decoder counts from behind a byte order mark.
        start = error.start + (3 if data.startswith(b"\xef\xbb\xbf") and error.object is not data else 0)
        line, column = _place(data, start)
        found = f"the byte 0x{data[start]:02X}, which is not UTF-8"
        raise TextError(name, (Fault(line, column, found, "plain text in UTF-8"),)) from None


def too_large() -> Fault:
    """The fault of a text beyond the size limit."""
    return Fault(0, 0, f"more than {MAX_CHART_BYTES // 1024} KiB", "a chart, which is far smaller")


def _place(data: bytes, at: int) -> tuple[int, int]:
    """Line and column, from 1, of a byte; what stands before it is valid UTF-8."""
    before = data[:at].decode("utf-8-sig", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
    return before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1
