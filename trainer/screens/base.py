"""What all screens have in common: a title, a body that scrolls, the line of keys, help."""

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from trainer.screens.actions import SCREENS, actions_on, key_line

if TYPE_CHECKING:
    from trainer.screens.app import KeyfarerApp


class Page(Screen[None]):
    """One screen of the app."""

    NAME: ClassVar[str]
    """Its name in the registry of actions."""

    DEFAULT_CSS = """
    Page { background: $background; color: $foreground; align: center top; }
    Page #title { color: $primary; text-style: bold; padding: 1 2 0 2; max-width: 96; width: 100%; }
    Page #body { padding: 1 2; max-width: 96; width: 100%; height: 1fr; scrollbar-size-vertical: 1; }
    Page #keys { dock: bottom; background: $surface; color: $foreground; padding: 0 2; height: auto; width: 100%; }
    Page Static { width: 100%; height: auto; }
    """

    @property
    def keyfarer(self) -> "KeyfarerApp":
        """The app, by its own type."""
        return cast("KeyfarerApp", self.app)

    def compose(self) -> ComposeResult:
        """Title, body, keys."""
        yield Static(SCREENS[self.NAME], id="title", markup=False)
        with VerticalScroll(id="body", can_focus=False):
            yield from self.body()
        yield Static(key_line(actions_on(self.NAME)), id="keys", markup=False)

    def body(self) -> list[Widget]:
        """What stands between the title and the keys."""
        return []

    def say(self, id: str, text: str) -> None:
        """Set a text of this screen."""
        self.query_one(f"#{id}", Static).update(text)

    def headline(self, text: str) -> None:
        """Set the title."""
        self.query_one("#title", Static).update(text)

    def action_help(self) -> None:
        """Show what the keys do here."""
        from trainer.screens.help import HelpPage

        self.app.push_screen(HelpPage(self.NAME))

    def action_back(self) -> None:
        """Go back to the screen before."""
        self.app.pop_screen()

    def action_leave(self) -> None:
        """Leave the app."""
        self.app.exit(0)


def text(id: str, content: str = "", classes: str | None = None) -> Static:
    """A text without markup."""
    return Static(content, id=id, classes=classes, markup=False)
