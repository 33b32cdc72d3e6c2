"""The terminal changes its size in mid-question, what is marked is copied, and a killed app goes on where it was."""

import base64
import os
import signal
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press, settled, words, written
from tests.trainer.screens.wired import wired
from trainer.memory.store import open_store
from trainer.screens.drill import DrillPage
from trainer.screens.widgets.answer_line import AnswerLine

SIZES = ((60, 15), (300, 80), (80, 24), (60, 40), (200, 15), (60, 15))


def test_sizes_change_in_mid_question(tmp_path: Path) -> None:
    """From 60 by 15 to 300 by 80 what was typed stays, nothing is too wide, and all can be scrolled to."""
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "f4")
        await written(pilot, "2 5")
        for width, height in SIZES:
            await pilot.resize_terminal(width, height)
            await settled(pilot)
            page = app.screen
            assert isinstance(page, DrillPage)
            assert "2 5" == page.query_one(AnswerLine).value
            body = page.query_one("#body")
            for part in page.query("#column > *"):
                if part.display:
                    assert part.virtual_region_with_margin.right <= width, (width, part)
            below = body.virtual_size.height - body.size.height
            assert below <= 0 or body.show_vertical_scrollbar
            assert below <= body.max_scroll_y
            assert "Helps so far: bass" in words(app)
            keys = page.query_one("#keys").region
            assert keys.bottom <= height
            assert body.size.height > 0

    piloted(app, play, (80, 24))


@pytest.mark.parametrize("key", ["t", "p", "l", "f1"])
def test_other_screens_change_their_size(tmp_path: Path, key: str) -> None:
    """Lists, level and help stand in every size too."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, key)
        for width, height in SIZES:
            await pilot.resize_terminal(width, height)
            await settled(pilot)
            assert app.screen.query_one("#keys").region.bottom <= height

    piloted(app, play, (80, 24))


def test_what_is_marked_is_copied(tmp_path: Path) -> None:
    """A word marked with the mouse goes to the terminal's clipboard; where nothing is marked that is said."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "ctrl+y")
        assert "" == app.clipboard
        prose = app.screen.query_one("#plan")
        await pilot.mouse_down(prose, offset=(0, 0))
        await pilot.hover(prose, offset=(8, 0))
        await pilot.mouse_up(prose, offset=(8, 0))
        await press(pilot, "ctrl+y")
        assert app.clipboard
        assert app.clipboard in words(app)

    piloted(app, play)


def test_copying_writes_the_terminals_own_sequence(tmp_path: Path) -> None:
    """It is OSC 52 of xterm's control sequences, which goes over a network too: what was dragged over, in base64."""
    pytest.importorskip("termios", reason="there are no pseudo-terminals here")
    with wired(tmp_path, (), {"LC_ALL": "C.UTF-8", "TERM": "xterm-256color"}) as app:
        app.shows("minute")
        os.write(app.fd, b"\x1b[<0;3;4M\x1b[<32;12;4M\x1b[<0;12;4m")
        app.press(b"\x19", "Copied.")
        sent = app.wrote.partition(b"\x1b]52;c;")[2].partition(b"\x07")[0]
        assert base64.b64decode(sent).decode()


def test_after_a_kill_the_session_goes_on(tmp_path: Path) -> None:
    """What was answered before a kill is kept, and today asks what is left of its questions."""
    pytest.importorskip("termios", reason="there are no pseudo-terminals here")
    surroundings = {"LC_ALL": "C.UTF-8", "TERM": "xterm-256color"}
    with wired(tmp_path, (), surroundings) as app:
        app.shows(" questions, about")
        app.press(b"\r", "Question 1 of")
        app.press(b"1", ": the answer")
        app.press(b"\r", "Question 2 of")
        app.process.send_signal(signal.SIGKILL)
        app.process.wait(10)
    with open_store(tmp_path / "home" / "memory.db") as store:
        assert 1 == len(list(store.trials()))
    with wired(tmp_path, (), surroundings) as app:
        app.shows(" question")
        app.press(b"\r", "Question ")
        os.write(app.fd, b"\x03")
        assert 130 == app.ends()
