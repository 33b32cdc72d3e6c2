"""Progress: what a player sees over time, in views to go through from left to right, a row of each marked."""

from collections.abc import Sequence
from typing import ClassVar

from textual import work
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from trainer.errors import KeyfarerError
from trainer.practice.over_time import heard_in_keys, seen_on
from trainer.screens.actions import PROGRESS, bindings_on
from trainer.screens.base import TALL, Page, text
from trainer.screens.views.in_order import VIEWS
from trainer.screens.views.view import Shown, View
from trainer.screens.views.weeks import LAST_WEEKS
from trainer.screens.widgets.key_line import KeyLine
from trainer.screens.widgets.listing import CURSOR, Listing

LOW = 20
"""Rows below which what the signs are stands in the help alone."""
NOTHING_YET = "Nothing has been practised yet. {back}, then {begin} begins."


class ProgressPage(Page):
    """The views."""

    NAME = PROGRESS
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(PROGRESS)
    VERTICAL_BREAKPOINTS = [(0, "-low"), (LOW, "-short"), (TALL, "-tall")]

    DEFAULT_CSS = """
    ProgressPage #head, ProgressPage #column, ProgressPage #keys, ProgressPage #beneath > Prose { max-width: 156; }
    ProgressPage #column { height: 100%; }
    ProgressPage.-low #column { padding: 1 2 0 2; }
    ProgressPage.-low #legend { height: 0; }
    ProgressPage.-low Listing { margin: 0; }
    """

    class Read(Message):
        """What there is to see; None where it can't be read."""

        def __init__(self, shown: Shown | None, error: str = "") -> None:
            super().__init__()
            self.shown = shown
            self.error = error

    def __init__(self) -> None:
        super().__init__()
        self.seen: Shown | None = None
        """None before it was read, and where there is nothing."""
        self.at = 0
        """Which view."""
        self.unit = ""
        """The type that was marked last, which the next view marks too."""

    @property
    def view(self) -> View:
        """The view on top."""
        return VIEWS[self.at]

    def body(self) -> list[Widget]:
        """What it comes to, what the signs are, the rows."""
        return [text("sum", classes="strong"), text("legend", classes="quiet"), Listing(id="rows")]

    def beneath(self) -> list[Widget]:
        """All that there is to say of the marked row."""
        return [text("about")]

    def begin(self) -> None:
        """Read what there is."""
        self.query_one(KeyLine).rest("whole", "view_on", "view_back")
        self.read()

    @work(thread=True, exclusive=True, group="progress")
    def read(self) -> None:
        """Read beside the event loop."""
        doors = self.keyfarer.doors
        try:
            doors.store.refresh()
            seen = seen_on(doors.store, doors.day(), LAST_WEEKS)
            keys = heard_in_keys(doors.store, (row.unit for row in seen.rows))
        except KeyfarerError as error:
            self.post_message(self.Read(None, str(error)))
        else:
            self.post_message(self.Read(Shown(seen, keys, self.naming)))

    def on_progress_page_read(self, message: Read) -> None:
        """Show the first view."""
        if message.shown is None or not message.shown.seen.rows:
            self.say("sum", message.error or self.keyed(NOTHING_YET))
            return
        self.seen = message.shown
        self.show()

    def show(self) -> None:
        """Show the view on top."""
        shown, view = self.seen, self.view
        if shown is None:
            return
        self.headline("Progress")
        self.query_one("#place", Static).update(line_of_views(self.at))
        self.say("sum", view.sum(shown))
        listing, units = self.query_one(Listing), view.units(shown)
        listing.put(lambda width: view.table(shown, width))
        self.say("legend", view.legend if listing.rows else "")
        self.query_one(KeyLine).rest(*[] if units else ["whole"])
        listing.mark(units.index(self.unit) if self.unit in units and a_row_each(units) else 0)

    def on_listing_marked(self) -> None:
        """Say all that there is to say of the row."""
        shown, listing = self.seen, self.query_one(Listing)
        if shown is None:
            return
        units = self.view.units(shown)
        if units and a_row_each(units):
            self.unit = units[listing.cursor]
        self.say("about", self.view.about(shown, listing.cursor) if listing.rows else "")

    def on_listing_taken(self) -> None:
        """A click on the marked row."""
        self.action_whole()

    def go(self, by: int) -> None:
        """Go some views on, round from the last to the first."""
        self.at = (self.at + by) % len(VIEWS)
        self.show()

    def action_view_on(self) -> None:
        """The next view."""
        self.go(1)

    def action_view_back(self) -> None:
        """The view before."""
        self.go(-1)

    def action_whole(self) -> None:
        """All about the marked type."""
        units = () if self.seen is None else self.view.units(self.seen)
        if units:
            from trainer.screens.type import TypePage

            self.app.push_screen(TypePage(units[self.query_one(Listing).cursor]))

    def action_line_down(self) -> None:
        """A row down."""
        self.down(1)

    def action_line_up(self) -> None:
        """A row up."""
        self.down(-1)

    def action_further(self) -> None:
        """As many rows down as are in sight."""
        self.down(self.query_one(Listing).in_sight())

    def action_higher(self) -> None:
        """As many rows up."""
        self.down(-self.query_one(Listing).in_sight())

    def down(self, by: int) -> None:
        """Mark another row."""
        listing = self.query_one(Listing)
        if self.seen is not None and listing.rows:
            listing.mark(listing.cursor + by)

    def action_words(self) -> None:
        """See what the marked type is."""
        from trainer.screens.words import WordsPage

        units = () if self.seen is None else self.view.units(self.seen)
        self.app.push_screen(WordsPage(units[self.query_one(Listing).cursor] if units else ""))


def a_row_each(units: Sequence[str]) -> bool:
    """Whether each type has one row, so that the one that was marked can be marked in the next view too."""
    return len(set(units)) == len(units)


def line_of_views(at: int) -> Content:
    """The names of the views, a pointer before the one on top."""
    parts: list[tuple[str, str]] = []
    for n, view in enumerate(VIEWS):
        gap = "  " if n else ""
        parts.append((f"{gap}{CURSOR}{view.name}", "bold $foreground") if n == at else (f"{gap} {view.name}", ""))
    return Content.assemble(*parts)
