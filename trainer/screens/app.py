"""The terminal app: one session at a time, the screens around it, and the way in from the command line.

A step of the session runs beside the event loop, one after the other in the order of the keys. Each step
is meant for what the player saw when the key was pressed: where the session has gone on since, it is dropped.
"""

from __future__ import annotations

import asyncio
import os
import signal
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from random import Random, SystemRandom
from typing import TYPE_CHECKING

from textual import work
from textual.app import App
from textual.filter import LineFilter
from textual.scrollbar import ScrollBar, ScrollBarRender

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.practice.options import DrillOptions
from trainer.practice.session import Asking, Done, Session, State, Told
from trainer.records import dataclass
from trainer.screens.actions import actions_on
from trainer.screens.bare import Bare, SignedBar
from trainer.screens.doors import Doors
from trainer.screens.messages import Moved, Refused
from trainer.screens.own_keys import Keys, acted_on, load_keys, save_keys
from trainer.screens.theme import QUIET, THEMES, as_the_terminal
from trainer.screens.today import TodayPage
from trainer.screens.widgets.key_line import KeyLine
from trainer.terminal import Colors

if TYPE_CHECKING:
    from synth.output import Output
    from trainer.drills.material import TuneMaterial
    from trainer.memory.store import Store
    from trainer.practice.items import Items
    from trainer.screens.base import Page

PREPARE = "prepare"
"""The step that nobody asks for: the next question is made while an answer is read."""

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
        if session is not None and isinstance(session.state, Told) and self.running is None:
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
        from trainer.screens.drill import DrillPage
        from trainer.screens.told import ToldPage

        state = None if self.session is None else self.session.state
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

    def leave_with(self, code: int) -> None:
        """Leave at once with an exit code."""
        self.waiting.clear()
        self.exit(code)


def run_app(
    options: DrillOptions | None = None,
    given: Callable[[Store], Items] | None = None,
    logged: Callable[[Store], None] | None = None,
) -> int:
    """Open settings and store, run the app, close all; returns the exit code. Raises KeyfarerError.

    given: what is asked in place of what the options say. logged: called when an answer has been logged.
    """
    from synth.noise import divert_noise
    from trainer import places, settings
    from trainer.drills.kinds import TUNE_SHARE
    from trainer.memory.store import open_store
    from trainer.practice.clock import SystemClock
    from trainer.practice.items import fixed
    from trainer.practice.own_tunes import NONE_KEPT, own_tunes
    from trainer.practice.sounding import Loudspeaker
    from trainer.practice.today import memory_settings
    from trainer.terminal import colors

    asked = options or DrillOptions()
    chosen = settings.load(places.settings_file())
    keys = load_keys(places.keys_file())
    own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    rng = Random(SystemRandom().randrange(2**31) if asked.seed is None else asked.seed)
    with open_store(places.memory_file(), memory_settings(chosen)) as store:
        log = places.log_file()
        log.parent.mkdir(parents=True, exist_ok=True)
        divert_noise(log)

        doors: Doors | None = None

        def items() -> Items:
            chosen_so = (asked.types, asked.kinds, asked.rung, asked.count or 10, store.model(), rng)
            if not asked.tunes:
                return fixed(*chosen_so)
            from trainer.practice.from_tunes import from_tunes

            return from_tunes(tunes(), *chosen_so)

        def tunes() -> Sequence[TuneMaterial]:
            from trainer.practice.materials import tune_material  # read with the first question

            return tune_material((doors.own if doors else own) if asked.with_own_tunes else NONE_KEPT, asked.tunes)

        if asked.chooses:
            items()  # a fault of the options is told before the screen is taken

        def given_items() -> Items:
            assert given is not None
            return given(store)

        chosen_items = given_items if given is not None else items if asked.chooses else None

        def opened() -> Output:
            from synth.output import open_output  # numpy comes with it: not before the first sound

            return open_output((doors.settings if doors else chosen).device or None, places.silent_sound_folder())

        speaker = Loudspeaker(opened, chosen.a4_hz, chosen.volume_db)
        doors = Doors(
            chosen, places.settings_file(), store, speaker, SystemClock(), rng, tunes,
            chosen_items, asked.minutes, asked.seed is not None,
            own, 1.0 if asked.tunes else TUNE_SHARE, None if logged is None else lambda: logged(store),
            keys, places.keys_file(), places.tunes_folder(), places.tune_facts_file(),
        )  # fmt: skip
        if os.environ.get("NO_COLOR") == "":
            del os.environ["NO_COLOR"]  # empty it says nothing (no-color.org); Textual takes it for a word
        app = KeyfarerApp(doors, begin_at_once=options is not None, palette=colors(os.environ))
        try:
            code = app.run()
            return (app.return_code or 0) if code is None else code
        finally:
            speaker.close()
            store.refresh()
