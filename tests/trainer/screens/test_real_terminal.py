"""The installed program in a real terminal (tmux), from the first start to the end of a session."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.trainer.practice.exercising import bytes_of, made
from tests.trainer.screens.terminal import Terminal, needs_tmux, through_first_steps
from trainer.drills.kinds import build
from trainer.memory.store import open_store
from trainer.practice.results import read_results


@pytest.fixture(
    params=[(80, 24), *(pytest.param(size, marks=pytest.mark.long) for size in ((120, 40), (200, 60)))],
    ids=["80x24", "120x40", "200x60"],
)
def terminal(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Terminal]:
    """A terminal in which the program has just been started for the first time."""
    needs_tmux()
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "settings.toml").write_text("minutes = 5\n", encoding="utf-8")
    started = Terminal(tmp_path, *request.param)
    yield started
    started.close()


def test_from_the_first_start_to_the_summary(terminal: Terminal, tmp_path: Path) -> None:
    """First run, level, first steps, a question, help, a resize in mid-question, an answer, stop, progress, leave."""
    terminal.shows("for the first time")
    terminal.press("Enter")
    terminal.shows("Level 5 of 20")
    terminal.press("Up")
    terminal.shows("Level 6 of 20")
    terminal.press("Enter")
    through_first_steps(terminal)
    terminal.press("F4")
    terminal.shows("Helps so far: bass")
    terminal.press("F1")
    terminal.shows("Help: a question")
    terminal.press("Escape")
    terminal.shows("Helps so far: bass")
    terminal.tmux("resize-window", "-x", "100", "-y", "30")
    terminal.shows("Helps so far: bass")
    terminal.press("1")
    terminal.shows(": the answer")
    terminal.press("Enter")
    terminal.shows("Question 2 of")
    terminal.press("Escape")
    terminal.shows("What it came to")
    terminal.press("p")
    terminal.shows("1 type met")
    terminal.press("q")
    terminal.shows("left with 0")
    with open_store(tmp_path / "home" / "memory.db") as store:
        assert 1 == len(list(store.trials()))


def test_ctrl_c_in_mid_question_keeps_the_answers_and_gives_the_terminal_back(
    terminal: Terminal, tmp_path: Path
) -> None:
    """Ctrl-C leaves with 130, the screen is the shell's again, the answer before is kept."""
    terminal.shows("for the first time")
    terminal.press("Enter")
    terminal.shows("Level 5 of 20")
    terminal.press("Enter")
    terminal.shows("First steps")
    terminal.press("p")
    terminal.shows("Question 1 of")
    terminal.press("1")
    terminal.shows(": the answer")
    terminal.press("Enter")
    terminal.shows("Question 2 of")
    terminal.press("C-c")
    screen = terminal.shows("left with 130")
    assert "Question" not in screen
    with open_store(tmp_path / "home" / "memory.db") as store:
        assert 1 == len(list(store.trials()))


def test_an_exercise_from_the_name_to_the_results(tmp_path: Path) -> None:
    """The name is asked for, title and note are told, a question is answered, and where the results are comes last."""
    needs_tmux()
    exercise = made(*(build("name-functions", "plagal", 2, seed) for seed in (1, 2)))
    (tmp_path / "week.exercise").write_bytes(bytes_of(exercise))
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "settings.toml").write_text("level_set = true\n", encoding="utf-8")
    words = f"exercise open {tmp_path}/week.exercise --results {tmp_path}/ada.csv"
    terminal = Terminal(tmp_path, 120, 40, words)
    try:
        terminal.shows("Your name, for your teacher")
        terminal.press("Ada", "Space", "Quill", "Enter")
        screen = terminal.shows("Enter begins.")
        assert "Week three: 2 questions that your teacher chose. Sing the tonic first." in screen
        terminal.press("Enter")
        terminal.shows("Question 1 of 2")
        terminal.press("1")
        terminal.shows(": the answer")
        terminal.press("Enter")
        terminal.shows("Question 2 of 2")
        terminal.press("Escape")
        terminal.shows("What it came to")
        terminal.press("q")
        screen = terminal.shows("left with 0")
        assert "Exercise: 1 of 2 answered" in screen
        assert "goesonwithquestion2." in "".join(screen.split())  # the line may be folded anywhere
        rows = read_results((tmp_path / "ada.csv").read_bytes(), "ada.csv")
        assert [("Ada Quill", 1, "1")] == [(row.student, row.number, row.answer) for row in rows]
    finally:
        terminal.close()
