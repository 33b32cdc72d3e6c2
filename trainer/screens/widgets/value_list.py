"""Settings one below the other: what each is called, its value, and where there is room its meaning.

      Sound
    › tuning note      440 Hz
      room             0.3

A pointer marks the one under the cursor. Where the width allows it, what each means stands behind its value.
"""

from collections.abc import Sequence

from textual.content import Content

from trainer.records import dataclass
from trainer.screens.widgets.drawn import Drawn
from trainer.screens.widgets.table import shortened

CURSOR = "›"
MARGIN = 2
"""Cells for the pointer."""
GAP = 3
VALUE_MOST = 44
"""Cells of a value at most, where what it means stands behind."""
ROOM_FOR_MEANING = 100
"""Cells from which there is room for what each means."""


@dataclass(frozen=True, slots=True)
class ValueRow:
    """One setting as it is shown."""

    name: str
    called: str
    value: str
    about: str = ""
    heading: str = ""
    """Stands above it, where a group begins."""


class ValueList(Drawn):
    """The rows."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.rows: tuple[ValueRow, ...] = ()
        self.cursor = 0
        """Which row is under the cursor, from 0."""

    def put(self, rows: Sequence[ValueRow]) -> None:
        """Show rows; the cursor stays where it is."""
        if tuple(rows) != self.rows:
            self.rows = tuple(rows)
            self.cursor = min(self.cursor, max(len(self.rows) - 1, 0))
            self.refresh(layout=True)

    def move_to(self, row: int) -> None:
        """Put the cursor on a row, or the nearest there is."""
        self.cursor = max(0, min(row, len(self.rows) - 1))
        self.refresh()

    @property
    def current(self) -> ValueRow:
        """The row under the cursor."""
        return self.rows[self.cursor]

    def line_of(self, row: int) -> int:
        """The line that a row stands in, from 0."""
        headed = [n for n, one in enumerate(self.rows[: row + 1]) if one.heading]
        return row + sum(2 if n else 1 for n in headed)

    def lines(self, width: int) -> list[Content]:
        """Headings and rows."""
        called = max((len(row.called) for row in self.rows), default=0)
        meant = width >= ROOM_FOR_MEANING
        values = max((min(VALUE_MOST, len(row.value)) for row in self.rows), default=0)
        room = width - MARGIN - called - GAP
        drawn: list[Content] = []
        for n, row in enumerate(self.rows):
            if row.heading:
                if drawn:
                    drawn.append(Content(""))
                drawn.append(Content.assemble((f"{' ' * MARGIN}{row.heading}", "$secondary")))
            here = n == self.cursor
            value = shortened(row.value, values if meant else room)
            parts = [(f"{CURSOR if here else ' '} {row.called:<{called}}{' ' * GAP}", ""), (value, "$primary")]
            if meant:
                gap = " " * (values - len(value) + GAP)
                parts.append((f"{gap}{shortened(row.about, room - values - GAP)}", "$quiet"))
            if here:
                parts = [(text, f"bold {style or '$foreground'} on $panel") for text, style in parts]
                parts.append((" " * max(0, width - sum(len(text) for text, _ in parts)), "on $panel"))
            drawn.append(Content.assemble(*parts))
        return [line.truncate(width) for line in drawn]
