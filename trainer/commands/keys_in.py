"""Keys and words as they come in while a tune sounds: from a terminal by the key, from a pipe by the line.

A terminal gives keys without showing them, and is as it was when that ends, however it ends: at the end of the
tune, by a fault, by a signal. Ctrl-C and Ctrl-Z mean what they always do; in the background no key is read.
"""

import os
import queue
import re
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Protocol

from trainer.commands.handles import DOWN, LEFT, RIGHT, SPACE, UP

SUSPEND = "suspend"
"""Not a key: the player wants the shell back for a while; it is done by `suspend`."""

SPLIT_S = 0.05
"""A key that comes as several signs comes whole within this."""

_ARROWS = {"A": UP, "B": DOWN, "C": RIGHT, "D": LEFT}
_SIGN = re.compile(r"\x1b[\[O][0-9;]*[A-Za-z~]|\x1b[\[O]?[0-9;]*$|[\s\S]")
_ENDS = ("SIGTERM", "SIGHUP", "SIGQUIT")
_came: list[int] = []
"""Signals to end that have come: what one raises is lost where Python can't pass it on, as while it frees things."""


def _end_if_wanted() -> None:
    if _came:
        raise SystemExit(128 + _came[-1])


class Controls(Protocol):
    """What a tune is handled by."""

    keyed: bool
    """Keys come, and not words."""
    over: bool
    """Nothing comes any more."""

    def asked(self, timeout_s: float) -> list[str]:
        """What has come, in order; waits no longer than so many seconds for the first, and not at all once over."""

    def suspend(self) -> None:
        """Give the terminal back and stop until the player goes on; called after SUSPEND came."""


class Nothing:
    """No way in."""

    keyed = False
    over = True

    def asked(self, timeout_s: float) -> list[str]:
        """Nothing."""
        _end_if_wanted()
        return []

    def suspend(self) -> None:
        """Nobody asks for it."""


class Lines:
    """Words, a line each, read beside the tune."""

    keyed = False

    def __init__(self, fd: int) -> None:
        self.over = False
        self._fd = fd
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        """Read from the descriptor itself: an end of the program waits for no buffer that is being read into."""
        rest = b""
        while True:
            try:
                data = os.read(self._fd, 4096)
            except OSError:
                data = b""
            *lines, rest = (rest + data).split(b"\n")
            if not data and rest:
                lines.append(rest)
            for line in lines:
                self._lines.put(line.decode("utf-8", "replace").strip())
            if not data:
                self._lines.put(None)
                return

    def asked(self, timeout_s: float) -> list[str]:
        """The lines that have come; empty ones ask for nothing."""
        _end_if_wanted()
        found: list[str] = []
        try:
            while not self.over:
                line = self._lines.get(timeout=0.0 if found else timeout_s)
                if line is None:
                    self.over = True
                elif line:
                    found.append(line)
        except queue.Empty:
            pass
        return found

    def suspend(self) -> None:
        """Nobody asks for it: the shell stops the program by itself."""


def keys_of(text: str) -> tuple[list[str], str]:
    """The keys that a terminal's signs are, and the start of one that has not come whole.

    Arrows have names, letters are small; keys that are no sign, such as F1, are not told.
    """
    keys: list[str] = []
    for sign in _SIGN.findall(text):
        if sign[0] == "\x1b":
            if not (sign[-1].isalpha() or sign[-1] == "~") or sign == "\x1bO":
                return keys, sign
            if len(sign) == 3 and sign[-1] in _ARROWS:
                keys.append(_ARROWS[sign[-1]])
        elif sign == " ":
            keys.append(SPACE)
        elif sign.isprintable():
            keys.append(sign.lower())
    return keys, ""


if sys.platform == "win32":
    import msvcrt

    _SPECIAL = {"H": UP, "P": DOWN, "M": RIGHT, "K": LEFT}

    class Keys:
        """Keys from a console."""

        keyed = True
        over = False

        def asked(self, timeout_s: float) -> list[str]:
            """The keys that have come."""
            _end_if_wanted()
            until = time.monotonic() + timeout_s
            while not msvcrt.kbhit() and time.monotonic() < until:
                time.sleep(0.02)
            found: list[str] = []
            while msvcrt.kbhit():
                sign = msvcrt.getwch()
                if sign in ("\x00", "\xe0"):
                    found += [key for key in [_SPECIAL.get(msvcrt.getwch())] if key]
                else:
                    found += keys_of(sign)[0]
            return found

        def suspend(self) -> None:
            """A console has no such thing."""

    @contextmanager
    def _keys(fd: int) -> Iterator[Controls]:
        yield Keys()

else:
    import select
    import termios
    import tty

    class Keys:
        """Keys from a terminal."""

        keyed = True

        def __init__(self, fd: int) -> None:
            self.over = False
            self._fd = fd
            self._before: list[object] | None = None
            """How the terminal was at first."""
            self._taken = False
            """It gives keys."""
            self._rest = ""
            self._suspending = False

        def asked(self, timeout_s: float) -> list[str]:
            """The keys that have come; none in the background, where the terminal is another program's."""
            _end_if_wanted()
            if not self._in_front():
                self._taken = False
                time.sleep(timeout_s)
            elif not self.over:
                self._take()
                if select.select([self._fd], [], [], timeout_s)[0]:
                    return self._read()
            if self._suspending:
                return [SUSPEND]
            return []

        def _read(self) -> list[str]:
            found: list[str] = []
            while True:
                data = os.read(self._fd, 1024)
                if not data:
                    self.over = True
                    return found
                keys, self._rest = keys_of(self._rest + data.decode("utf-8", "ignore"))
                found += keys
                if not self._rest:
                    return found
                if not select.select([self._fd], [], [], SPLIT_S)[0]:
                    self._rest = ""  # the escape key by itself
                    return found

        def suspend(self) -> None:
            """Give the terminal back and stop."""
            self.give_back()
            self._suspending = False
            ours = signal.signal(signal.SIGTSTP, signal.SIG_DFL)
            os.kill(os.getpid(), signal.SIGTSTP)
            signal.signal(signal.SIGTSTP, ours)

        def wants_suspending(self, number: int, frame: FrameType | None) -> None:
            """Remember it: the sound is to fall silent first."""
            self._suspending = True

        def went_on(self, number: int, frame: FrameType | None) -> None:
            """After a stop the terminal may be another's, or as a shell left it."""
            self._taken = False

        def give_back(self) -> None:
            """Let the terminal be as it was; keys that nobody read are dropped, so that no shell gets them."""
            if self._before is not None and self._in_front():
                termios.tcsetattr(self._fd, termios.TCSAFLUSH, self._before)  # type: ignore[arg-type]
            self._taken = False

        def _take(self) -> None:
            if self._before is None:
                self._before = list(termios.tcgetattr(self._fd))
            if not self._taken:
                tty.setcbreak(self._fd, termios.TCSADRAIN)
                self._taken = True

        def _in_front(self) -> bool:
            try:
                return os.tcgetpgrp(self._fd) == os.getpgrp()
            except OSError:  # the terminal has gone
                self.over = True
                return False

    @contextmanager
    def _keys(fd: int) -> Iterator[Controls]:
        keys = Keys(fd)
        with _handled("SIGTSTP", keys.wants_suspending), _handled("SIGCONT", keys.went_on):
            try:
                yield keys
            finally:
                keys.give_back()


@contextmanager
def controls(plain: bool, in_use: bool = False) -> Iterator[Controls]:
    """What a tune is handled by: a terminal's keys, or lines where there is none, or where plain ones are wanted.

    `in_use`: standard input holds something else; then the terminal that is written to gives the keys.
    """
    with _terminal() if in_use else _standard_input() as fd:
        if fd is None:
            yield Nothing()
        elif os.isatty(fd) and not plain:
            with _ended_in_order(), _keys(fd) as keys:
                yield keys
        else:
            yield Lines(fd)


@contextmanager
def _standard_input() -> Iterator[int | None]:
    try:
        fd: int | None = sys.stdin.fileno()
    except (AttributeError, OSError, ValueError):  # closed, or none at all
        fd = None
    yield fd


@contextmanager
def _terminal() -> Iterator[int | None]:
    """The terminal that the program was called from, where its lines go there and it has such a thing."""
    try:
        fd = os.open("/dev/tty", os.O_RDWR) if sys.stdout.isatty() else None
    except OSError:
        fd = None
    try:
        yield fd
    finally:
        if fd is not None:
            os.close(fd)


@contextmanager
def _ended_in_order() -> Iterator[None]:
    """Let signals that end the program end it by way of all that is to be put back."""

    def end(number: int, frame: FrameType | None) -> None:
        _came.append(number)
        raise SystemExit(128 + number)

    try:
        with _handled(_ENDS[0], end), _handled(_ENDS[1], end), _handled(_ENDS[2], end):
            yield
    finally:
        _came.clear()


@contextmanager
def _handled(name: str, handler: Callable[[int, FrameType | None], None]) -> Iterator[None]:
    """Handle a signal where it does what it does by default, and there is such a signal."""
    number = getattr(signal, name, None)
    if number is None or signal.getsignal(number) is not signal.SIG_DFL:
        yield
        return
    signal.signal(number, handler)
    try:
        yield
    finally:
        signal.signal(number, signal.SIG_DFL)
