"""An exercise in the terminal app: just its questions, results as it goes, gone on with, and nothing asked twice."""

from pathlib import Path
from random import Random

from textual.pilot import Pilot

from tests.trainer.practice.exercising import made
from tests.trainer.practice.practising import HandClock, Remembering, no_tunes
from tests.trainer.screens.piloted import piloted, press, shown, typed
from trainer.drills import kinds
from trainer.memory.store import open_store
from trainer.practice.exercise import Exercise
from trainer.practice.exercise_run import ExerciseRun
from trainer.practice.results import ResultRow, read_results
from trainer.screens.app import KeyfarerApp
from trainer.screens.doors import Doors
from trainer.screens.drill import DrillPage
from trainer.screens.summary import SummaryPage
from trainer.screens.today import TodayPage
from trainer.screens.told import ToldPage
from trainer.settings import Settings


def three() -> Exercise:
    """Three questions with free answers."""
    return made(*(kinds.build("name-functions", "backdoor", 4, seed) for seed in (1, 2, 3)))


def app_over(folder: Path, exercise: Exercise, kept: list[str]) -> KeyfarerApp:
    """The app over an exercise, as the command opens it."""
    store = open_store(folder / "memory.db")
    run = ExerciseRun(exercise, "one", "Ada", kept.append)
    doors = Doors(
        Settings(level_set=True), folder / "settings.toml", store, Remembering(), HandClock(), Random(3), no_tunes,
        lambda: run.items(store), logged=lambda: run.logged(store),
    )  # fmt: skip
    return KeyfarerApp(doors, begin_at_once=True)


def rows(kept: list[str]) -> tuple[ResultRow, ...]:
    """The results as they were last kept."""
    return read_results(kept[-1].encode(), "results.csv")


def test_an_exercise_by_keyboard_in_two_sittings(tmp_path: Path) -> None:
    """Two questions, then Esc; opened again the third one comes by its number, and then there is nothing to ask."""
    exercise, kept = three(), list[str]()
    first = app_over(tmp_path, exercise, kept)

    async def begin(pilot: Pilot[int]) -> None:
        for number in (1, 2):
            assert isinstance(first.screen, DrillPage)
            assert exercise.questions[number - 1] == first.screen.asking.question
            assert f"Question {number} of 3" in shown(first)
            assert not [word for word in ("backdoor", exercise.questions[number - 1].correct) if word in shown(first)]
            await press(pilot, "f4")
            await typed(pilot, exercise.questions[number - 1].correct)
            assert isinstance(first.screen, ToldPage)
            assert number == len(rows(kept))
            if number == 1:
                await press(pilot, "enter")
        await press(pilot, "escape")
        assert isinstance(first.screen, SummaryPage)

    piloted(first, begin)
    assert [(1, 1.0, ("bass",)), (2, 1.0, ("bass",))] == [(row.number, row.credit, row.helps) for row in rows(kept)]
    second = app_over(tmp_path, exercise, kept)

    async def go_on(pilot: Pilot[int]) -> None:
        assert isinstance(second.screen, DrillPage)
        assert "Question 3 of 3" in shown(second)
        assert "▸ ·" not in shown(second)
        await typed(pilot, exercise.questions[2].correct)
        await press(pilot, "s")
        await press(pilot, "enter")
        assert isinstance(second.screen, SummaryPage)
        await press(pilot, "enter")
        assert isinstance(second.screen, TodayPage)
        await press(pilot, "enter")
        assert isinstance(second.screen, TodayPage)
        assert "All 3 questions of this exercise are answered." in " ".join(
            str(n.message) for n in second._notifications
        )

    piloted(second, go_on)
    assert [False, False, True] == [row.slip for row in rows(kept)]
