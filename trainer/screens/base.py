"""What all screens have in common: a head, a body that scrolls, the line of keys, help."""

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from trainer.errors import KeyfarerError
from trainer.practice.listening_level import STEP_DB, level_told
from trainer.screens.actions import SCREENS, Action, actions_on
from trainer.screens.own_keys import keys_told
from trainer.screens.widgets.key_line import KeyLine
from trainer.screens.widgets.prose import Prose

if TYPE_CHECKING:
    from trainer.harmony.note_names import Naming
    from trainer.screens.app import KeyfarerApp

TALL = 32
"""Rows from which there is room for more space between things."""


class Page(Screen[None]):
    """One screen of the app."""

    NAME: ClassVar[str]
    """Its name in the registry of actions."""
    untold = ""
    """What is to be told once this screen stands."""
    laid_out = False
    VERTICAL_BREAKPOINTS = [(0, "-short"), (TALL, "-tall")]

    DEFAULT_CSS = """
    Page { background: $background; color: $foreground; }
    Page #top { height: auto; align-horizontal: center; }
    Page #head { max-width: 96; height: 2; padding: 0 2; border-bottom: solid $panel; }
    Page #title { width: auto; color: $primary; text-style: bold; }
    Page #place { width: 1fr; text-align: right; color: $secondary; }
    Page #body {
        height: 1fr; align-horizontal: center; scrollbar-size-vertical: 1;
        scrollbar-color: $secondary; scrollbar-color-hover: $secondary; scrollbar-color-active: $secondary;
        scrollbar-background: $background; scrollbar-background-hover: $background;
        scrollbar-background-active: $background;
    }
    Page #column { max-width: 96; height: auto; padding: 1 2; }
    Page #beneath {
        height: auto; max-height: 40%; overflow-y: auto; align-horizontal: center; scrollbar-size-vertical: 1;
        background: $surface;
    }
    Page #beneath > Prose { max-width: 96; padding: 0 2; }
    Page #foot { height: auto; background: $surface; align-horizontal: center; }
    Page #keys { max-width: 96; padding: 0 2; }
    Page.-tall #head { margin: 2 0 0 0; }
    Page.-tall #column { padding: 2 2; }
    Page.-tall #foot { padding: 1 0; }
    Page DataTable, Page DataTable:focus {
        height: 1fr; margin: 1 0 0 0; background: $background; background-tint: $background 0%;
        scrollbar-size-vertical: 1; scrollbar-color: $secondary; scrollbar-background: $background;
    }
    Page DataTable > .datatable--header, Page DataTable:focus > .datatable--header,
    Page DataTable > .datatable--header-hover {
        background: $background; background-tint: $background 0%; color: $quiet; text-style: none;
    }
    Page DataTable > .datatable--cursor, Page DataTable:focus > .datatable--cursor {
        background: $panel; color: $foreground; text-style: bold;
    }
    Page DataTable > .datatable--hover { background: $surface; }
    Page .gap { margin: 1 0 0 0; }
    Page .quiet { color: $quiet; }
    Page .strong { text-style: bold; }
    Page .remark { color: $warning; margin: 1 0 0 0; }
    Page:ansi DataTable > .datatable--cursor, Page:ansi DataTable:focus > .datatable--cursor {
        background: ansi_default; color: ansi_default; text-style: bold reverse;
    }
    Page:ansi .screen--selection { background: ansi_default; color: ansi_default; text-style: reverse; }
    """

    @property
    def keyfarer(self) -> "KeyfarerApp":
        """The app, by its own type."""
        return cast("KeyfarerApp", self.app)

    @property
    def naming(self) -> "Naming":
        """How notes, keys and chords are named."""
        return cast("Naming", self.keyfarer.doors.settings.note_names)

    @property
    def actions(self) -> tuple[Action, ...]:
        """What can be done here, each by its key."""
        return actions_on(self.NAME, self.keyfarer.actions)

    def keyed(self, words: str) -> str:
        """Words for the player, with the key of an action in the place of its name in braces."""
        return keys_told(words, self.keyfarer.actions)

    def compose(self) -> ComposeResult:
        """Head, body, keys."""
        with Vertical(id="top"), Horizontal(id="head"):
            yield Static(SCREENS[self.NAME], id="title", markup=False)
            yield Static(id="place", markup=False)
        with VerticalScroll(id="body", can_focus=False), Vertical(id="column"):
            yield from self.body()
        with Vertical(id="beneath"):
            yield from self.beneath()
        with Vertical(id="foot"):
            yield KeyLine(self.actions, id="keys")

    def on_mount(self) -> None:
        """Keep an eye on whether all fits. An app that is being left takes its screens apart, half open ones too."""
        if self.keyfarer.leaving:
            return
        self.watch(self.query_one("#body"), "show_vertical_scrollbar", self.tell_more)
        self.laid_out = True
        self.begin()
        if self.untold:
            self.refused(self.untold)

    def tell(self, words: str) -> None:
        """Tell the player something here, as soon as this screen stands."""
        if self.laid_out:
            self.refused(words)
        else:
            self.untold = words

    def tell_more(self, more: bool) -> None:
        """Show the keys that scroll where there is more to read."""
        if not self.keyfarer.leaving:
            self.query_one(KeyLine).tell_more(more)

    def begin(self) -> None:
        """Fill what `body` has laid out."""

    def body(self) -> list[Widget]:
        """What stands between the head and the keys."""
        return []

    def beneath(self) -> list[Widget]:
        """What stays in sight beneath the body while this scrolls."""
        return []

    def say(self, id: str, words: str, style: str = "") -> None:
        """Set a text of this screen; one without words takes no room."""
        self.query_one(f"#{id}", Prose).put(words, style)

    def headline(self, title: str, place: str = "") -> None:
        """Set the title and what stands across from it."""
        self.query_one("#title", Static).update(title)
        self.query_one("#place", Static).update(place)

    def refused(self, words: str) -> None:
        """Tell why something could not be done."""
        self.notify(words, markup=False)

    def turn(self, by_db: float) -> None:
        """Turn the sound, keep the level, and say where it stands."""
        try:
            level_db = self.keyfarer.doors.turn(by_db)
        except KeyfarerError as error:
            self.refused(str(error))
            return
        self.tell_level(level_told(level_db))

    def tell_level(self, words: str) -> None:
        """Say where the level stands."""
        self.refused(words)

    def action_up(self) -> None:
        """Louder."""
        self.turn(STEP_DB)

    def action_down(self) -> None:
        """Softer."""
        self.turn(-STEP_DB)

    def action_help(self) -> None:
        """Show what the keys do here."""
        from trainer.screens.help import HelpPage

        self.app.push_screen(HelpPage(self.NAME))

    def action_find(self) -> None:
        """Find what can be done here by a word of it."""
        from trainer.screens.finder import finder_over

        self.app.push_screen(finder_over(self))

    def action_words(self) -> None:
        """See what the words mean."""
        from trainer.screens.words import WordsPage

        self.app.push_screen(WordsPage())

    def action_back(self) -> None:
        """Go back to the screen before."""
        self.app.pop_screen()

    def action_leave(self) -> None:
        """Leave the app."""
        self.app.exit(0)

    def action_copy(self) -> None:
        """Copy what is marked, by the terminal (OSC 52)."""
        marked = self.get_selected_text()
        if marked:
            self.app.copy_to_clipboard(marked)
        self.notify("Copied." if marked else "Nothing is marked: drag over it with the mouse first.")

    def action_leave_now(self) -> None:
        """Leave the app at once."""
        self.keyfarer.action_leave_now()

    def action_line_down(self) -> None:
        """A line down."""
        self.query_one("#body").scroll_down(animate=False)

    def action_line_up(self) -> None:
        """A line up."""
        self.query_one("#body").scroll_up(animate=False)

    def action_further(self) -> None:
        """A page down."""
        self.query_one("#body").scroll_page_down(animate=False)

    def action_higher(self) -> None:
        """A page up."""
        self.query_one("#body").scroll_page_up(animate=False)


def text(id: str, words: str = "", classes: str | None = None) -> Prose:
    """A text that wraps."""
    return Prose(words, id=id, classes=classes)
