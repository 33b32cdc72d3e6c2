"""Help: what the keys, the signs and the words do on the screen it was called from."""

from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.screens.actions import DRILL, HELP, LEVEL, PROGRESS, SCREENS, SUMMARY, TOLD, actions_on, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.views.in_order import VIEWS
from trainer.screens.widgets.journey import SIGNS
from trainer.screens.widgets.ledger import Column, Ledger

DEGREES_TOLD = (
    "Type the degrees of the blanks in order: `2 5 1`, or `ii V I`, or `ii7 V7 Imaj7`; a flat goes before "
    "its number: `b2`. `?` leaves one out. Where rows are offered, a digit picks one. Case and spaces say "
    "nothing."
)
BREAKS_TOLD = "Whether a key breaks in: `no`, or `yes` with the chord's number and how far, as `yes 3 up a half step`."
NAMES_TOLD = (
    "A cadence goes by what players call it, `minor 2 5 1` or `backdoor`; a goal by its degree and mode, `4 major`; "
    "a voice by the degrees it sings, `1 7 7`."
)
WORDS_TOLD = (
    "Words do what keys do: `again`, `slower`, `bass`, `guide`, `arpeggio`, `key`, `skip`, `stop`, `help`; "
    "`what backdoor` opens the words at one of them; "
    "`slip` says that the answer before was a slip of the finger; `louder` and `softer` turn the sound."
)
WORDS = (DEGREES_TOLD, BREAKS_TOLD, NAMES_TOLD, WORDS_TOLD)
TOO_LOUD = "Too loud or too soft? {level} on the first screen sets the level."
BREAKS = "Take breaks; your ears are your instrument."


class HelpPage(Page):
    """Help for one screen."""

    NAME = HELP
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(HELP)

    def __init__(self, about: str) -> None:
        super().__init__()
        self.about = about

    def body(self) -> list[Widget]:
        """The keys, then for a question the words, for the progress its signs, then those of a session."""
        parts: list[Widget] = [Ledger((Column("bold $primary"), Column(wraps=True)), id="keys-told")]
        if self.about == DRILL:
            parts += [text(f"words-{n}", classes="gap") for n in range(len(WORDS))]
        if self.about == PROGRESS:
            parts += [text(f"view-{view.name}", classes="gap quiet") for view in VIEWS]
        if self.about in (DRILL, TOLD, SUMMARY):
            parts.append(text("signs", classes="gap quiet"))
        hearing = BREAKS if self.about == LEVEL else self.keyed(f"{TOO_LOUD} {BREAKS}")
        return [*parts, text("hearing", hearing, classes="gap quiet")]

    def begin(self) -> None:
        """Say what this is the help of."""
        self.headline(f"Help: {SCREENS[self.about].lower()}")
        here = actions_on(self.about, self.keyfarer.actions)
        self.query_one(Ledger).put([(action.shown, self.keyed(action.about)) for action in here])
        if self.about == DRILL:
            for n, words in enumerate(WORDS):
                self.say(f"words-{n}", words)
        if self.about == PROGRESS:
            for view in VIEWS:
                self.say(f"view-{view.name}", f"{view.name.capitalize()}: {view.legend[:1].lower()}{view.legend[1:]}")
        if self.about in (DRILL, TOLD, SUMMARY):
            told = ", ".join(f"{sign} {meaning}" for sign, meaning in SIGNS)
            self.say("signs", f"At the top, a sign for each question: {told}.")

    def action_own_keys(self) -> None:
        """Choose other keys."""
        from trainer.screens.keys import KeysPage

        self.app.push_screen(KeysPage())
