"""Ten minutes in a real terminal: every kind of drill with its helps, then a tune added, found, explored and heard."""

import re
import time
from pathlib import Path

import pytest

from tests.trainer.screens.terminal import Terminal, needs_tmux
from trainer.drills.kinds import KINDS, kinds_for
from trainer.memory.store import open_store
from trainer.practice.kept_tunes import load_index

SIZES = [(80, 24), (120, 40), (200, 60)]
IN_TURN = [pytest.param(size, marks=pytest.mark.long) if n else size for n, size in enumerate(SIZES)]
"""The others take their time with `--long`."""
TYPED = {
    "name-functions": "2 5 1", "name-cadence": "backdoor", "finish-it": "4 major", "guide-tones": "1 7 7",
    "catch-interruption": "yes 2 up a half step", "tell-apart": "first 2", "key-moves": "+3", "follow-route": "1 b3 1",
    "dictation": "1 6 2 5",
}  # fmt: skip
"""An answer of each kind, right or not, where none is offered to be picked."""
UNITS = ("major-two-five-one", "interrupted-after-two", "move:+3:major-minor", "route:the-lending-stair")
"""What has, between them, every kind of drill."""


def opened(folder: Path, size: tuple[int, int], words: str) -> Terminal:
    """The program in a terminal, its level set before."""
    needs_tmux()
    (folder / "home").mkdir(exist_ok=True)
    (folder / "home" / "settings.toml").write_text("level_set = true\n", encoding="utf-8")
    return Terminal(folder, *size, words)


@pytest.fixture(params=IN_TURN, ids=[f"{width}x{height}" for width, height in SIZES])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    """One of the terminal's sizes."""
    given: tuple[int, int] = request.param
    return given


def test_there_is_an_answer_of_every_kind() -> None:
    """The session below leaves no kind out."""
    assert set(TYPED) == set(KINDS) == {kind for unit in UNITS for kind in kinds_for(unit)}


def test_a_session_of_every_kind(tmp_path: Path, size: tuple[int, int]) -> None:
    """Each kind is asked, heard again, helped, answered by a digit or in words, compared, and goes on; all is kept."""
    types = " ".join(f"--type {unit}" for unit in UNITS)
    count = sum(len(kinds_for(unit)) for unit in UNITS)
    terminal = opened(tmp_path, size, f"drill {types} --count {count} --seed 3")
    names = {KINDS[kind].name.lower(): kind for kind in KINDS}
    met: set[str] = set()
    try:
        for n in range(1, count + 1):
            terminal.shows(f"Question {n} of {count}")
            screen = terminal.screen
            found = re.search(r"Question \d+ of \d+: (.+?)(  |\n)", screen)
            assert found, screen
            kind = names[found[1].strip()]
            met.add(kind)
            terminal.press("F2")
            terminal.shows("Helps so far: again")
            if "press 1" in terminal.screen:
                terminal.press("1")
            else:
                terminal.types(TYPED[kind])
                terminal.press("Enter")
            shown = terminal.shows_one(": the answer", "expected", "Type ", "is asked")
            if shown != ": the answer" and ": the answer" not in terminal.screen:
                terminal.press("F8")  # it doesn't fit this question: passed over
            terminal.shows(": the answer")
            terminal.press("Space")
            terminal.press("m")
            terminal.press("Enter")
        terminal.shows("What it came to")
        terminal.press("q")
        terminal.shows("left with 0")
    finally:
        terminal.close()
    assert met == set(KINDS)
    with open_store(tmp_path / "home" / "memory.db") as store:
        trials = list(store.trials())
    assert count == len(trials)
    assert set(KINDS) == {trial.kind for trial in trials}


def test_a_tune_is_added_and_explored(tmp_path: Path, size: tuple[int, int]) -> None:
    """From the list a chart is added by its file, found by a word, opened, read bar by bar, heard and left."""
    chart = tmp_path / "gull.chart"
    chart.write_text(
        "title: The Gull on the Mast\n\n[A]\n| Cm7 | F7 | Bbmaj7 | Bb6 |\n[B]\n| Em7 | A7 | Dmaj7 | D6 |\n",
        encoding="utf-8",
    )
    terminal = opened(tmp_path, size, "")
    try:
        terminal.shows("questions, about")
        terminal.press("t")
        terminal.shows("18 tunes")
        terminal.press("a")
        terminal.shows("a chart's file, or a folder of charts")
        terminal.types(str(chart))
        terminal.press("Enter")
        terminal.shows("19 tunes, 1 of them yours.")
        terminal.press("/")
        terminal.shows("words to search for")
        terminal.types("gull")
        terminal.shows("1 of 19 tunes")
        terminal.press("Enter")
        time.sleep(0.5)  # the list has the keys again
        terminal.press("l")
        terminal.shows("to learn")
        terminal.press("Enter")
        terminal.shows("It goes through 2 key centers: Bb major, D major.")
        terminal.shows("Bar 1. Cm7 is ii7 in Bb major.")
        terminal.press("Down", "Right")
        terminal.shows("Bar 6. A7 is V7 in D major.")
        terminal.press("Space")
        terminal.shows("You hear it from bar 6")
        terminal.press("r")
        terminal.shows("You hear the key centers")
        terminal.press("Escape")
        terminal.shows("tunes, 1 of them yours.")
        terminal.press("q")
        terminal.shows("left with 0")
    finally:
        terminal.close()
    index = load_index(tmp_path / "home" / "tunes")
    assert ("the-gull-on-the-mast",) == index.ids
    assert {"the-gull-on-the-mast"} == set(index.learning)
