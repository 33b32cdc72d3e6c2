"""A table to go through line by line: a pointer marks a row, the heads stay, and what doesn't fit is told.

    type                        chance  rung
    › two–five–one in major        74%     6
      plagal                       72%     5
    1 to 2 of 8
"""

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.screens.widgets.sheet import Sheet, set_out

CURSOR = "›"
"""Stands before the row that is marked."""
MARGIN = 2
"""Cells before a row."""
HEADS = 1
"""Lines of heads, with a line for what doesn't fit beneath where there is such."""


class Listing(Sheet):
    """The table, the row that is marked, and the part of it that is in sight."""

    DEFAULT_CSS = """
    Listing { height: 1fr; min-height: 4; margin: 1 0 0 0; }
    """

    class Marked(Message):
        """Another row is marked."""

    class Taken(Message):
        """The marked row was clicked once more."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.cursor = 0
        """Which row is marked, from 0."""
        self.top = 0
        """The first row in sight."""

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return len(self.make(self._room()).rows)

    def mark(self, row: int) -> None:
        """Mark a row, or the nearest there is, and bring it into sight."""
        self.cursor = max(0, min(row, self.rows - 1))
        self.refresh()
        self.post_message(self.Marked())

    def in_sight(self) -> int:
        """How many rows are in sight."""
        room = max(1, (self.size.height or 24) - HEADS)
        return room if self.rows <= room else max(1, room - 1)

    def lines(self, width: int) -> list[Content]:
        """Heads and all rows."""
        head, rows = set_out(self.make(max(1, width - MARGIN)), max(1, width - MARGIN))
        if not rows:
            return []
        marked = [
            Content.assemble((f"{CURSOR} ", "bold $primary"), row.stylize("bold")) if n == self.cursor else
            Content.assemble("  ", row) for n, row in enumerate(rows)
        ]  # fmt: skip
        return [Content.assemble("  ", head), *marked]

    def render(self) -> Content:
        """Heads and the rows in sight, the marked one among them."""
        head, *rows = self.lines(self.content_size.width) or [Content("")]
        count = self.in_sight()
        self.top = max(0, min(self.top, self.cursor, len(rows) - count), self.cursor - count + 1)
        shown = [head, *rows[self.top : self.top + count]]
        if len(rows) > count:
            told = f"{' ' * MARGIN}{self.top + 1} to {self.top + count} of {len(rows)}"
            shown.append(Content.assemble((told, "$quiet")))
        return Content("\n").join(shown)

    def _room(self) -> int:
        return max(1, (self.content_size.width or 74) - MARGIN)

    def on_click(self, event: events.Click) -> None:
        """A click marks a row; on the marked row it takes it."""
        row = self.top + event.y - HEADS
        if not (HEADS <= event.y <= self.in_sight() and row < self.rows):
            return
        if row == self.cursor:
            self.post_message(self.Taken())
        else:
            self.mark(row)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel goes on."""
        self.mark(self.cursor + 1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel goes back."""
        self.mark(self.cursor - 1)
