"""The terminal app: one session at a time, the screens around it, and the way in from the command line.

A step of the session runs beside the event loop, one after the other in the order of the keys. Each step
is meant for what the player saw when the key was pressed: where the session has gone on since, it is dropped.
"""

from __future__ import annotations

import asyncio
import signal
import sys
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from textual import work
from textual.app import App
from textual.filter import LineFilter
from textual.scrollbar import ScrollBar, ScrollBarRender

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.records import dataclass
from trainer.screens.actions import actions_on
from trainer.screens.bare import Bare, SignedBar
from trainer.screens.doors import Doors
from trainer.screens.messages import Moved, Refused
from trainer.screens.own_keys import Keys, acted_on, save_keys
from trainer.screens.theme import QUIET, THEMES, as_the_terminal
from trainer.screens.today import TodayPage
from trainer.screens.widgets.key_line import KeyLine
from trainer.terminal import Colors

if TYPE_CHECKING:  # all that a session needs comes after the first paint
    from trainer.practice.session import Session, State
    from trainer.screens.base import Page

PREPARE = "prepare"
"""The step that nobody asks for: the next question is made while an answer is read."""

FAILED = 2
"""The exit code where the memory can't be opened."""
TERMINAL_S = 2.0
"""How often the terminal is looked for."""
HUNG_UP = 129
"""The exit code where the terminal is gone, as after a hang-up."""
INTERRUPTED = 130
"""The exit code after Ctrl-C; other signals likewise add their number to 128."""


@dataclass(frozen=True, slots=True)
class Step:
    """Something that a session is asked to do."""

    name: str
    """The same step asked for twice running, while the first is not yet done, is one."""
    run: Callable[[], str | None]
    """Does it, and may have a word for the player."""
    seen: State | None
    """What the player saw; None is for whatever comes."""


def on_terminal() -> bool:
    """Whether keys come from a terminal that is still there."""
    return sys.__stdin__ is not None and not sys.__stdin__.closed and sys.__stdin__.isatty()


class KeyfarerApp(App[int]):
    """The app."""

    TITLE = "keyfarer"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, doors: Doors, begin_at_once: bool = False, palette: Colors = "many") -> None:
        super().__init__(ansi_color=None if palette == "many" else True)
        self.palette = palette
        self.bare = () if palette == "many" else (Bare(palette),)
        ScrollBar.renderer = ScrollBarRender if palette == "many" else SignedBar
        self.doors = doors
        self.session: Session | None = None
        self.begin_at_once = begin_at_once
        self.running: Step | None = None
        self.waiting: deque[Step] = deque()
        self.on_terminal = on_terminal()
        self.failure: KeyfarerError | None = None
        """Why the app had to leave again at once."""
        self.actions = acted_on(doors.keys)
        self.set_keymap(dict(doors.keys))

    @property
    def busy(self) -> bool:
        """Whether a step is being done."""
        return self.running is not None

    @property
    def leaving(self) -> bool:
        """Whether the app was told to leave: from then on screens come apart, and nothing is shown any more."""
        return self.return_code is not None

    def get_line_filters(self) -> Sequence[LineFilter]:
        """What every line that is painted goes through."""
        return [*super().get_line_filters(), *self.bare]

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Colors of ours, for themes that don't name them."""
        return {"quiet": QUIET}

    def on_mount(self) -> None:
        """Put on the look and open today."""
        for theme in THEMES:
            self.register_theme(theme if self.palette == "many" else as_the_terminal(theme))
        self.theme = self.doors.settings.look
        for name in ("SIGTERM", "SIGHUP"):
            with suppress(AttributeError, NotImplementedError, RuntimeError, ValueError):
                number = getattr(signal, name)
                asyncio.get_running_loop().add_signal_handler(number, self.leave_with, 128 + number)
        self.set_interval(TERMINAL_S, self.look_for_terminal)
        self.push_screen(TodayPage())
        if self.begin_at_once:
            self.begin()

    def change_theme(self) -> None:
        """The next look, which is kept. Raises SettingsError."""
        names = [theme.name for theme in THEMES]
        self.theme = names[(names.index(self.theme) + 1) % len(names)]
        self.doors.keep(look=self.theme)
        if self.palette != "many":
            self.notify(f"Here the colors are the terminal's own; {self.theme} is kept for one that has more.")

    def change_keys(self, keys: Keys) -> None:
        """Take other keys, which are kept. Raises KeysError."""
        doors = self.doors
        doors.keys = save_keys(doors.keys_file, keys)
        self.actions = acted_on(doors.keys)
        self.set_keymap(dict(doors.keys))
        for page in self.screen_stack:
            for line in page.query(KeyLine):
                line.show_actions(actions_on(getattr(page, "NAME", ""), self.actions))

    def begin(self) -> None:
        """Begin a session; the first time the listening level is set before."""
        if self.doors.settings.level_set:
            self.move("begin", self._begin)
            return
        from trainer.screens.level import LevelPage

        self.push_screen(LevelPage(then_begin=True))

    def begin_with_first_steps(self) -> None:
        """The level is set for the first time: try it out, then begin; who asked for something fixed gets that."""
        if self.doors.chosen is not None:
            self.begin()
            return
        from trainer.screens.first import FirstPage

        self.push_screen(FirstPage())

    def _begin(self) -> None:
        from trainer.practice.session import Asking

        self.session = None
        fresh = self.doors.session()
        try:
            fresh.begin()
        except Exception:
            if isinstance(fresh.state, Asking):  # it has no sound, but it waits for an answer
                self.session = fresh
            raise
        self.session = fresh

    def move(self, name: str, run: Callable[[], str | None], seen: State | None = None) -> None:
        """Let the session take a step beside the event loop, after those that wait already."""
        last = self.waiting[-1] if self.waiting else self.running
        if last is None or last.name != name:
            self.waiting.append(Step(name, run, seen))
            self._next()

    def _next(self) -> None:
        while self.running is None and self.waiting:
            step = self.waiting.popleft()
            if step.seen is None or self._stands(step.seen):
                self.running = step
                self._run(step)

    def _stands(self, seen: State) -> bool:
        """Whether the session is still at the question that the player saw, as they saw it."""
        from trainer.practice.session import Asking, Told

        state = None if self.session is None else self.session.state
        if isinstance(state, Asking) and isinstance(seen, Asking):
            return state.number == seen.number
        return isinstance(state, Told) and isinstance(seen, Told) and state.number == seen.number

    @work(thread=True, group="session")
    def _run(self, step: Step) -> None:
        try:
            words = step.run()
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(Refused(" ".join(str(error).split())))
        else:
            self.post_message(Moved(words or ""))

    def on_moved(self, message: Moved) -> None:
        """Show where the session stands."""
        done, self.running = self.running, None
        if done is not None and done.name == PREPARE:
            self._next()
            return
        if self.leaving:
            return
        page = self._arrive()
        if message.words and page is not None:
            page.tell(message.words)
        self._next()
        self._prepare_next()

    def _prepare_next(self) -> None:
        """While an answer is read the next question is made, unless something else is to be done."""
        session = self.session
        if session is None:
            return
        from trainer.practice.session import Told

        if isinstance(session.state, Told) and self.running is None:
            self.running = Step(PREPARE, session.prepare, session.state)
            self._run(self.running)

    def on_refused(self, message: Refused) -> None:
        """Show where the session stands, and tell what could not be done."""
        self.running = None
        if self.leaving:
            return
        page = self._arrive()
        if page is None:
            self.notify(message.words, markup=False)
        else:
            page.tell(message.words)
        self._next()

    def _arrive(self) -> Page | None:
        """Show the session's state on its screen; None where there is no session to show."""
        if self.session is None:
            return None
        from trainer.practice.session import Asking, Done, Told
        from trainer.screens.drill import DrillPage
        from trainer.screens.told import ToldPage

        state = self.session.state
        for page in reversed(self.screen_stack):
            if isinstance(page, DrillPage) and isinstance(state, Asking) and page.asks(state):
                page.show(state)
                return page
            if isinstance(page, ToldPage) and isinstance(state, Told) and page.tells(state):
                page.show(state)
                return page
        if isinstance(state, Asking):
            return self._show(DrillPage(state))
        if isinstance(state, Told):
            return self._show(ToldPage(state))
        if isinstance(state, Done):
            from trainer.screens.summary import SummaryPage

            return self._show(SummaryPage(state))
        return None

    def _show(self, page: Page) -> Page:
        """Put a screen above today in place of what stands there."""
        while len(self.screen_stack) > 3:
            self.pop_screen()
        if len(self.screen_stack) == 3:
            self.switch_screen(page)
        else:
            self.push_screen(page)
        return page

    def action_leave_now(self) -> None:
        """Ctrl-C: leave; every answer is in the store already."""
        self.leave_with(INTERRUPTED)

    def fail(self, error: KeyfarerError) -> None:
        """Leave, for nothing can be done here; it is told once the screen is the shell's again."""
        self.failure = error
        self.leave_with(FAILED)

    def look_for_terminal(self) -> None:
        """Leave where the terminal is gone and no signal said so."""
        if self.on_terminal and not on_terminal():
            self.leave_with(HUNG_UP)

    def leave_with(self, code: int) -> None:
        """Leave at once with an exit code."""
        self.waiting.clear()
        self.exit(code)
