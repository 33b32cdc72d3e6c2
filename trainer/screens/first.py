"""The first minute: the chord of rest, then a two–five–one, each answered by one digit; nothing is counted."""

from functools import partial
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.practice.first_steps import FirstStep, first_steps
from trainer.screens.actions import FIRST, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.listening import TICK_S, sounding_now, times_of
from trainer.screens.widgets.chord_row import Chord, ChordRow, Line

GO_ON = "{first_on} goes on."
THAT_IS_ALL = "That is all there is to it. {first_on} begins the questions."


class FirstPage(Page):
    """The two steps."""

    NAME = FIRST
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(FIRST)

    DEFAULT_CSS = """
    FirstPage ChordRow { margin: 1 0 0 0; }
    FirstPage #said { margin: 1 0 0 0; text-style: bold; color: $primary; }
    FirstPage #on { margin: 1 0 0 0; }
    FirstPage #sound { color: $quiet; margin: 1 0 0 0; }
    """

    class Played(Message):
        """A step sounds, or could not; what is to be known about the sound."""

        def __init__(self, remark: str) -> None:
            super().__init__()
            self.remark = remark

    def __init__(self) -> None:
        super().__init__()
        self.steps: tuple[FirstStep, ...] = ()
        self.at = 0
        self.heard = False
        """The right one was found."""

    @property
    def step(self) -> FirstStep:
        """The one that stands."""
        return self.steps[self.at]

    def body(self) -> list[Widget]:
        """What is asked, the row, what came of the answer, how it goes on, what is to be known of the sound."""
        return [text("prompt", classes="strong"), ChordRow(id="row"), text("said"), text("on"), text("sound")]

    def begin(self) -> None:
        """The first step."""
        self.steps = first_steps(self.keyfarer.doors.rng)
        self.say("sound", "")
        self.set_interval(TICK_S, self.follow)
        self.show()

    def show(self) -> None:
        """Show a step and play it."""
        self.heard = False
        self.headline("First steps", f"{self.at + 1} of {len(self.steps)}")
        self.say("prompt", self.step.prompt)
        self.say("said", "")
        self.say("on", "")
        lines = [Line(f"press {n}", row, name_style="bold $primary") for n, row in enumerate(self.step.rows, 1)]
        self.query_one(ChordRow).put([Chord(beats) for beats in self.step.beats], lines)
        self.action_first_again()

    def follow(self) -> None:
        """Point at the chord that sounds."""
        if not self.keyfarer.leaving:
            times = times_of(self.step.performance)
            self.query_one(ChordRow).point(sounding_now(self.keyfarer.doors.sounding, times))

    def action_first_again(self) -> None:
        """Play it."""
        self.run_worker(partial(self.play, self.step), thread=True, exclusive=True, group="first")

    def play(self, step: FirstStep) -> None:
        """Begin to play, beside the event loop."""
        sounding = self.keyfarer.doors.sounding
        try:
            sounding.play(step.performance)
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(self.Played(" ".join(str(error).split())))
        else:
            self.post_message(self.Played(sounding.remark or ""))

    def on_first_page_played(self, message: Played) -> None:
        """Say what is to be known about the sound."""
        self.say("sound", f"Sound: {message.remark}" if message.remark else "")

    def on_key(self, event: events.Key) -> None:
        """A digit answers."""
        digit = event.character or ""
        if digit.isdecimal() and 1 <= int(digit) <= self.step.choices:
            event.stop()
            self.answer(int(digit))

    def answer(self, digit: int) -> None:
        """Say whether that was it; where not, it sounds again."""
        if self.heard:
            return
        self.heard = digit == self.step.right
        self.say("said", self.step.told if self.heard else self.step.other)
        last = self.at + 1 == len(self.steps)
        self.say("on", self.keyed(THAT_IS_ALL if last else GO_ON) if self.heard else "")
        if not self.heard:
            self.action_first_again()

    def action_first_on(self) -> None:
        """On to the next step, or to the questions."""
        if not self.heard:
            self.action_first_again()
        elif self.at + 1 < len(self.steps):
            self.at += 1
            self.show()
        else:
            self.action_pass()

    def action_pass(self) -> None:
        """Straight to the questions."""
        self.keyfarer.doors.sounding.stop()
        self.app.pop_screen()
        self.keyfarer.begin()

    def action_back(self) -> None:
        """Back to today."""
        self.keyfarer.doors.sounding.stop()
        self.app.pop_screen()
