"""The line that an answer is typed on."""

from typing import ClassVar, Protocol, runtime_checkable

from textual import events

from trainer.screens.widgets.typed_line import TypedLine


@runtime_checkable
class Answered(Protocol):
    """A screen that has a line for an answer."""

    def action_again(self) -> None:
        """Hear it once more."""

    def picks(self, character: str) -> bool:
        """Whether a key alone is an answer here; if so it is given."""


class AnswerLine(TypedLine):
    """The space bar repeats while nothing is typed; a digit picks where rows are offered."""

    DEFAULT_CSS = """
    AnswerLine, AnswerLine:focus { max-width: 60; }
    """
    LONGEST: ClassVar[int] = 400

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id, max_length=self.LONGEST, select_on_focus=False)
        self.cursor_blink = False

    async def _on_key(self, event: events.Key) -> None:
        page = self.screen
        if isinstance(page, Answered) and not self.value.strip():
            if event.key == "space":
                event.stop()
                event.prevent_default()
                page.action_again()
                return
            if event.character and page.picks(event.character):
                event.stop()
                event.prevent_default()
                return
        await super()._on_key(event)
