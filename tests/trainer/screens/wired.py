"""The program on a pseudo-terminal of its own: what it writes, byte for byte."""

import fcntl
import os
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

CONTROL = re.compile(rb"\x1b(?:\[[0-9;?<>=]*[ -/]*[@-~]|\][^\x07\x1b]*(?:\x07|\x1b\\)|[=>78c])")
"""Control sequences and operating system commands (ECMA-48, 5.4 and 8.3.89)."""
COLORED = re.compile(rb"\x1b\[([0-9;:]*)m")
"""Select graphic rendition (ECMA-48, 8.3.117)."""


class Wired:
    """A running program and what it wrote so far."""

    def __init__(self, process: "subprocess.Popen[bytes]", fd: int) -> None:
        self.process = process
        self.fd = fd
        self.wrote = b""

    def read(self, seconds: float) -> bool:
        """Take what comes within some time; False once the program is gone."""
        if not select.select([self.fd], [], [], seconds)[0]:
            return True
        try:
            piece = os.read(self.fd, 1 << 16)
        except OSError:  # Linux tells the end so
            return False
        self.wrote += piece
        return bool(piece)

    def shows(self, words: str, since: int = 0, timeout_s: float = 40.0) -> None:
        """Wait until some words were written, in one piece, from a place on."""
        until = time.monotonic() + timeout_s
        while words.encode() not in CONTROL.sub(b"", self.wrote[since:]):
            assert time.monotonic() < until, f"{words!r} never came:\n{CONTROL.sub(b'', self.wrote[-3000:])!r}"
            if not self.read(0.2):
                assert words.encode() in CONTROL.sub(b"", self.wrote[since:]), self.wrote[-3000:]

    def press(self, keys: bytes, words: str) -> None:
        """Press keys and wait for words that come by them."""
        since = len(self.wrote)
        os.write(self.fd, keys)
        self.shows(words, since)

    def resize(self, width: int, height: int) -> None:
        """Make the terminal another size."""
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))

    def ends(self, timeout_s: float = 20.0) -> int:
        """Wait for the end; returns the exit code."""
        until = time.monotonic() + timeout_s
        while self.read(0.2):
            assert time.monotonic() < until, "it goes on"
        return self.process.wait(5)

    def hang_up(self) -> None:
        """Let the terminal be gone."""
        os.close(self.fd)
        self.fd = -1

    def graphics(self) -> set[str]:
        """Every parameter of what was set for graphics: weights and colors."""
        return {number for found in COLORED.findall(self.wrote) for number in re.split(r"[;:]", found.decode())}


@contextmanager
def wired(
    folder: Path,
    words: tuple[str, ...],
    environ: Mapping[str, str],
    width: int = 80,
    height: int = 24,
    python: bool = False,
) -> Iterator[Wired]:
    """Run the program with a home in a folder, its level set, until the block is left.

    environ: takes the place of what tells locale and terminal here. python: the words are for Python itself.
    """
    home = folder / "home"
    home.mkdir(exist_ok=True)
    if not (home / "settings.toml").exists():
        (home / "settings.toml").write_text("minutes = 5\nlevel_set = true\n", encoding="utf-8")
    told = ("LANG", "LC_ALL", "LC_CTYPE", "TERM", "COLORTERM", "NO_COLOR", "COLUMNS", "LINES")
    kept = {name: value for name, value in os.environ.items() if name not in told}
    fd, other = os.openpty()
    fcntl.ioctl(fd, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))
    process = subprocess.Popen(
        (sys.executable, *(() if python else ("-m", "trainer")), *words),
        stdin=other,
        stdout=other,
        stderr=other,
        env={**kept, "KEYFARER_HOME": str(home), **environ},
        start_new_session=True,
    )
    os.close(other)
    running = Wired(process, fd)
    try:
        yield running
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGKILL)
        process.wait(10)
        if running.fd >= 0:
            os.close(fd)
