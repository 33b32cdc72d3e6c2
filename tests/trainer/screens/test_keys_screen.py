"""Other keys in the app: chosen on a screen, at work at once, shown everywhere; and what can be done found by words."""

from pathlib import Path

from textual.command import CommandPalette
from textual.pilot import Pilot
from textual.widgets import DataTable, OptionList

from tests.trainer.screens.piloted import app_in, piloted, press, shown, words, written
from trainer.screens.actions import ACTIONS
from trainer.screens.drill import DrillPage
from trainer.screens.help import HelpPage
from trainer.screens.keys import KeysPage
from trainer.screens.own_keys import load_keys
from trainer.screens.tunes import TunesPage


def row_of(id: str) -> int:
    """The line of an action."""
    return [action.id for action in ACTIONS].index(id)


def test_a_key_is_chosen_works_at_once_and_is_kept(tmp_path: Path) -> None:
    """The next key pressed is taken, whatever it does elsewhere; its line of keys, help and file say so."""
    app = app_in(tmp_path)
    app.doors.keys_file = tmp_path / "keys.toml"

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "f1", "k")
        page = app.screen
        assert isinstance(page, KeysPage)
        page.query_one(DataTable).move_cursor(row=row_of("tunes"))
        await press(pilot, "enter")
        assert "Press the new key for: See and hear the tunes" in words(app)
        await press(pilot, "x")
        assert "X: tunes. It is kept." in words(app)
        assert {"tunes": "x"} == load_keys(app.doors.keys_file)
        await press(pilot, "escape", "escape")
        assert "X tunes" in shown(app)
        await press(pilot, "t")
        assert not isinstance(app.screen, TunesPage)
        await press(pilot, "x")
        assert isinstance(app.screen, TunesPage)

    piloted(app, play)


def test_a_key_in_use_is_refused_and_the_usual_one_comes_back(tmp_path: Path) -> None:
    """Two meanings are told and change nothing; Del gives the usual key back; Esc leaves it as it is."""
    app = app_in(tmp_path)
    app.doors.keys_file = tmp_path / "keys.toml"

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "f1", "k")
        app.screen.query_one(DataTable).move_cursor(row=row_of("tunes"))
        await press(pilot, "enter", "p")
        assert "P would mean both progress and tunes" in words(app)
        assert not app.doors.keys_file.exists()
        await press(pilot, "enter", "escape")
        assert not app.doors.keys_file.exists()
        await press(pilot, "enter", "x", "delete")
        assert {} == load_keys(app.doors.keys_file)
        app.screen.query_one(DataTable).move_cursor(row=row_of("leave_now"))
        await press(pilot, "enter")
        assert "Ctrl+C stays" in words(app)

    piloted(app, play)


def test_keys_of_before_hold_from_the_start(tmp_path: Path) -> None:
    """Who starts with keys of their own has them on every screen and in its words."""
    app = app_in(tmp_path)
    app.doors.keys = {"again": "f10", "pause": "f2", "hear_right": "h"}
    app.actions = type(app)(app.doors).actions
    app.set_keymap(dict(app.doors.keys))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        page = app.screen
        assert isinstance(page, DrillPage)
        assert "F10 again" in shown(app)
        await press(pilot, "f10")
        assert ("again",) == page.asking.helps
        await press(pilot, "f2")
        assert "F2 goes on" in words(app)
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpPage)
        assert "F2 goes on, from the beginning." in words(app)

    piloted(app, play)


def test_what_can_be_done_is_found_by_a_word(tmp_path: Path) -> None:
    """Ctrl-P lists what can be done on the screen, as its help words it; a word and Enter do it."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "ctrl+p")
        assert isinstance(app.screen, CommandPalette)
        await pilot.pause(0.3)
        listed = " ".join(str(option.prompt) for option in app.screen.query_one(OptionList).options)
        assert all(one.about in listed for one in ACTIONS if "today" in one.screens and one.id != "find")
        await written(pilot, "hear the tunes")
        await pilot.pause(0.5)
        await press(pilot, "enter")
        await pilot.pause(0.3)
        assert isinstance(app.screen, TunesPage)

    piloted(app, play)
