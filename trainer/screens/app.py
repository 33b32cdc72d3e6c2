"""The terminal app: one session at a time, the screens around it, and the way in from the command line."""

from __future__ import annotations

from collections.abc import Callable
from random import Random, SystemRandom
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import App
from textual.binding import Binding, BindingType

from trainer.errors import KeyfarerError
from trainer.practice.options import DrillOptions
from trainer.practice.session import Asking, Done, Session, State, Told
from trainer.screens.doors import Doors
from trainer.screens.messages import Moved, Refused
from trainer.screens.theme import THEMES
from trainer.screens.today import TodayPage

if TYPE_CHECKING:
    from trainer.screens.base import Page


class KeyfarerApp(App[int]):
    """The app."""

    TITLE = "keyfarer"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+c", "leave_now", "leave", show=False, priority=True)]

    def __init__(self, doors: Doors, begin_at_once: bool = False) -> None:
        super().__init__()
        self.doors = doors
        self.session: Session | None = None
        self.begin_at_once = begin_at_once
        self.busy = False
        """A worker is moving the session; what is pressed meanwhile is not for it."""

    def on_mount(self) -> None:
        """Put on the look and open today."""
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = "evening"
        self.push_screen(TodayPage())
        if self.begin_at_once:
            self.begin()

    def begin(self) -> None:
        """Begin a session; the first time the listening level is set before."""
        if not self.doors.settings.level_set:
            from trainer.screens.level import LevelPage

            self.push_screen(LevelPage(then_begin=True))
            return
        self.session = self.doors.session()
        self.move(self.session.begin)

    def move(self, step: Callable[[], State]) -> None:
        """Let the session take a step beside the event loop."""
        if not self.busy:
            self.busy = True
            self._move(step)

    @work(thread=True, group="session")
    def _move(self, step: Callable[[], State]) -> None:
        try:
            state = step()
        except KeyfarerError as error:
            self.post_message(Refused(str(error)))
        else:
            self.post_message(Moved(state))

    def on_moved(self, message: Moved) -> None:
        """Show where the session stands."""
        self.busy = False
        state = message.state
        top = self.screen
        from trainer.screens.drill import DrillPage
        from trainer.screens.told import ToldPage

        if isinstance(state, Asking):
            if isinstance(top, DrillPage) and top.asks(state):
                top.show(state)
            else:
                self.show(DrillPage(state))
        elif isinstance(state, Told):
            if isinstance(top, ToldPage):
                top.show(state)
            else:
                self.show(ToldPage(state))
        elif isinstance(state, Done):
            from trainer.screens.summary import SummaryPage

            self.show(SummaryPage(state))

    def on_refused(self, message: Refused) -> None:
        """Tell it where the player looks."""
        self.busy = False
        from trainer.screens.drill import DrillPage

        if isinstance(self.screen, DrillPage):
            self.screen.refused(message.words)
        else:
            self.notify(message.words, markup=False)

    def show(self, page: Page) -> None:
        """Put a screen above today in place of what stands there."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.push_screen(page)

    def action_leave_now(self) -> None:
        """Ctrl-C: leave; every answer is in the store already."""
        if self.session is not None:
            self.doors.sounding.stop()
        self.exit(130)


def run_app(options: DrillOptions | None = None) -> int:
    """Open settings and store, run the app, close all; returns the exit code. Raises KeyfarerError."""
    from synth.noise import divert_noise
    from synth.output import open_output
    from trainer import places, settings
    from trainer.memory.store import open_store
    from trainer.practice.clock import SystemClock
    from trainer.practice.items import Items, fixed
    from trainer.practice.materials import exercise_material
    from trainer.practice.sounding import Loudspeaker
    from trainer.practice.today import memory_settings

    asked = options or DrillOptions()
    chosen = settings.load(places.settings_file())
    rng = Random(SystemRandom().randrange(2**31) if asked.seed is None else asked.seed)
    with open_store(places.memory_file(), memory_settings(chosen)) as store:
        log = places.log_file()
        log.parent.mkdir(parents=True, exist_ok=True)
        divert_noise(log)

        def items() -> Items:
            return fixed(asked.types, asked.kinds, asked.rung, asked.count or 10, store.model(), rng)

        if asked.chooses:
            items()  # a fault of the options is told before the screen is taken
        speaker = Loudspeaker(
            lambda: open_output(chosen.device or None, places.silent_sound_folder()), chosen.a4_hz, chosen.volume_db
        )
        doors = Doors(
            chosen, places.settings_file(), store, speaker, SystemClock(), rng, exercise_material,
            items if asked.chooses else None, asked.minutes, asked.seed is not None,
        )  # fmt: skip
        try:
            return KeyfarerApp(doors, begin_at_once=options is not None).run() or 0
        finally:
            speaker.close()
            store.refresh()
