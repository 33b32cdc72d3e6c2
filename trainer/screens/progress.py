"""Progress: every type that was met, with what is due and how sure it is."""

from typing import ClassVar

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import DataTable

from trainer.memory.progress import UnitProgress, progress
from trainer.practice.words import due_word, name_of
from trainer.screens.actions import PROGRESS, bindings_on
from trainer.screens.base import Page, text

COLUMNS = (("type", 30), ("stands", 13), ("next", 11), ("chance", 6), ("rung", 4))
"""Names and widths; together they fit 80 columns."""


class ProgressPage(Page):
    """The table of types."""

    NAME = PROGRESS
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(PROGRESS)

    DEFAULT_CSS = """
    Page DataTable { height: auto; background: $background; }
    Page DataTable > .datatable--header { background: $background; color: $primary; text-style: bold; }
    Page DataTable > .datatable--cursor { background: $panel; color: $foreground; }
    """

    class Read(Message):
        """The rows are there."""

        def __init__(self, rows: tuple[UnitProgress, ...]) -> None:
            super().__init__()
            self.rows = rows

    def body(self) -> list[Widget]:
        """A sentence, then the table."""
        table: DataTable[str] = DataTable(id="table", cursor_type="row", zebra_stripes=False)
        return [text("sum"), table]

    def on_mount(self) -> None:
        """Read the rows."""
        table = self.query_one(DataTable)
        for name, width in COLUMNS:
            table.add_column(name, width=width)
        self.read()

    @work(thread=True, exclusive=True, group="progress")
    def read(self) -> None:
        """Read beside the event loop."""
        doors = self.keyfarer.doors
        doors.store.refresh()
        self.post_message(self.Read(progress(doors.store, doors.day())))

    def on_progress_page_read(self, message: Read) -> None:
        """Fill the table."""
        rows = [row for row in message.rows if row.trials]
        if not rows:
            self.say("sum", "Nothing has been practised yet. Esc, then Enter begins.")
            self.query_one(DataTable).display = False
            return
        day = self.keyfarer.doors.day()
        due = sum(row.due_day is not None and row.due_day <= day for row in rows)
        self.say("sum", f"{len(rows)} types met, {due} due today. Chance: of hearing it today on its rung.\n")
        table = self.query_one(DataTable)
        table.focus()
        for row in rows:
            table.add_row(
                shortened(name_of(row.unit), COLUMNS[0][1]),
                str(row.status),
                "" if row.due_day is None else due_word(row.due_day, day),
                f"{row.chance.p:.0%}",
                str(row.rung),
            )


def shortened(text: str, width: int) -> str:
    """A text cut to a width, at a word where it can be."""
    if len(text) <= width:
        return text
    return text[: width - 1].rsplit(" ", 1)[0].rstrip(",") + "…"
