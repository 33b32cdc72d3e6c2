"""The app over twins: a clock set by hand, a sound that remembers, a store in a folder."""

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path
from random import Random
from threading import Event

from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Static

from synth.microphone import Microphone
from tests.doubles.microphone import MicrophoneTwin
from tests.trainer.practice.practising import HandClock, Remembering, no_tunes
from trainer.memory.chance import start
from trainer.memory.store import open_store
from trainer.practice.items import Items, fixed
from trainer.practice.sounding import Sounding
from trainer.screens.app import KeyfarerApp
from trainer.screens.doors import Doors
from trainer.screens.widgets.drawn import Drawn
from trainer.settings import Settings, save
from trainer.voicing.sheet import Performance

Script = Callable[[Pilot[int]], Awaitable[None]]


class Held(Remembering):
    """A sound that can be held up in the making, as a slow device would."""

    def __init__(self) -> None:
        super().__init__()
        self.free = Event()
        self.free.set()

    def play(self, performance: Performance) -> None:
        """Remember it, once it may."""
        assert self.free.wait(20), "held for ever"
        super().play(performance)


def app_in(
    folder: Path,
    rung: int = 1,
    count: int = 3,
    types: tuple[str, ...] = ("major-two-five-one", "plagal"),
    level_set: bool = True,
    today: bool = False,
    sound: Sounding | None = None,
    devices: Callable[[bool], Sequence[str]] = lambda anew: ("twin", "other twin"),
    microphone: Callable[[], Microphone] = MicrophoneTwin,
) -> KeyfarerApp:
    """The app over a new store; `today` takes today's plan in place of fixed questions."""
    store = open_store(folder / "memory.db")

    def chosen() -> Items:
        return fixed(types, ("name-functions", "catch-interruption"), rung, count, start(), Random(2))

    file = folder / "settings.toml"
    settings = save(file, level_set=True) if level_set else Settings()
    items = None if today else chosen
    doors = Doors(
        settings,
        file,
        store,
        sound or Remembering(),
        HandClock(),
        Random(3),
        no_tunes,
        items,
        devices=devices,
        microphone=microphone,
    )
    return KeyfarerApp(doors)


async def settled(pilot: Pilot[int]) -> None:
    """Wait until no worker runs and the screen stands."""
    for _ in range(500):
        await pilot.pause(0.01)
        app = pilot.app
        assert isinstance(app, KeyfarerApp)
        if not app.busy and not any(worker.is_running for worker in app.workers):
            break
    await pilot.pause()


async def press(pilot: Pilot[int], *keys: str) -> None:
    """Press keys one by one and wait for each to have done its work."""
    for key in keys:
        await pilot.press(key)
        await settled(pilot)


NAMES = {" ": "space", "?": "question_mark", "+": "plus", "#": "number_sign"}
"""Keys that are not named by their sign."""


async def written(pilot: Pilot[int], text: str) -> None:
    """Type a text."""
    await pilot.press(*(NAMES.get(letter, letter) for letter in text))
    await pilot.pause()


async def typed(pilot: Pilot[int], text: str) -> None:
    """Type an answer and Enter."""
    await written(pilot, text)
    await press(pilot, "enter")


def piloted(app: KeyfarerApp, play: Script, size: tuple[int, int] = (80, 24)) -> None:
    """Run the app and let a script press its keys."""

    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            await play(pilot)

    try:
        asyncio.run(run())
    finally:
        app.doors.store.close()


def text_of(part: Widget) -> str:
    """The text of a widget."""
    if isinstance(part, Drawn):
        return part.drawn()
    return str(part.content) if isinstance(part, Static) else ""


def shown(app: KeyfarerApp) -> str:
    """All text of the screen on top, drawn or scrolled out of sight."""
    parts = [part for part in app.screen.query("*") if part.display]
    return "\n".join(text for text in map(text_of, parts) if text)


def words(app: KeyfarerApp) -> str:
    """The same as one line of words, however it is wrapped."""
    return " ".join(shown(app).split())
