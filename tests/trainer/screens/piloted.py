"""The app over twins: a clock set by hand, a sound that remembers, a store in a folder."""

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from random import Random

from textual.pilot import Pilot

from tests.trainer.practice.practising import HandClock, Remembering, no_tunes
from trainer.memory.chance import start
from trainer.memory.store import open_store
from trainer.practice.items import Items, fixed
from trainer.screens.app import KeyfarerApp
from trainer.screens.doors import Doors
from trainer.settings import Settings


def app_in(
    folder: Path,
    rung: int = 1,
    count: int = 3,
    types: tuple[str, ...] = ("major-two-five-one", "plagal"),
    level_set: bool = True,
    today: bool = False,
) -> KeyfarerApp:
    """The app over a new store; `today` takes today's plan in place of fixed questions."""
    store = open_store(folder / "memory.db")

    def chosen() -> Items:
        return fixed(types, (), rung, count, start(), Random(2))

    settings = Settings(level_set=level_set)
    items = None if today else chosen
    doors = Doors(
        settings, folder / "settings.toml", store, Remembering(), HandClock(), Random(3), no_tunes, items
    )
    return KeyfarerApp(doors)


async def settled(pilot: Pilot[int]) -> None:
    """Wait until no worker runs and the screen stands."""
    for _ in range(200):
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


async def typed(pilot: Pilot[int], text: str) -> None:
    """Type an answer and Enter."""
    for letter in text:
        await pilot.press({" ": "space", "?": "question_mark"}.get(letter, letter))
    await press(pilot, "enter")


def piloted(
    app: KeyfarerApp, play: Callable[[Pilot[int]], Awaitable[None]], size: tuple[int, int] = (80, 24)
) -> None:
    """Run the app and let a script press its keys."""

    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            await play(pilot)

    asyncio.run(run())
    app.doors.store.close()


def shown(app: KeyfarerApp) -> str:
    """All text of the screen on top."""
    from textual.widgets import Static

    return "\n".join(str(part.content) for part in app.screen.query(Static) if part.display)
