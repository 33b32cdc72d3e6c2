"""Words: what the trade's words mean, looked for by typing, each to be heard."""

from typing import ClassVar, Protocol, runtime_checkable

from textual import events, work
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.harmony.glossary import Term, matching
from trainer.harmony.key import Key
from trainer.practice.session import Asking
from trainer.practice.told_term import term_lines, term_of
from trainer.screens.actions import WORDS, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.widgets.prose import Prose
from trainer.screens.widgets.typed_line import TypedLine

LONGEST_LISTED = 24
"""Letters of a name in the list."""
SOUND = "word"
"""The group of workers that play."""
WAITS = "A question waits for its answer; examples can be heard after it."


@runtime_checkable
class Heard(Protocol):
    """A screen whose word under the cursor can be heard."""

    def action_hear_word(self) -> None:
        """Hear it."""


class SearchLine(TypedLine):
    """What a name has to hold; the space bar plays."""

    DEFAULT_CSS = """
    SearchLine, SearchLine:focus { max-width: 40; }
    """
    LONGEST: ClassVar[int] = 40

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id, max_length=self.LONGEST, placeholder="type to look for a word")
        self.cursor_blink = False

    async def _on_key(self, event: events.Key) -> None:
        page = self.screen
        if event.key == "space" and isinstance(page, Heard):
            event.stop()
            event.prevent_default()
            page.action_hear_word()
            return
        await super()._on_key(event)


class WordsPage(Page):
    """The list, and the word under its cursor."""

    NAME = WORDS
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(WORDS)

    DEFAULT_CSS = """
    WordsPage #column { height: 100%; }
    WordsPage #both { height: 1fr; margin: 1 0 0 0; }
    WordsPage #list, WordsPage #list:focus {
        width: 32%; height: 100%; padding: 0; border: none; background: $background; background-tint: $background 0%;
        scrollbar-size-vertical: 1; scrollbar-color: $secondary; scrollbar-background: $background;
        text-wrap: nowrap; text-overflow: ellipsis;
    }
    WordsPage #list > .option-list--option { padding: 0; color: $foreground; }
    WordsPage #list > .option-list--option-highlighted,
    WordsPage #list:focus > .option-list--option-highlighted {
        background: $panel; color: $foreground; text-style: bold;
    }
    WordsPage #list > .option-list--option-hover { background: $surface; }
    WordsPage #word {
        width: 1fr; height: 100%; padding: 0 0 0 3; scrollbar-size-vertical: 1; scrollbar-color: $secondary;
        scrollbar-background: $background;
    }
    WordsPage #means { margin: 1 0 0 0; }
    WordsPage #played { margin: 1 0 0 0; color: $secondary; }
    """

    class Sounds(Message):
        """An example sounds, or could not."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self, at: str = "", key: Key | None = None) -> None:
        super().__init__()
        self.at = at
        """The unit or the word that the cursor begins at; empty: the first."""
        self.key = key
        """Of the examples; None is C."""
        self.found: tuple[Term, ...] = ()
        self.sounds = False

    def body(self) -> list[Widget]:
        """The line to type on, the list, and beside it the word."""
        options = OptionList(id="list", markup=False)
        options.can_focus = False
        word = VerticalScroll(
            text("name", classes="strong"), text("means"), text("near", classes="gap quiet"), text("played"),
            id="word", can_focus=False,
        )  # fmt: skip
        return [SearchLine(id="search"), Horizontal(options, word, id="both")]

    def begin(self) -> None:
        """All words, the cursor where it was asked to be."""
        self.say("played", "")
        self.look_for("")
        word = term_of(self.at)
        if word is not None:
            self.move_to(self.found.index(word))
        self.query_one(SearchLine).focus()

    @property
    def term(self) -> Term | None:
        """The word under the cursor."""
        at = self.query_one(OptionList).highlighted
        return self.found[at] if at is not None and at < len(self.found) else None

    def look_for(self, name: str) -> None:
        """List the words whose names hold a text."""
        self.found = matching(name)
        options = self.query_one(OptionList)
        options.clear_options()
        options.add_options(Option(listed(term), id=term.id) for term in self.found)
        count = len(self.found)
        self.headline("Words", f"{count} {'word' if count == 1 else 'words'}")
        if count:
            self.move_to(0)
        else:
            self.tell_word()

    def move_to(self, at: int) -> None:
        """Put the cursor on a word."""
        self.query_one(OptionList).highlighted = max(0, min(at, len(self.found) - 1))
        self.tell_word()

    def go(self, by: int) -> None:
        """Move the cursor by some words."""
        at = self.query_one(OptionList).highlighted
        if self.found:
            self.move_to((at or 0) + by)

    def tell_word(self) -> None:
        """Say what the word under the cursor means."""
        term = self.term
        if term is None:
            self.say("name", "No word's name holds that.")
            self.say("means", "")
            self.say("near", "")
            return
        name, means, *more = term_lines(term, self.key, self.naming)
        near = [line for line in more if line.startswith("Near it")]
        self.say("name", name)
        self.say("means", "\n".join([means, *(line for line in more if line not in near)]))
        self.say("near", "\n".join(near))

    def on_input_changed(self, event: Input.Changed) -> None:
        """What is typed is looked for."""
        self.look_for(event.value)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """A word that was clicked on, or come to."""
        self.tell_word()
        self.query_one("#word").scroll_home(animate=False)

    def refused(self, words: str) -> None:
        """Tell what is played, or why nothing is."""
        self.say("played", words)
        self.call_after_refresh(self.query_one("#played", Prose).scroll_visible, animate=False)

    def action_hear_word(self) -> None:
        """Hear the word under the cursor."""
        term, session = self.term, self.keyfarer.session
        if term is None or term.example is None:
            self.refused("Nothing sounds of this word.")
        elif session is not None and isinstance(session.state, Asking):
            self.refused(WAITS)
        elif self.keyfarer.doors.settings.level_set:
            self.sound(term)
        else:
            from trainer.screens.level import LevelPage

            self.app.push_screen(LevelPage())

    @work(thread=True, exclusive=True, group=SOUND)
    def sound(self, term: Term) -> None:
        """Perform and begin to play, beside the event loop."""
        from trainer.drills.term_sound import term_sound

        sounding = self.keyfarer.doors.sounding
        try:
            sounding.play(term_sound(term, self.key))
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(self.Sounds(" ".join(str(error).split())))
            return
        remark = f" Sound: {sounding.remark}" if sounding.remark else ""
        self.post_message(self.Sounds(f"You hear it: {term.name}.{remark}"))

    def on_words_page_sounds(self, message: Sounds) -> None:
        """Say what sounds."""
        self.sounds = True
        self.refused(message.words)

    def action_word_on(self) -> None:
        """A word on."""
        self.go(1)

    def action_word_back(self) -> None:
        """A word back."""
        self.go(-1)

    def action_words_on(self) -> None:
        """Some words on."""
        self.go(max(1, self.query_one(OptionList).size.height - 1))

    def action_words_back(self) -> None:
        """Some words back."""
        self.go(-max(1, self.query_one(OptionList).size.height - 1))

    def action_back(self) -> None:
        """Back to where one came from; what sounds falls silent."""
        if self.sounds:
            self.keyfarer.doors.sounding.stop()
        self.app.pop_screen()


def listed(term: Term) -> str:
    """A word in the list: its name, or its id where that is much longer."""
    return term.name if len(term.name) <= LONGEST_LISTED else term.id
