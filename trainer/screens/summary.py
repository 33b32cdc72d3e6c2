"""What a session came to."""

from datetime import date
from typing import ClassVar

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from trainer.errors import KeyfarerError
from trainer.practice.session import Done
from trainer.practice.summary import TIRED, Summary, summary
from trainer.practice.words import due_word, tomorrow_lines, went_lines
from trainer.screens.actions import SUMMARY, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.widgets.journey import journey
from trainer.screens.widgets.ledger import Column, Ledger


class SummaryPage(Page):
    """The end of a session."""

    NAME = SUMMARY
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(SUMMARY)

    DEFAULT_CSS = """
    SummaryPage #came-to { margin: 1 0 0 0; }
    SummaryPage #types { margin: 1 0 0 0; }
    SummaryPage #went { margin: 1 0 0 0; }
    SummaryPage #tired { margin: 1 0 0 0; color: $secondary; }
    SummaryPage #kept { margin: 1 0 0 0; }
    """

    class Summed(Message):
        """The answers are summed up."""

        def __init__(self, result: Summary | None, error: str = "") -> None:
            super().__init__()
            self.result = result
            self.error = error

    def __init__(self, done: Done) -> None:
        super().__init__()
        self.done = done

    def body(self) -> list[Widget]:
        """Why it ended, what was heard, when each type comes back."""
        return [
            text("ended", f"{self.done.why.capitalize()}.", classes="quiet"),
            text("came-to", classes="strong"),
            Ledger((Column(wraps=True), Column("$secondary"), Column("$quiet")), id="types"),
            text("went"),
            text("tired"),
            text("kept", classes="quiet"),
        ]

    def begin(self) -> None:
        """Sum up."""
        for id in ("went", "tired", "kept"):
            self.say(id, "")
        session = self.keyfarer.session
        told = [] if session is None else session.told
        self.headline("What it came to", journey(told, 0, 0))
        self.sum_up()

    @work(thread=True, exclusive=True, group="summary")
    def sum_up(self) -> None:
        """Sum up beside the event loop."""
        session = self.keyfarer.session
        told, before = ([], None) if session is None else (session.told, session.known_before)
        doors = self.keyfarer.doors
        try:
            self.post_message(self.Summed(summary(told, doors.store, doors.day(), before)))
        except KeyfarerError as error:
            self.post_message(self.Summed(None, str(error)))

    def on_summary_page_summed(self, message: Summed) -> None:
        """Show it."""
        result = message.result
        if result is None:
            self.say("came-to", message.error)
            return
        if not result.asked:
            self.say("came-to", "Nothing was answered, nothing is counted.")
            return
        self.say("came-to", f"{result.right} of {result.asked} right, {round(100 * result.credit)} of 100 heard.")
        self.query_one(Ledger).put(type_rows(result, self.keyfarer.doors.day()))
        self.say("went", "\n".join([*went_lines(result), *tomorrow_lines(result)]))
        self.say("tired", TIRED if result.tired else "")
        self.say("kept", "Your answers are kept.")

    def action_today(self) -> None:
        """Back to today."""
        self.app.pop_screen()

    def action_progress(self) -> None:
        """See how far each type is."""
        from trainer.screens.progress import ProgressPage

        self.app.push_screen(ProgressPage())

    def action_tunes(self) -> None:
        """See and hear the tunes."""
        from trainer.screens.tunes import TunesPage

        self.app.push_screen(TunesPage())


def type_rows(result: Summary, day: date) -> list[tuple[str, str, str]]:
    """Each type, how many were right, and when it comes back."""
    return [
        (
            unit.name,
            f"{unit.right} of {unit.asked} right",
            "" if unit.due_day is None else f"back {due_word(unit.due_day, day)}",
        )
        for unit in result.units
    ]
