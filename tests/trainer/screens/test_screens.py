"""The terminal app driven by its keys, over twins of everything outside."""

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.trainer.practice.practising import Remembering
from tests.trainer.screens.piloted import app_in, piloted, press, settled, shown, typed, words, written
from trainer.practice.session import Asking, Done, Told
from trainer.screens.app import KeyfarerApp
from trainer.screens.drill import DrillPage
from trainer.screens.level import LevelPage
from trainer.screens.progress import ProgressPage
from trainer.screens.summary import SummaryPage
from trainer.screens.theme import THEMES
from trainer.screens.today import TodayPage
from trainer.screens.told import ToldPage
from trainer.screens.widgets.listing import Listing
from trainer.settings import LOOKS, load


def test_a_whole_session_by_keyboard(tmp_path: Path) -> None:
    """From today through three questions to the summary and back, with nothing but keys."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        assert isinstance(app.screen, TodayPage)
        await press(pilot, "enter")
        for _ in range(3):
            assert isinstance(app.screen, DrillPage)
            assert isinstance(app.session.state, Asking)  # type: ignore[union-attr]
            await press(pilot, "1")
            assert isinstance(app.screen, ToldPage)
            await press(pilot, "enter")
        assert isinstance(app.screen, SummaryPage)
        assert "of 3 right" in shown(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, TodayPage)
        assert 3 == len(list(app.doors.store.trials()))

    piloted(app, play)


def test_todays_plan_is_shown_with_its_reasons(tmp_path: Path) -> None:
    """A new player's first day names the types and says that they are new."""
    app = app_in(tmp_path, today=True)

    async def play(pilot: Pilot[int]) -> None:
        assert "questions, about" in shown(app)
        assert "five–one in major" in shown(app)
        assert "for the first time" in shown(app)

    piloted(app, play)


def test_the_first_time_the_level_comes_first(tmp_path: Path) -> None:
    """Before the first question the level is set, with the cautions; it is saved and the session begins."""
    app = app_in(tmp_path, level_set=False)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        assert isinstance(app.screen, LevelPage)
        for word in ("harm hearing", "take breaks", "H.870", "NIOSH", "local rules", "audiologist"):
            assert word in words(app)
        await press(pilot, "up", "up", "down", "space", "enter")
        assert isinstance(app.screen, DrillPage)
        saved = load(tmp_path / "settings.toml")
        assert (True, -28.0) == (saved.level_set, saved.volume_db)

    piloted(app, play)


@pytest.mark.parametrize(
    ("key", "help"),
    [
        ("f2", "again"),
        ("space", "again"),
        ("f3", "slower"),
        ("f4", "bass"),
        ("f5", "guide"),
        ("f6", "arpeggio"),
        ("f7", "key"),
    ],
)
def test_each_help_has_its_key(tmp_path: Path, key: str, help: str) -> None:
    """A help's key plays the question so and is counted on the screen."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", key)
        assert isinstance(app.doors.sounding, Remembering)
        assert 2 == len(app.doors.sounding.played)
        assert f"Helps so far: {help}" in shown(app)

    piloted(app, play)


def test_words_can_be_typed(tmp_path: Path) -> None:
    """A help, slip and skip can be typed as words, and a row of degrees is an answer."""
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await typed(pilot, "slip")
        assert "Nothing has been answered yet" in shown(app)
        await typed(pilot, "bass")
        assert "Helps so far: bass" in shown(app)
        await typed(pilot, "2 5 1")
        assert isinstance(app.screen, ToldPage)
        assert "Right, with help (bass)." in shown(app)
        await press(pilot, "enter")
        await typed(pilot, "skip")
        assert "Passed over." in shown(app)

    piloted(app, play)


def test_a_question_can_be_paused(tmp_path: Path) -> None:
    """F9, or `pause` typed, stops the question and says so; F9 again lets it sound from its beginning."""
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "f9")
        assert "paused, and no time counts; F9 goes on" in shown(app)
        await press(pilot, "f9")
        assert "paused" not in shown(app)
        assert "Helps so far: again" in shown(app)
        await typed(pilot, "pause")
        assert "paused, and no time counts" in shown(app)
        await typed(pilot, "2 5 1")
        assert isinstance(app.screen, ToldPage)

    piloted(app, play)


def test_the_sound_can_be_turned_in_mid_question(tmp_path: Path) -> None:
    """`softer` and `louder` typed turn the sound by a step of the level, keep it, and stop at the top."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await typed(pilot, "softer")
        await typed(pilot, "Softer")
        assert "Level 18 of 20" in shown(app)
        assert -4.0 == load(tmp_path / "settings.toml").volume_db
        for _ in range(3):
            await typed(pilot, "louder")
        assert "Level 20 of 20" in shown(app)
        assert 0.0 == load(tmp_path / "settings.toml").volume_db
        assert isinstance(app.screen, DrillPage)
        assert [] == list(app.doors.store.trials())

    piloted(app, play)


def test_an_answer_that_cant_be_read_is_told_and_the_question_waits(tmp_path: Path) -> None:
    """Nonsense leaves the question, says what is accepted, and the next thing typed takes its place."""
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await typed(pilot, "purple")
        assert isinstance(app.screen, DrillPage)
        assert "can't read" in words(app)
        assert [] == list(app.doors.store.trials())
        await typed(pilot, "2 5 1")
        assert isinstance(app.screen, ToldPage)
        assert ["2 5 1"] == [trial.answer for trial in app.doors.store.trials()]

    piloted(app, play)


def test_after_the_answer_both_can_be_heard_and_a_slip_taken_back(tmp_path: Path) -> None:
    """The row said stands over the row that was; Space and M play them; S takes the answer back."""
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await typed(pilot, "2 5 6")
        rows = [line.split() for line in shown(app).splitlines()]
        assert ["you", "said", "2", "5", "6"] in rows
        assert ["right", "right", "partly"] in rows
        await press(pilot, "space")
        assert "as it was" in words(app)
        await press(pilot, "m")
        assert "as you answered" in words(app)
        assert isinstance(app.doors.sounding, Remembering)
        assert 3 == len(app.doors.sounding.played)
        await press(pilot, "s")
        assert "A slip: it does not count." in shown(app)
        assert 1 == len(app.doors.store.slips())

    piloted(app, play)


def test_escape_stops_and_keeps_the_answers(tmp_path: Path) -> None:
    """Esc in mid-question ends the session; what was answered is summed up."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1", "enter", "escape")
        assert isinstance(app.screen, SummaryPage)
        assert isinstance(app.session.state, Done)  # type: ignore[union-attr]
        assert 1 == len(list(app.doors.store.trials()))

    piloted(app, play)


def test_ctrl_c_leaves_at_once_and_keeps_the_answers(tmp_path: Path) -> None:
    """Ctrl-C anywhere ends the app with 130; the log has what was answered."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1")
        assert isinstance(app.session.state, Told)  # type: ignore[union-attr]
        assert 1 == len(list(app.doors.store.trials()))
        await pilot.press("ctrl+c")
        await pilot.pause()

    piloted(app, play)
    assert 130 == app.return_value


def test_a_resize_in_mid_question_leaves_the_question(tmp_path: Path) -> None:
    """Growing and shrinking the window keeps the question and what was typed."""
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await written(pilot, "2 5")
        for size in ((200, 60), (60, 20), (120, 40)):
            await pilot.resize_terminal(*size)
            await settled(pilot)
        assert "2 5" == app.screen.query_one(Input).value
        assert "Question 1 of 3" in shown(app)

    piloted(app, play)


def test_progress_shows_what_was_met(tmp_path: Path) -> None:
    """After a session the table has a row for each type, with when it comes back."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p")
        assert "Nothing has been practised yet" in shown(app)
        await press(pilot, "escape", "enter", "1", "enter", "1", "enter", "1", "enter", "p")
        assert isinstance(app.screen, ProgressPage)
        assert 2 == app.screen.query_one(Listing).rows
        assert "2 types met" in shown(app)
        assert "tomorrow" in shown(app) or "in " in shown(app)

    piloted(app, play)


def test_the_look_can_be_changed_and_is_kept(tmp_path: Path) -> None:
    """C goes from dark to light to the strongest contrast and round again; the next start has what was left."""
    app: KeyfarerApp = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        for look in ("evening", "paper", "stark", "evening", "paper"):
            assert look == app.theme
            await press(pilot, "c")
        assert "stark" == load(app.doors.settings_file).look

    piloted(app, play)
    again = app_in(tmp_path)
    again.doors.settings = load(again.doors.settings_file)

    async def look(pilot: Pilot[int]) -> None:
        assert "stark" == again.theme

    piloted(again, look)


def test_every_look_is_a_setting() -> None:
    """The words of the settings are the names of the themes."""
    assert LOOKS == tuple(theme.name for theme in THEMES)


@pytest.mark.parametrize("rung", [1, 2, 3, 4])
@pytest.mark.parametrize("unit", ["major-two-five-one", "minor-turnaround", "interrupted-after-two"])
def test_usual_questions_fit_eighty_by_twenty_four(tmp_path: Path, unit: str, rung: int) -> None:
    """Nothing scrolls while a question is asked, with a help taken and an answer refused."""
    app = app_in(tmp_path, rung=rung, types=(unit,))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "f4")
        await typed(pilot, "purple")
        assert 0 == app.screen.query_one("#body").max_scroll_y

    piloted(app, play)


def test_an_interruption_is_braced_and_told_part_by_part(tmp_path: Path) -> None:
    """What was said of each part stands beside what it was; the other key's chords are braced."""
    app = app_in(tmp_path, rung=3, types=("interrupted-after-two",), count=8)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        seen = set()
        for _ in range(8):
            question = app.session.state.question  # type: ignore[union-attr]
            foreign = question.broken.foreign
            await typed(pilot, "yes 3 +1 4")
            assert "you said it was" in words(app)
            assert (foreign is not None) == ("╰" in shown(app))
            seen.add(question.broken.breaks_in)
            await press(pilot, "m")
            assert "without the other key" in words(app)
            await press(pilot, "enter")
        assert {True, False} == seen

    piloted(app, play)
