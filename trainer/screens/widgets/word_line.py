"""A line to type words on, that is left with Esc."""

from textual import events
from textual.message import Message
from textual.suggester import Suggester
from textual.widgets import Input


class WordLine(Input):
    """The line."""

    DEFAULT_CSS = """
    WordLine, WordLine:focus {
        height: 1; max-width: 72; margin: 1 0 0 0; padding: 0 1; background: $panel; background-tint: $panel 0%;
        border: none; border-left: outer $primary;
    }
    WordLine > .input--placeholder, WordLine > .input--suggestion { color: $quiet; }
    WordLine > .input--cursor { background: $foreground; color: $background; text-style: none; }
    WordLine > .input--selection { background: $primary; color: $background; }
    """

    class Left(Message):
        """It was left with Esc."""

        def __init__(self, line: "WordLine") -> None:
            super().__init__()
            self.line = line

    def __init__(self, about: str, id: str, suggester: Suggester | None = None) -> None:
        super().__init__(placeholder=about, id=id, max_length=1000, select_on_focus=False, suggester=suggester)
        self.cursor_blink = False

    async def _on_key(self, event: events.Key) -> None:
        if event.key == "escape":
            event.stop()
            event.prevent_default()
            self.post_message(self.Left(self))
            return
        await super()._on_key(event)
