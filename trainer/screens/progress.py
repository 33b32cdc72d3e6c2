"""Progress: every type that was met, with what is due and how sure it is."""

from datetime import date
from typing import ClassVar

from textual import events, work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import DataTable

from trainer.errors import KeyfarerError
from trainer.memory.progress import UnitProgress, progress
from trainer.practice.words import due_word, name_of
from trainer.screens.actions import PROGRESS, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.widgets.pointed_table import PointedTable
from trainer.screens.widgets.table import PADDING, WIDEST, shortened

COLUMNS = (("type", 0), ("stands", 13), ("next", 11), ("chance", 10), ("rung", 4))
"""Names and widths; the first has what is left."""
LEAST, MOST = 16, 54
"""Cells of a type's name."""
BAR = 5
"""Signs that a chance is drawn with."""


class ProgressPage(Page):
    """The table of types."""

    NAME = PROGRESS
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(PROGRESS)

    DEFAULT_CSS = """
    ProgressPage #column { height: 100%; }
    """

    class Read(Message):
        """The rows are there."""

        def __init__(self, rows: tuple[UnitProgress, ...], error: str = "") -> None:
            super().__init__()
            self.rows = rows
            self.error = error

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[UnitProgress, ...] = ()

    def body(self) -> list[Widget]:
        """What was met, what a chance is, the table."""
        table = PointedTable(id="table", cursor_type="row", cell_padding=0)
        return [text("sum", classes="strong"), text("chance", classes="quiet"), table]

    def begin(self) -> None:
        """Read the rows."""
        self.say("chance", "")
        self.query_one(DataTable).display = False
        self.read()

    @work(thread=True, exclusive=True, group="progress")
    def read(self) -> None:
        """Read beside the event loop."""
        doors = self.keyfarer.doors
        try:
            doors.store.refresh()
            self.post_message(self.Read(progress(doors.store, doors.day())))
        except KeyfarerError as error:
            self.post_message(self.Read((), str(error)))

    def on_progress_page_read(self, message: Read) -> None:
        """Fill the table."""
        self.rows = tuple(row for row in message.rows if row.trials)
        if not self.rows:
            self.say("sum", message.error or "Nothing has been practised yet. Esc, then Enter begins.")
            return
        day = self.keyfarer.doors.day()
        due = sum(row.due_day is not None and row.due_day <= day for row in self.rows)
        types = "type" if len(self.rows) == 1 else "types"
        self.say("sum", f"{len(self.rows)} {types} met, {due} due today.")
        self.say("chance", "Chance: of hearing it today, on the rung where it stands now.")
        table = self.query_one(DataTable)
        table.display = True
        table.focus()
        self.lay_out()

    def on_resize(self, event: events.Resize) -> None:
        """Give names the room there is."""
        if self.rows:
            self.call_after_refresh(self.lay_out)

    def lay_out(self) -> None:
        """Set the table for the width."""
        table = self.query_one(DataTable)
        at = table.cursor_row
        table.clear(columns=True)
        fixed = sum(width + PADDING for _, width in COLUMNS[1:])
        name = min(MOST, max(LEAST, min(self.size.width, WIDEST) - 5 - PADDING - fixed))
        for title, width in COLUMNS:
            table.add_column(title, width=(width or name) + PADDING)
        day = self.keyfarer.doors.day()
        for row in self.rows:
            table.add_row(*cells(row, day, name))
        table.move_cursor(row=at)


def cells(row: UnitProgress, day: date, name: int) -> tuple[str, ...]:
    """One type's row."""
    return (
        shortened(name_of(row.unit), name),
        str(row.status),
        "" if row.due_day is None else due_word(row.due_day, day),
        f"{chance_bar(row.chance.p)} {row.chance.p:.0%}",
        f"{row.rung}",
    )


def chance_bar(p: float) -> str:
    """A chance as a bar."""
    whole = round(BAR * min(1.0, max(0.0, p)))
    return "━" * whole + "─" * (BAR - whole)
