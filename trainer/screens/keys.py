"""Keys: everything that can be done with the key that does it, and another key for each."""

from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import DataTable

from trainer.screens.actions import ACTIONS, KEYS, SCREENS, Action, bindings_on, shown_key
from trainer.screens.base import Page, text
from trainer.screens.own_keys import FIXED, KeysError
from trainer.screens.widgets.key_catcher import KeyCatcher
from trainer.screens.widgets.pointed_table import PointedTable
from trainer.screens.widgets.table import PADDING, shortened

ABOUT = "Each line is something that can be done. {change_key} gives it another key, {usual_key} its usual one."
CANCEL = "escape"
"""The key that leaves everything as it is."""
KEY_CELLS, WHERE_CELLS = 8, 16


class KeysPage(Page):
    """The list of keys."""

    NAME = KEYS
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(KEYS)

    DEFAULT_CSS = """
    KeysPage #column { height: 100%; }
    KeysPage #asked { color: $primary; text-style: bold; }
    KeysPage #said { color: $secondary; }
    """

    def body(self) -> list[Widget]:
        """What to do, and the list."""
        table = PointedTable(id="table", cursor_type="row", cell_padding=0)
        return [text("about", classes="quiet"), table]

    def beneath(self) -> list[Widget]:
        """Where the new key is asked for, and what came of it."""
        return [KeyCatcher("", id="asked"), text("said")]

    def begin(self) -> None:
        """List everything."""
        self.say("about", self.keyed(ABOUT))
        self.say("asked", "")
        self.say("said", "")
        self.query_one(DataTable).focus()
        self.lay_out()

    def on_resize(self) -> None:
        """Give the words the room there is."""
        self.call_after_refresh(self.lay_out)

    def lay_out(self) -> None:
        """Set the list for the width."""
        table = self.query_one(DataTable)
        at = table.cursor_row
        table.clear(columns=True)
        about = max(16, min(self.size.width, 96) - 5 - KEY_CELLS - WHERE_CELLS - 3 * PADDING)
        for name, width in (("key", KEY_CELLS), ("what it does", about), ("where", WHERE_CELLS)):
            table.add_column(name, width=width + PADDING)
        for action in self.keyfarer.actions:
            table.add_row(
                action.shown, shortened(self.keyed(action.about), about), shortened(where(action), WHERE_CELLS)
            )
        table.move_cursor(row=at)

    @property
    def action(self) -> Action:
        """What stands under the cursor."""
        return self.keyfarer.actions[self.query_one(DataTable).cursor_row]

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        """Enter, or a click, on a line."""
        self.action_change_key()

    def action_change_key(self) -> None:
        """Ask for a key."""
        action = self.action
        if action.id in FIXED:
            self.say("said", f"{action.shown} stays: it is the way out from anywhere.")
            return
        self.say("said", "")
        self.say("asked", f"Press the new key for: {self.keyed(action.about)} Esc leaves it at {action.shown}.")
        self.query_one(KeyCatcher).focus()

    def on_key_catcher_caught(self, message: KeyCatcher.Caught) -> None:
        """Take the key, or say why not."""
        self.say("asked", "")
        self.query_one(DataTable).focus()
        if message.key != CANCEL:
            self.take(self.action, message.key)

    def action_usual_key(self) -> None:
        """The key of the registry."""
        action = self.action
        self.take(action, next(one.key for one in ACTIONS if one.id == action.id))

    def take(self, action: Action, key: str) -> None:
        """Give an action a key, and keep that."""
        try:
            self.keyfarer.change_keys({**self.keyfarer.doors.keys, action.id: key})
        except KeysError as error:
            self.say("said", str(error))
            return
        self.say("about", self.keyed(ABOUT))
        self.say("said", f"{shown_key(key)}: {action.word}. It is kept.")
        self.lay_out()


def where(action: Action) -> str:
    """The screens of an action in a few words."""
    if len(action.screens) == len(SCREENS):
        return "everywhere"
    first = SCREENS[action.screens[0]].lower()
    more = len(action.screens) - 1
    return first if not more else f"{first}, {more} more"
