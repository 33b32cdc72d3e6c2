"""How the screens look: one picture a state, with size, store, clock and chance fixed."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, press, settled, typed
from tests.trainer.screens.practised import practised
from trainer.screens.views.in_order import VIEWS

Compare = Callable[..., bool]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_today_looks_as_it_did(tmp_path: Path, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Today, with a new player's plan."""
    assert snap_compare(app_in(tmp_path, today=True), run_before=settled, terminal_size=size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_the_words_look_as_they_did(tmp_path: Path, snap_compare: Compare, size: tuple[int, int]) -> None:
    """The words, looked through for what holds "tri", with the second of them under the cursor."""

    async def looked_for(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "w", "t", "r", "i", "down")

    assert snap_compare(app_in(tmp_path), run_before=looked_for, terminal_size=size)


def test_a_question_with_rows_looks_as_it_did(tmp_path: Path, snap_compare: Compare) -> None:
    """A question of the first rung, with a help taken."""

    async def asked(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "enter", "f4")

    assert snap_compare(app_in(tmp_path), run_before=asked, terminal_size=(80, 24))


def test_an_answer_looks_as_it_did(tmp_path: Path, snap_compare: Compare) -> None:
    """A free answer that was partly right, chord under chord."""

    async def answered(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "enter")
        await typed(pilot, "2 5 6")

    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))
    assert snap_compare(app, run_before=answered, terminal_size=(80, 24))


def test_progress_in_the_light_looks_as_it_did(tmp_path: Path, snap_compare: Compare) -> None:
    """The table of types after a session, on paper."""

    async def asked(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "c", "enter", "1", "enter", "1", "enter", "1", "enter", "p")

    assert snap_compare(app_in(tmp_path), run_before=asked, terminal_size=(80, 24))


@pytest.mark.parametrize("view", range(len(VIEWS)), ids=[view.name for view in VIEWS])
def test_a_view_of_the_progress_looks_as_it_did(tmp_path: Path, snap_compare: Compare, view: int) -> None:
    """Each view after some weeks, the third row marked."""
    practised(tmp_path)

    async def looked(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "p", *["right"] * view, "down", "down")

    assert snap_compare(app_in(tmp_path), run_before=looked, terminal_size=(80, 24))


def test_the_keys_in_a_wide_terminal_look_as_they_did(tmp_path: Path, snap_compare: Compare) -> None:
    """How each type is heard in each key, with the columns that more room allows."""
    practised(tmp_path)

    async def looked(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "p", "right")

    assert snap_compare(app_in(tmp_path), run_before=looked, terminal_size=(120, 40))


def test_one_type_looks_as_it_did(tmp_path: Path, snap_compare: Compare) -> None:
    """All about one type, on paper."""
    practised(tmp_path)

    async def looked(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "c", "p", "enter")

    assert snap_compare(app_in(tmp_path), run_before=looked, terminal_size=(120, 40))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_the_sound_looks_as_it_did(tmp_path: Path, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Device, level, how tunes sound, the microphone open; the cursor on the level, where the cautions stand."""

    async def opened(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "s", "m", "down")

    app = app_in(tmp_path)
    app.doors.keep(volume_db=-20.0)
    assert snap_compare(app, run_before=opened, terminal_size=size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_the_settings_look_as_they_did(tmp_path: Path, snap_compare: Compare, size: tuple[int, int]) -> None:
    """Every setting, the cursor on one whose value was just changed."""

    async def opened(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "e", *["down"] * 10, "right")

    assert snap_compare(app_in(tmp_path), run_before=opened, terminal_size=size)


def test_a_tune_looks_as_it_did(tmp_path: Path, snap_compare: Compare) -> None:
    """A tune with cadences that break in, the cursor on one of them."""

    async def opened(pilot: Pilot[int]) -> None:
        await settled(pilot)
        await press(pilot, "t", *["down"] * 10, "enter", "down")

    assert snap_compare(app_in(tmp_path), run_before=opened, terminal_size=(120, 40))
