"""The first run in the app: from nothing to the first right answer with five keys, none of it counted."""

from pathlib import Path

from textual.pilot import Pilot

from tests.trainer.practice.practising import Remembering
from tests.trainer.screens.piloted import app_in, piloted, press, words
from trainer.screens.drill import DrillPage
from trainer.screens.first import FirstPage
from trainer.screens.level import LevelPage
from trainer.screens.today import TodayPage


def test_the_first_run_leads_to_the_first_question(tmp_path: Path) -> None:
    """Level, the chord of rest, a two–five–one, then the day's questions; what is answered before isn't logged."""
    app = app_in(tmp_path, level_set=False, today=True)
    sound = app.doors.sounding
    assert isinstance(sound, Remembering)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        assert isinstance(app.screen, LevelPage)
        assert "harm hearing" in words(app)
        await press(pilot, "enter")
        page = app.screen
        assert isinstance(page, FirstPage)
        for n in range(2):
            assert page.step.performance is sound.played[-1]
            wrong = 1 + page.step.right % page.step.choices
            heard = len(sound.played)
            await press(pilot, f"{wrong}")
            assert page.step.other in words(app)
            assert heard + 1 == len(sound.played)
            await press(pilot, f"{page.step.right}")
            assert page.step.told in words(app)
            assert n == page.at
            await press(pilot, "enter")
        assert isinstance(app.screen, DrillPage)
        assert [] == list(app.doors.store.trials())

    piloted(app, play)


def test_whoever_knows_passes_on_or_goes_back(tmp_path: Path) -> None:
    """P leads to the questions, Esc back to today; digits that aren't offered do nothing."""
    app = app_in(tmp_path, level_set=False, today=True)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "enter", "9", "0")
        assert isinstance(app.screen, FirstPage)
        assert not app.screen.heard
        await press(pilot, "escape")
        assert isinstance(app.screen, TodayPage)
        app.begin_with_first_steps()
        await press(pilot, "p")
        assert isinstance(app.screen, DrillPage)

    piloted(app, play)


def test_who_asked_for_something_has_it_at_once(tmp_path: Path) -> None:
    """Fixed questions aren't kept waiting by the first steps."""
    app = app_in(tmp_path, level_set=False)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "enter")
        assert isinstance(app.screen, DrillPage)

    piloted(app, play)
