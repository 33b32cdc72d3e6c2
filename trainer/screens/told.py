"""After the answer: what was right, what it was and why, and both to be heard."""

from collections.abc import Callable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.drills.mark import told as told_lines
from trainer.practice.session import Told
from trainer.screens.actions import TOLD, bindings_on
from trainer.screens.base import Page, text


def verdict(told: Told) -> str:
    """The mark in a few words; colors only repeat them."""
    if told.slip:
        return "A slip: it does not count."
    if told.answer is None:
        return "Passed over."
    if told.mark.exact:
        return "Right." if not told.mark.helps else f"Right, with help ({', '.join(told.mark.helps)})."
    share = round(100 * told.mark.credit)
    return f"Partly: {share} of 100 heard." if share else "Not heard yet."


def row_lines(told: Told) -> list[str]:
    """What was said, what it was and what was played, chord under chord; answers of another kind part by part."""
    question = told.question
    if question.broken is not None:
        parts = zip(question.fields, question.accepted[0], strict=False)
        return [f"{field}: {right}" for field, right in parts] + [
            "Played   " + "  ".join(chord.text for chord in question.chords)
        ]
    said = dict(zip(question.blanks, (part.heard for part in told.mark.parts), strict=False))
    was = dict(zip(question.blanks, question.accepted[0], strict=False))
    rows: list[tuple[str, list[str]]] = [("It was", []), ("Played", [])]
    if told.answer is not None and not told.mark.exact:
        rows.insert(0, ("You said", []))
    for index, chord in enumerate(question.chords):
        cells = {
            "You said": said.get(index, "·"),
            "It was": was.get(index, question.numerals[index]),
            "Played": chord.text,
        }
        width = max(len(cells[name]) for name, _ in rows) + 2
        for name, row in rows:
            row.append(cells[name].ljust(width))
    return [f"{name:<11}{''.join(row).rstrip()}" for name, row in rows]


class ToldPage(Page):
    """The answer to one question."""

    NAME = TOLD
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TOLD)

    DEFAULT_CSS = """
    ToldPage #verdict { text-style: bold; }
    ToldPage .right { color: $success; }
    ToldPage .other { color: $warning; }
    ToldPage #row { padding: 1 2; }
    ToldPage #parts { padding: 0 0 1 0; }
    ToldPage #why { color: $foreground; }
    """

    def __init__(self, told: Told) -> None:
        super().__init__()
        self.told = told

    def body(self) -> list[Widget]:
        """Verdict, row, parts, reasons."""
        return [text("verdict"), text("row"), text("parts"), text("why"), text("sounding")]

    def on_mount(self) -> None:
        """Show the answer."""
        self.show(self.told)

    def show(self, told: Told) -> None:
        """Show an answer."""
        self.told = told
        question = told.question
        self.headline(f"Question {told.number} of {told.of}")
        self.say("verdict", verdict(told))
        mark = self.query_one("#verdict")
        mark.set_class(told.mark.exact, "right")
        mark.set_class(not told.mark.exact, "other")
        self.say("row", "\n".join(row_lines(told)))
        lines = told_lines(told.mark) if told.answer is not None else ()
        self.say("parts", "\n".join(lines))
        self.query_one("#parts").display = bool(lines)
        self.say("why", question.explanation)

    def action_go_on(self) -> None:
        """The next question."""
        session = self.keyfarer.session
        if session is not None:
            self.keyfarer.move(session.go_on)

    def action_hear_right(self) -> None:
        """Hear the question."""
        session = self.keyfarer.session
        if session is not None:
            self.hear(session.hear_right)

    def action_hear_mine(self) -> None:
        """Hear what was answered."""
        session = self.keyfarer.session
        if session is not None:
            self.hear(session.hear_mine)

    def hear(self, play: Callable[[], None]) -> None:
        """Play beside the event loop and stay here."""

        def step() -> Told:
            play()
            return self.told

        self.keyfarer.move(step)

    def action_slip(self) -> None:
        """Take the answer back as a slip."""
        session = self.keyfarer.session
        if session is not None:
            self.keyfarer.move(session.slip)

    def action_stop(self) -> None:
        """End here."""
        session = self.keyfarer.session
        if session is not None:
            self.keyfarer.move(session.stop)
