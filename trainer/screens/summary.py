"""What a session came to."""

from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.practice.session import Done
from trainer.practice.summary import summary
from trainer.practice.words import summary_lines
from trainer.screens.actions import SUMMARY, bindings_on
from trainer.screens.base import Page, text


class SummaryPage(Page):
    """The end of a session."""

    NAME = SUMMARY
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(SUMMARY)

    def __init__(self, done: Done) -> None:
        super().__init__()
        self.done = done

    def body(self) -> list[Widget]:
        """Why it ended, what was heard, when each type comes back."""
        session = self.keyfarer.session
        doors = self.keyfarer.doors
        told = session.told if session is not None else []
        lines = summary_lines(summary(told, doors.store), doors.day())
        return [text("done", f"{self.done.why.capitalize()}."), text("summary", "\n".join(lines))]

    def action_today(self) -> None:
        """Back to today."""
        self.app.pop_screen()

    def action_progress(self) -> None:
        """See how far each type is."""
        from trainer.screens.progress import ProgressPage

        self.app.push_screen(ProgressPage())
