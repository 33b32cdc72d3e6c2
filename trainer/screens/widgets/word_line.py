"""A line to type words on, that is left with Esc."""

from textual import events
from textual.message import Message
from textual.suggester import Suggester

from trainer.screens.widgets.typed_line import TypedLine


class WordLine(TypedLine):
    """The line."""

    DEFAULT_CSS = """
    WordLine { margin: 1 0 0 0; }
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
