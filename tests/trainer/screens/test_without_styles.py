"""What matters on a screen stands in its signs and words: every style is dropped, and it is told all the same."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press, settled, typed
from trainer.screens.app import KeyfarerApp
from trainer.screens.bare import BAR, TRACK
from trainer.screens.listening import TICK_S
from trainer.screens.tune import TunePage
from trainer.screens.widgets.chart_view import CURSOR, PLAYING
from trainer.screens.widgets.journey import AHEAD, HERE, NOT_HEARD, PARTLY, RIGHT
from trainer.screens.widgets.pointed_table import POINTER

FREE = ("major-two-five-one",)


def lines(app: KeyfarerApp) -> list[str]:
    """What is painted, as bare text."""
    return ["".join(segment.text for segment in strip) for strip in app.screen._compositor.render_strips()]


def test_a_question_and_its_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked and sounding chords, right, partly and other parts, the helps taken, and where in the session one is."""
    app = app_in(tmp_path, rung=3, types=FREE, count=4)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "f4")
        monkeypatch.setattr("trainer.screens.drill.sounding_now", lambda *_: 1)
        await pilot.pause(2 * TICK_S)
        text = "\n".join(lines(app))
        assert f"{HERE} {AHEAD} {AHEAD} {AHEAD}" in text
        assert "1 ━" in text
        assert "2 ▶" in text
        assert "Helps so far: bass" in text
        await typed(pilot, "2 5 6")
        text = "\n".join(lines(app))
        assert f"{PARTLY} {AHEAD} {AHEAD} {AHEAD}" in text
        said, was, _, words = (line.split() for line in lines(app)[6:10])
        assert ("you", "it") == (said[0], was[0])
        assert ["right", "right", "partly"] == words
        assert "Partly: " in text
        await press(pilot, "enter")
        await typed(pilot, "2 5 1")
        assert f"{PARTLY} {RIGHT} {AHEAD} {AHEAD}" in "\n".join(lines(app))
        await press(pilot, "enter", "f8")
        text = "\n".join(lines(app))
        assert f"{PARTLY} {RIGHT} {NOT_HEARD} {AHEAD}" in text
        assert "Passed over." in text

    piloted(app, play)


def test_the_row_under_the_cursor(tmp_path: Path) -> None:
    """A pointer stands before one row of a list alone, and goes with the cursor, also where the list scrolls."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t")
        for keys in ([], ["down"], ["down"] * 30, ["up"] * 40):
            await press(pilot, *keys)
            pointed = [line for line in lines(app) if line.strip().startswith(POINTER.strip())]
            assert 1 == len(pointed)
            page = app.screen
            title = page.tunes[page.query_one("#table").cursor_row].title  # type: ignore[attr-defined]
            assert title[:20] in pointed[0]

    piloted(app, play, (80, 20))


def test_a_tune_with_its_cursor_its_sound_and_its_centers(tmp_path: Path) -> None:
    """The bar under the cursor and the bar that sounds have signs of their own, key centers their names."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", "enter", "right")
        page = app.screen
        assert isinstance(page, TunePage)
        page.point(2)
        await pilot.pause()
        text = "\n".join(lines(app))
        assert (1, 1) == (text.count(CURSOR), text.count(PLAYING))
        assert "Bar 2." in text
        for step in page.tune.analysis.route[:2]:
            assert f"{step.center.name} ─" in text

    piloted(app, play, (120, 40))


def test_what_is_due_and_what_is_known(tmp_path: Path) -> None:
    """Progress says in words how a type stands and when it comes, and its chance as a number beside its bar."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1", "enter", "1", "escape", "p")
        rows = [line for line in lines(app) if "tomorrow" in line]
        assert rows
        assert all("%" in row for row in rows)
        assert any("being learned" in line for line in lines(app))

    piloted(app, play, (100, 30))


def test_how_loud_it_is_and_how_much_there_is_to_read(tmp_path: Path) -> None:
    """The level is told as a number, and without colors a scroll bar is made of signs."""
    app = app_in(tmp_path)
    bare = KeyfarerApp(app.doors, palette="none")

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "l")
        assert "Level " in "\n".join(lines(bare))
        await settled(pilot)
        signs = [line[-1] for line in lines(bare)]
        assert {BAR, TRACK} <= set(signs)
        styles = [segment.style for strip in bare.screen._compositor.render_strips() for segment in strip]
        assert all(style is None or style.color is style.bgcolor is None for style in styles)

    piloted(bare, play, (60, 15))
