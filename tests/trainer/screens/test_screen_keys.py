"""Keys: each does one thing on its screen, help lists all, and what does not fit can be reached."""

from functools import partial
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press, settled, shown, typed, words
from trainer.screens.actions import (
    ACTIONS,
    DRILL,
    FIRST,
    HELP,
    KEYS,
    LEVEL,
    LISTED,
    PROGRESS,
    SCREENS,
    SETTINGS,
    SOUND,
    SUMMARY,
    TODAY,
    TOLD,
    TUNE,
    TUNES,
    TYPE,
    WORDS,
    actions_on,
)
from trainer.screens.all_settings import SettingsPage
from trainer.screens.base import Page
from trainer.screens.drill import DrillPage
from trainer.screens.first import FirstPage
from trainer.screens.help import HelpPage
from trainer.screens.keys import KeysPage
from trainer.screens.level import LevelPage
from trainer.screens.progress import ProgressPage
from trainer.screens.sound import SoundPage
from trainer.screens.summary import SummaryPage
from trainer.screens.today import TodayPage
from trainer.screens.told import ToldPage
from trainer.screens.tune import TunePage
from trainer.screens.tunes import TunesPage
from trainer.screens.type import TypePage
from trainer.screens.widgets.listing import Listing
from trainer.screens.words import WordsPage


@pytest.mark.parametrize(
    "keys",
    [
        (), ("enter",), ("enter", "1"), ("p",), ("l",), ("enter", "escape"), ("t",), ("t", "enter"), ("s",), ("e",),
        ("w",),
    ],
)
def test_every_screen_has_help_that_lists_its_keys(tmp_path: Path, keys: tuple[str, ...]) -> None:
    """F1 on each screen lists every action that holds there, and Esc leads back."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, *keys)
        page = app.screen
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpPage)
        for action in actions_on(page.NAME):  # type: ignore[attr-defined]
            assert app.screen.keyed(action.about) in words(app)
        await press(pilot, "escape")
        assert page is app.screen

    piloted(app, play)


def test_no_key_has_two_meanings_on_a_screen() -> None:
    """On each screen each key does one thing, and every action has a method that does it."""
    all_pages = (
        TodayPage, FirstPage, DrillPage, ToldPage, SummaryPage, ProgressPage, TypePage, LevelPage, HelpPage, KeysPage,
        TunesPage, TunePage, SoundPage, SettingsPage, WordsPage,
    )  # fmt: skip
    pages = {page.NAME: page for page in all_pages}
    assert set(SCREENS) == set(pages)
    for name, page in pages.items():
        keys = [action.key for action in actions_on(name)]
        assert len(keys) == len(set(keys)), name
        for action in actions_on(name):
            assert callable(getattr(page, f"action_{action.id}")), (name, action.id)
    assert len({action.id + str(action.screens) for action in ACTIONS}) == len(ACTIONS)


REACHED: dict[str, tuple[str, ...]] = {
    TODAY: (),
    DRILL: ("enter",),
    TOLD: ("enter", "1"),
    SUMMARY: ("enter", "1", "escape"),
    PROGRESS: ("enter", "1", "escape", "p"),
    TYPE: ("enter", "1", "escape", "p", "enter"),
    TUNES: ("t",),
    TUNE: ("t", "enter"),
    LEVEL: ("l",),
    SOUND: ("s",),
    SETTINGS: ("e",),
    HELP: ("f1",),
    KEYS: ("f1", "k"),
    FIRST: (),
    WORDS: ("w",),
}
"""The keys that lead from today to each screen."""
ARROWS = ("up", "down", "pageup", "pagedown")
"""Keys that a table takes itself, with the same meaning."""


@pytest.mark.parametrize("screen", SCREENS)
def test_every_action_is_reached_by_its_key(tmp_path: Path, screen: str) -> None:
    """Pressing an action's key on its screen does that action, and no other of the screen's."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, *REACHED[screen])
        if screen == FIRST:
            app.push_screen(FirstPage())
            await settled(pilot)
        page = app.screen
        assert isinstance(page, Page)
        assert screen == page.NAME
        done: list[str] = []
        for action in actions_on(screen):
            setattr(page, f"action_{action.id}", partial(done.append, action.id))
        for action in actions_on(screen):
            if screen in LISTED and action.key in ARROWS:
                continue
            done.clear()
            await press(pilot, action.key)
            assert [action.id] == done

    piloted(app, play)


def test_arrows_move_through_the_table_of_types(tmp_path: Path) -> None:
    """Down and up move the marked row of the table."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1", "enter", "1", "enter", "1", "enter", "p")
        listing = app.screen.query_one(Listing)
        assert 0 == listing.cursor
        await press(pilot, "down")
        assert 1 == listing.cursor
        await press(pilot, "pageup")
        assert 0 == listing.cursor

    piloted(app, play)


def test_what_does_not_fit_can_be_read_by_keys(tmp_path: Path) -> None:
    """On a low screen the line of keys says that there is more, and arrows and page keys lead there."""
    app = app_in(tmp_path, rung=3, types=("interrupted-after-two",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await typed(pilot, "yes 3 +1")
        body = app.screen.query_one("#body")
        assert body.max_scroll_y > 0
        assert "PgDn more" in shown(app)
        await press(pilot, "down")
        assert 1 == body.scroll_y
        await press(pilot, "pagedown")
        assert body.scroll_y == body.max_scroll_y
        await press(pilot, "up", "pageup", "pageup")
        assert 0 == body.scroll_y

    piloted(app, play, size=(80, 16))
