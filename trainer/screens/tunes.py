"""Tunes: the player's own and the exercise tunes, each with its home, its length and how often the key moves.

A line above the list is typed on, to show some of the tunes only or to add charts.
"""

from collections.abc import Mapping, Sequence
from typing import ClassVar

from textual import events, work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import DataTable, Input

from trainer.drills.material import TuneMaterial
from trainer.errors import KeyfarerError
from trainer.harmony.note_names import Naming, key_told
from trainer.memory.unit import Status
from trainer.practice.kept_tunes import id_from
from trainer.records import dataclass
from trainer.screens.actions import TUNES, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.widgets.file_line import FileLine
from trainer.screens.widgets.pointed_table import PointedTable
from trainer.screens.widgets.table import PADDING, WIDEST, shortened
from trainer.screens.widgets.word_line import WordLine

COLUMNS = (("tune", 0), ("home", 8), ("bars", 4), ("keys", 4), ("by ear", 8), ("whose", 5), ("learn", 5))
"""Names and widths; the first has what is left."""
LEAST, MOST = 16, 60
"""Cells of a title."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One tune as it is listed."""

    tune: TuneMaterial
    title: str
    home: str
    bars: int
    keys: int
    """Key centers that follow each other."""
    by_ear: str
    """How many of its cadences are of types that are known by ear."""
    words: str
    """All by which it is found, plain and in one row."""


class TunesPage(Page):
    """The list."""

    NAME = TUNES
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TUNES)

    DEFAULT_CSS = """
    TunesPage #column { height: 100%; }
    TunesPage #added { max-height: 6; overflow-y: auto; }
    """

    class Read(Message):
        """The tunes are there."""

        def __init__(self, tunes: Sequence[Listed], error: str = "") -> None:
            super().__init__()
            self.tunes = tunes
            self.error = error

    class Taken(Message):
        """Charts were added, or not; what is to be told of it, and the tune to go to."""

        def __init__(self, told: str, id: str | None) -> None:
            super().__init__()
            self.told = told
            self.id = id

    class Marked(Message):
        """A tune is one to learn, or no longer."""

        def __init__(self, told: str) -> None:
            super().__init__()
            self.told = told

    def __init__(self) -> None:
        super().__init__()
        self.all: Sequence[Listed] = ()
        self.tunes: Sequence[Listed] = ()
        """Those that are listed."""
        self.go_to: str | None = None
        """The tune that the cursor goes to once the list is read."""

    def body(self) -> list[Widget]:
        """How many there are, what the columns say, where one types, the list."""
        table = PointedTable(id="table", cursor_type="row", cell_padding=0)
        return [
            text("sum", classes="strong"), text("about", classes="quiet"),
            WordLine("words to search for", id="search"), FileLine("a chart's file, or a folder of charts", id="file"),
            table, text("added", classes="quiet"),
        ]  # fmt: skip

    def begin(self) -> None:
        """Read the tunes."""
        self.say("sum", "Reading the tunes.")
        for id in ("about", "added"):
            self.say(id, "")
        for line in self.query(WordLine):
            line.display = False
        self.query_one(DataTable).display = False
        self.read()

    @work(thread=True, exclusive=True, group="tunes")
    def read(self) -> None:
        """Read beside the event loop."""
        try:
            doors = self.keyfarer.doors
            standing = doors.standing()
            rows = [listed(tune, standing, self.naming) for tune in doors.all_tunes()]
        except KeyfarerError as error:
            self.post_message(self.Read((), str(error)))
        else:
            self.post_message(self.Read(sorted(rows, key=lambda one: one.title.casefold())))

    def on_tunes_page_read(self, message: Read) -> None:
        """Fill the list."""
        self.all = message.tunes
        if not self.all:
            self.say("sum", message.error or "There are no tunes.")
            return
        told = "Keys: how many key centers follow each other. By ear: cadences of types that you know."
        mine = any(map(self.is_own, self.all))
        self.say("about", told if mine else self.keyed(f"{told} {{add}} adds charts of yours."))
        self.query_one(DataTable).display = True
        self.query_one(DataTable).focus()
        self.choose()

    def choose(self) -> None:
        """List the tunes that have what is searched for."""
        wanted = id_from(self.query_one("#search", WordLine).value).split("-")
        self.tunes = [tune for tune in self.all if all(word in tune.words for word in wanted)]
        own = sum(map(self.is_own, self.tunes))
        kept = f"{len(self.tunes)} of {len(self.all)}" if len(self.tunes) < len(self.all) else f"{len(self.all)}"
        self.say("sum", f"{kept} tunes, {own} of them yours.")
        table = self.query_one(DataTable)
        ids = [one.tune.id for one in self.tunes]
        at = ids.index(self.go_to) if self.go_to in ids else 0
        self.go_to = None
        self.lay_out()
        table.move_cursor(row=at)

    def action_search(self) -> None:
        """Type what to search for."""
        self.type_on("search")

    def action_add(self) -> None:
        """Type whose chart to add."""
        self.type_on("file")

    def action_learn(self) -> None:
        """Take the tune under the cursor up, or let it rest."""
        if not self.tunes:
            return
        self.go_to = self.tunes[self.query_one(DataTable).cursor_row].tune.id
        self.mark(self.go_to)

    @work(thread=True, exclusive=True, group="add")
    def mark(self, id: str) -> None:
        """Mark a tune beside the event loop."""
        try:
            told = f"{id}: {self.keyfarer.doors.learn(id)}"
        except (KeyfarerError, OSError) as error:
            told = str(error)
        self.post_message(self.Marked(told))

    def on_tunes_page_marked(self, message: Marked) -> None:
        """Say which it is, and show it."""
        self.say("added", message.told)
        self.choose()

    def type_on(self, id: str) -> None:
        """Let one of the lines be typed on."""
        if self.query_one(DataTable).display:
            line = self.query_one(f"#{id}", WordLine)
            line.display = True
            self.set_focus(line)

    def on_word_line_left(self, message: WordLine.Left) -> None:
        """Esc on a line: as it was before."""
        message.line.value = ""
        message.line.display = False
        self.query_one(DataTable).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """The list follows what is typed."""
        if event.input.id == "search" and self.all:
            self.choose()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter on a line: to the list, or take the charts in."""
        if event.input.id == "search":
            event.input.display = bool(event.value.strip())
            self.query_one(DataTable).focus()
        elif event.value.strip():
            self.say("added", "Reading it.")
            self.take(event.value)

    @work(thread=True, exclusive=True, group="add")
    def take(self, file: str) -> None:
        """Take charts in beside the event loop."""
        try:
            added = self.keyfarer.doors.add_tunes(file)
        except (KeyfarerError, OSError) as error:
            self.post_message(self.Taken(str(error), None))
        else:
            told = "\n".join([*added.faults, *added.told])
            self.post_message(self.Taken(told or "There is no chart in it.", added.ids[0] if added.ids else None))

    def on_tunes_page_taken(self, message: Taken) -> None:
        """Say what came of it, and go to the tune."""
        self.say("added", message.told)
        if message.id is not None:
            self.go_to = message.id
            line = self.query_one("#file", WordLine)
            line.value = ""
            line.display = False
            self.read()

    def is_own(self, one: Listed) -> bool:
        """Whether a tune is the player's."""
        return self.keyfarer.doors.own.own(one.tune.id)

    def on_resize(self, event: events.Resize) -> None:
        """Give titles the room there is."""
        if self.all:
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
        for one in self.tunes:
            whose = "yours" if self.is_own(one) else ""
            learn = "yes" if one.tune.id in self.keyfarer.doors.own.index.learning else ""
            table.add_row(shortened(one.title, title), one.home, f"{one.bars}", f"{one.keys}", one.by_ear, whose, learn)
        table.move_cursor(row=at)

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        """Enter, or a click, on a row."""
        self.action_open()

    def action_open(self) -> None:
        """Open the tune under the cursor."""
        if self.tunes:
            from trainer.screens.tune import TunePage

            self.app.push_screen(TunePage(self.tunes[self.query_one(DataTable).cursor_row].tune))


def listed(tune: TuneMaterial, standing: Mapping[str, Status], naming: Naming) -> Listed:
    """A tune's row, beside how the player stands; reads the tune where it wasn't read yet."""
    home = tune.analysis.home
    key = "" if home is None else key_told(home.key, naming)
    cadences = [cadence.type for cadence in tune.analysis.cadences]
    known = sum(standing.get(one) is Status.KNOWN for one in cadences)
    words = " ".join(map(id_from, (tune.id, tune.timeline.title, key, *set(cadences))))
    by_ear = f"{known} of {len(cadences)}" if cadences else ""
    return Listed(tune, tune.timeline.title, key, len(tune.timeline.bars), len(tune.analysis.route), by_ear, words)
