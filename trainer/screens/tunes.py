"""Tunes: the player's own and the exercise tunes, each with its home, its length and how often the key moves."""

from collections.abc import Sequence
from typing import ClassVar

from textual import events, work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import DataTable

from trainer.drills.material import TuneMaterial
from trainer.errors import KeyfarerError
from trainer.screens.actions import TUNES, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.widgets.pointed_table import PointedTable
from trainer.screens.widgets.table import PADDING, WIDEST, shortened

COLUMNS = (("tune", 0), ("home", 10), ("bars", 5), ("keys", 5), ("whose", 9))
"""Names and widths; the first has what is left."""
LEAST, MOST = 16, 60
"""Cells of a title."""


class TunesPage(Page):
    """The list."""

    NAME = TUNES
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TUNES)

    DEFAULT_CSS = """
    TunesPage #column { height: 100%; }
    """

    class Read(Message):
        """The tunes are there."""

        def __init__(self, tunes: Sequence[TuneMaterial], error: str = "") -> None:
            super().__init__()
            self.tunes = tunes
            self.error = error

    def __init__(self) -> None:
        super().__init__()
        self.tunes: Sequence[TuneMaterial] = ()

    def body(self) -> list[Widget]:
        """How many there are, what the columns say, the list."""
        table = PointedTable(id="table", cursor_type="row", cell_padding=0)
        return [text("sum", classes="strong"), text("about", classes="quiet"), table]

    def begin(self) -> None:
        """Read the tunes."""
        self.say("sum", "Reading the tunes.")
        self.say("about", "")
        self.query_one(DataTable).display = False
        self.read()

    @work(thread=True, exclusive=True, group="tunes")
    def read(self) -> None:
        """Read beside the event loop."""
        try:
            tunes = sorted(self.keyfarer.doors.all_tunes(), key=lambda tune: tune.timeline.title.casefold())
        except KeyfarerError as error:
            self.post_message(self.Read((), str(error)))
        else:
            self.post_message(self.Read(tunes))

    def on_tunes_page_read(self, message: Read) -> None:
        """Fill the list."""
        self.tunes = message.tunes
        if not self.tunes:
            self.say("sum", message.error or "There are no tunes.")
            return
        own = sum(map(self.is_own, self.tunes))
        self.say("sum", f"{len(self.tunes)} tunes, {own} of them yours.")
        told = "Keys: how many key centers follow each other."
        self.say("about", told if own else f"{told} `keyfarer tunes add FILE` keeps charts of yours.")
        table = self.query_one(DataTable)
        table.display = True
        table.focus()
        self.lay_out()

    def is_own(self, tune: TuneMaterial) -> bool:
        """Whether a tune is the player's."""
        return self.keyfarer.doors.own.own(tune.id)

    def on_resize(self, event: events.Resize) -> None:
        """Give titles the room there is."""
        if self.tunes:
            self.call_after_refresh(self.lay_out)

    def lay_out(self) -> None:
        """Set the list for the width."""
        table = self.query_one(DataTable)
        at = table.cursor_row
        table.clear(columns=True)
        fixed = sum(width + PADDING for _, width in COLUMNS[1:])
        title = min(MOST, max(LEAST, min(self.size.width, WIDEST) - 5 - PADDING - fixed))
        for name, width in COLUMNS:
            table.add_column(name, width=(width or title) + PADDING)
        for tune in self.tunes:
            home, route = tune.analysis.home, tune.analysis.route
            table.add_row(
                shortened(tune.timeline.title, title), "" if home is None else home.key.name,
                f"{len(tune.timeline.bars)}", f"{len(route)}", "yours" if self.is_own(tune) else "exercise",
            )  # fmt: skip
        table.move_cursor(row=at)

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        """Enter, or a click, on a row."""
        self.action_open()

    def action_open(self) -> None:
        """Open the tune under the cursor."""
        if self.tunes:
            from trainer.screens.tune import TunePage

            self.app.push_screen(TunePage(self.tunes[self.query_one(DataTable).cursor_row]))
