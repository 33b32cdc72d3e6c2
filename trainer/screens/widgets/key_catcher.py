"""Waits for one key, whatever it is, and tells which it was."""

from textual import events
from textual.message import Message

from trainer.screens.widgets.prose import Prose


class KeyCatcher(Prose, can_focus=True):
    """While it has the focus, the next key goes nowhere else; Ctrl-C alone leaves as ever."""

    class Caught(Message):
        """A key was pressed."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key
            """As Textual names it."""

    def on_key(self, event: events.Key) -> None:
        """Take the key."""
        event.stop()
        event.prevent_default()
        self.post_message(self.Caught(event.key))
