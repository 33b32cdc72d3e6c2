"""Steps of the session beside the event loop: in order, none lost, none for a question that is gone."""

import asyncio
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from synth.errors import SoundError
from tests.trainer.screens.piloted import (
    Held,
    app_in,
    piloted,
    press,
    settled,
    shown,
    typed,
    words,
    written,
)
from trainer.memory.store_faults import StoreError
from trainer.practice.session import Asking, Done, Told
from trainer.screens.drill import DrillPage
from trainer.screens.help import HelpPage
from trainer.screens.level import LevelPage
from trainer.screens.summary import SummaryPage
from trainer.screens.today import TodayPage
from trainer.screens.told import ToldPage
from trainer.voicing.sheet import Performance

TWO_FIVE = ("major-two-five-one",)


class Broken(Held):
    """A sound that can fail."""

    error: Exception | None = None

    def play(self, performance: Performance) -> None:
        """Fail, or remember."""
        if self.error is not None:
            raise self.error
        super().play(performance)


def test_helps_pressed_while_one_is_made_all_come_in_order(tmp_path: Path) -> None:
    """Three helps pressed at once are heard one after the other and counted; the same one twice is one."""
    sound = Held()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        sound.free.clear()
        await pilot.press("f4", "f4", "f3", "f7", "f7")
        sound.free.set()
        await settled(pilot)
        assert isinstance(app.session.state, Asking)  # type: ignore[union-attr]
        assert ("bass", "slower", "key") == app.session.state.helps  # type: ignore[union-attr]

    piloted(app, play)


def test_a_question_is_answered_once_however_often_the_key_is_pressed(tmp_path: Path) -> None:
    """Digits and Enter pressed again and again answer one question and go on by one question."""
    sound = Held()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        sound.free.clear()
        await pilot.press("f3", "1", "2", "1")
        sound.free.set()
        await settled(pilot)
        assert isinstance(app.screen, ToldPage)
        assert 1 == len(list(app.doors.store.trials()))
        sound.free.clear()
        await pilot.press("enter", "enter", "space", "enter")
        sound.free.set()
        await settled(pilot)
        assert isinstance(app.session.state, Asking)  # type: ignore[union-attr]
        assert 2 == app.session.state.number  # type: ignore[union-attr]
        assert () == app.session.state.helps  # type: ignore[union-attr]

    piloted(app, play)


def test_stop_pressed_while_a_sound_is_made_is_not_lost(tmp_path: Path) -> None:
    """Esc during a step ends the session after it, once, and the answer before it is kept."""
    sound = Held()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1")
        sound.free.clear()
        await pilot.press("space", "escape", "escape")
        sound.free.set()
        await settled(pilot)
        assert isinstance(app.screen, SummaryPage)
        assert isinstance(app.session.state, Done)  # type: ignore[union-attr]
        assert 3 == len(app.screen_stack)
        assert 1 == len(list(app.doors.store.trials()))

    piloted(app, play)


def test_help_open_while_a_step_ends_stays_and_the_typing_below_too(tmp_path: Path) -> None:
    """A help that comes to sound under the help screen closes nothing and clears nothing."""
    sound = Held()
    app = app_in(tmp_path, rung=3, types=TWO_FIVE, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await written(pilot, "2 5")
        sound.free.clear()
        await pilot.press("f4", "f1")
        sound.free.set()
        await settled(pilot)
        assert isinstance(app.screen, HelpPage)
        await press(pilot, "escape")
        assert "2 5" == app.screen.query_one(Input).value
        assert "Helps so far: bass" in shown(app)

    piloted(app, play)


def test_a_sound_that_fails_in_a_help_is_told_in_one_line(tmp_path: Path) -> None:
    """The question waits, the help is not counted, and the answer is taken."""
    sound = Broken()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        sound.error = SoundError("the loudspeaker\nis on fire")
        await press(pilot, "f3")
        assert "the loudspeaker is on fire" in words(app)
        assert "Helps so far" not in shown(app)
        sound.error = None
        await press(pilot, "1")
        assert isinstance(app.screen, ToldPage)

    piloted(app, play)


def test_a_question_whose_sound_fails_is_asked_all_the_same(tmp_path: Path) -> None:
    """A question that can't sound is shown, the reason told, and it can be heard again."""
    sound = Broken()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        sound.error = SoundError("no way out")
        await press(pilot, "enter")
        assert isinstance(app.screen, DrillPage)
        assert "no way out" in words(app)
        await press(pilot, "1", "enter")
        assert "Question 2 of 3" in shown(app)
        assert "no way out" in words(app)
        sound.error = None
        await press(pilot, "f2")
        assert "Helps so far: again" in shown(app)

    piloted(app, play)


def test_an_answer_that_cant_be_kept_is_told_and_can_be_given_again(tmp_path: Path) -> None:
    """A full disk refuses the answer in words; the question waits with what was typed."""
    app = app_in(tmp_path, rung=3, types=TWO_FIVE)

    async def play(pilot: Pilot[int]) -> None:
        store = app.doors.store
        kept = store.append

        def full(trial: object) -> None:
            raise StoreError("the disk is full")

        await press(pilot, "enter")
        store.append = full  # type: ignore[method-assign, assignment]
        await typed(pilot, "2 5 1")
        assert isinstance(app.screen, DrillPage)
        assert "the disk is full" in words(app)
        assert "2 5 1" == app.screen.query_one(Input).value
        store.append = kept  # type: ignore[method-assign]
        await press(pilot, "enter")
        assert isinstance(app.session.state, Told)  # type: ignore[union-attr]
        assert 1 == len(list(store.trials()))

    piloted(app, play)


def test_a_session_that_cant_begin_is_told_on_today(tmp_path: Path) -> None:
    """Where the store can't be read the player stays on today and reads why."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        def broken() -> bool:
            raise StoreError("the store is locked")

        app.doors.store.refresh = broken  # type: ignore[method-assign]
        await press(pilot, "enter")
        assert isinstance(app.screen, TodayPage)
        assert ["the store is locked"] == [note.message for note in app._notifications]

    piloted(app, play)


def test_a_sample_that_fails_is_told_on_the_level_screen(tmp_path: Path) -> None:
    """A broken sound leaves the level screen standing with the reason."""
    sound = Broken()
    sound.error = SoundError("nothing to play through")
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "l", "up")
        assert isinstance(app.screen, LevelPage)
        assert "Sound: nothing to play through" in words(app)

    piloted(app, play)


def test_what_is_to_be_known_about_the_sound_stands_below_the_question(tmp_path: Path) -> None:
    """A remark of the way out is shown with question and answer, and leaves when it is mended."""
    sound = Held()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        sound.remark = "the sound device went away"
        await press(pilot, "enter")
        assert "Sound: the sound device went away" in words(app)
        await press(pilot, "1")
        assert "Sound: the sound device went away" in words(app)
        sound.remark = None
        await press(pilot, "enter")
        assert "Sound:" not in shown(app)

    piloted(app, play)


def test_a_signal_to_end_leaves_like_ctrl_c(tmp_path: Path) -> None:
    """The exit code says which signal it was, what was to come is dropped, and answers are kept."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1")
        app.leave_with(143)
        await pilot.pause()
        assert 1 == len(list(app.doors.store.trials()))

    piloted(app, play)
    assert 143 == app.return_value


@pytest.mark.parametrize("turns", range(0, 24, 2))
def test_leaving_while_a_question_opens_is_no_fault(tmp_path: Path, turns: int) -> None:
    """An app that is told to leave so many turns after a question began to open ends in order."""
    app = app_in(tmp_path)

    async def leave(pilot: Pilot[int]) -> None:
        app.begin()
        while not any(isinstance(page, DrillPage) for page in app.screen_stack):
            await asyncio.sleep(0)
        for _ in range(turns):
            await asyncio.sleep(0)
        await app.action_quit()

    piloted(app, leave)
    assert 0 == app.return_code
