"""Help: what the keys and the words do on the screen it was called from."""

from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.screens.actions import DRILL, HELP, SCREENS, actions_on, bindings_on
from trainer.screens.base import Page, text

WORDS = (
    ("Type the degrees of the blanks in order: 2 5 1, or ii V I, or ii7 V7 Imaj7; a flat goes before "
    "its number: b2. ? leaves one out. Where rows are offered, a digit picks one. Case and spaces say nothing."),
    "Whether a key breaks in: no, or yes with the chord's number and how far, as yes 3 up a half step.",
    ("Every key above can be typed as a word as well: again, slower, bass, guide, arpeggio, key, skip, "
    "stop; slip says that the answer before was a slip of the finger."),
)


class HelpPage(Page):
    """Help for one screen."""

    NAME = HELP
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(HELP)

    def __init__(self, about: str) -> None:
        super().__init__()
        self.about = about

    def body(self) -> list[Widget]:
        """The keys, and for a question the words."""
        lines = [f"{action.shown:<8} {action.about}" for action in actions_on(self.about)]
        parts: list[Widget] = [text("keys-told", "\n".join(lines))]
        if self.about == DRILL:
            parts += [text(f"words-{n}", f"\n{told}") for n, told in enumerate(WORDS)]
        parts.append(
            text("hearing", "\nSound too loud or too soft? Today, then L. Take breaks; your ears are your instrument.")
        )
        return parts

    def on_mount(self) -> None:
        """Say what this is the help of."""
        self.headline(f"Help: {SCREENS[self.about]}")
