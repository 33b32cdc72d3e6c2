"""How far a long piece of work is, on a terminal: a bar on standard error that comes only when one waits.

Nothing is drawn where standard error is no terminal, or a dumb one, or where the player wants plain lines.
"""

import os
import sys
import time
from collections.abc import Callable
from types import TracebackType
from typing import Any, TextIO

import click

from trainer.errors import KeyfarerError

AFTER_S = 1.0
"""Work that takes no longer needs no bar."""


class Waiting:
    """The bar over a number of things; a context, in which `step` is told of each thing done."""

    def __init__(
        self,
        count: int,
        shown: bool,
        clock: Callable[[], float] = time.monotonic,
        stream: TextIO | None = None,
    ) -> None:
        self.count = count
        self.stream = stream or sys.stderr
        self.shown = shown and self.stream.isatty() and os.environ.get("TERM") != "dumb"
        self.clock = clock
        self.began_s = clock()
        self.done = 0
        self.bar: Any = None
        """click's, once it is drawn."""

    def __enter__(self) -> "Waiting":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.bar is not None:
            self.bar.render_finish()

    def step(self) -> None:
        """One more thing is done."""
        self.done += 1
        if self.bar is not None:
            self.bar.update(1)
        elif self.shown and self.done < self.count and self.clock() - self.began_s >= AFTER_S:
            self.shown = not _plain()
            if self.shown:
                self.draw()

    def draw(self) -> None:
        """Begin to draw, from where the work is now."""
        often = max(1, self.count // 200)
        self.bar = click.progressbar(
            length=self.count, file=self.stream, width=32, show_pos=True, update_min_steps=often
        )
        self.bar.update(self.done)
        self.bar.render_progress()

    def aside(self) -> None:
        """Make room for a line of text; the next steps draw the bar again below it."""
        if self.bar is not None:
            self.stream.write("\r" + " " * (self.bar.max_width or 0) + "\r")
            self.stream.flush()


def _plain() -> bool:
    """Whether the player's settings ask for plain lines."""
    from trainer.commands.player import player_settings

    try:
        return player_settings().plain
    except KeyfarerError:
        return False
