"""A question: what is asked, where it is answered, and the helps."""

from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Input

from trainer.drills.question import HELPS, Question
from trainer.practice.session import Asking
from trainer.practice.words import name_of
from trainer.screens.actions import DRILL, bindings_on
from trainer.screens.base import Page, text


class AnswerInput(Input):
    """The answer's line: the space bar repeats while it is empty, a digit picks where rows are offered."""

    async def _on_key(self, event: events.Key) -> None:
        page = self.screen
        if isinstance(page, DrillPage) and not self.value:
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


def parted(question: Question) -> tuple[str, str]:
    """The prompt without its row of blanks, and the row: each chord with its number, a dot for what is not asked."""
    words = question.prompt.split()
    kept = len(words)
    while kept and set(words[kept - 1]) <= {"_", "·"}:
        kept -= 1
    if kept == len(words):
        return question.prompt, ""
    slots = [f"{n}: _" if n - 1 in question.blanks else f"{n}: ·" for n in range(1, len(question.chords) + 1)]
    return " ".join(words[:kept]), "   ".join(slots)


class DrillPage(Page):
    """One question."""

    NAME = DRILL
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(DRILL)

    DEFAULT_CSS = """
    DrillPage #prompt { text-style: bold; }
    DrillPage #blanks { padding: 1 0 0 2; }
    DrillPage #choices { padding: 1 0 0 2; }
    DrillPage #answer { margin: 1 0; border: round $secondary; background: $surface; max-width: 60; }
    DrillPage #answer:focus { border: round $primary; }
    DrillPage #helps { color: $secondary; }
    DrillPage #refused { color: $warning; }
    DrillPage #sound { color: $secondary; }
    """

    def __init__(self, asking: Asking) -> None:
        super().__init__()
        self.asking = asking

    def body(self) -> list[Widget]:
        """Prompt, rows on offer, answer, helps, remarks."""
        return [
            text("prompt"),
            text("blanks"),
            text("choices"),
            AnswerInput(id="answer", placeholder="your answer"),
            text("refused"),
            text("helps"),
            text("sound"),
        ]

    def on_mount(self) -> None:
        """Show the question and wait for the answer; nothing blinks."""
        self.query_one("#answer", AnswerInput).cursor_blink = False
        self.show(self.asking)
        self.query_one("#answer").focus()

    def asks(self, asking: Asking) -> bool:
        """Whether this is the same question still."""
        return asking.number == self.asking.number

    def show(self, asking: Asking) -> None:
        """Show where the question stands."""
        self.asking = asking
        question = asking.question
        self.headline(f"Question {asking.number} of {asking.of}")
        prompt, blanks = parted(question)
        self.say("prompt", prompt)
        self.say("blanks", blanks)
        self.query_one("#blanks").display = bool(blanks)
        rows = question.choices or ()
        self.say("choices", "\n".join(f"{n}  {'  '.join(row)}" for n, row in enumerate(rows, 1)))
        self.query_one("#choices").display = bool(rows)
        self.say("refused", "")
        self.say("helps", f"Helps so far: {', '.join(asking.helps)}" if asking.helps else "")
        remark = self.keyfarer.doors.sounding.remark
        self.say("sound", f"Sound: {remark}" if remark else "")

    def refused(self, words: str) -> None:
        """Tell why an answer could not be read; the question still waits."""
        self.say("refused", words)

    def picks(self, character: str) -> bool:
        """Answer with a digit where rows are offered; whether it was one."""
        rows = self.asking.question.choices or ()
        if character.isdigit() and 1 <= int(character) <= len(rows):
            self.answer(character)
            return True
        return False

    def answer(self, typed: str) -> None:
        """Give an answer, or do what a word says."""
        session = self.keyfarer.session
        if session is None:
            return
        word = typed.strip().lower()
        if word in HELPS:
            self.help(word)
        elif word == "skip":
            self.action_skip()
        elif word == "stop":
            self.action_stop()
        elif word == "compare":
            self.refused("After the answer: Space plays it as it was, M as you answered it.")
        elif word == "help":
            self.action_help()
        elif word == "slip":
            slipped = session.slip() if session.told else None
            told = "Nothing has been answered yet." if slipped is None else (
                f"Question {slipped.number} counts as a slip: {name_of(slipped.item.unit)}."
            )
            self.refused(told)
        elif word:
            self.keyfarer.move(lambda: session.answer(typed))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the answer's line."""
        self.answer(event.value)
        event.input.value = ""

    def help(self, word: str) -> None:
        """Hear it in another way."""
        session = self.keyfarer.session
        if session is not None:
            self.keyfarer.move(lambda: session.hear(word))

    def action_again(self) -> None:
        """Hear it once more."""
        self.help("again")

    def action_slower(self) -> None:
        """Hear it slower."""
        self.help("slower")

    def action_bass(self) -> None:
        """Hear the bass alone."""
        self.help("bass")

    def action_guide(self) -> None:
        """Hear the guide tones alone."""
        self.help("guide")

    def action_arpeggio(self) -> None:
        """Hear the chords note by note."""
        self.help("arpeggio")

    def action_key(self) -> None:
        """Hear the key first."""
        self.help("key")

    def action_skip(self) -> None:
        """Pass the question over."""
        session = self.keyfarer.session
        if session is not None:
            self.keyfarer.move(session.skip)

    def action_stop(self) -> None:
        """End here."""
        session = self.keyfarer.session
        if session is not None:
            self.keyfarer.move(session.stop)
