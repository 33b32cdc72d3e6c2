"""The program in terminals that can't show everything: no signs beside ASCII, no colors, sixteen colors, dumb."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.trainer.screens.wired import Wired, wired

pytest.importorskip("termios", reason="there are no pseudo-terminals here")

ENTER, ESCAPE, F1, F4 = b"\r", b"\x1b", b"\x1bOP", b"\x1bOS"
FEW = {"30", "31", "32", "33", "34", "35", "36", "37", "39", "40", "41", "42", "43", "44", "45", "46", "47", "49"}
BRIGHT = {str(number) for number in (*range(90, 98), *range(100, 108))}
WEIGHTS = {"", "0", "1", "3", "4", "7", "22", "23", "24", "27"}
"""Bold, italic, underline, reverse, and their ends."""


SCREENS = (
    (F1, "Help: today"), (ESCAPE, "Enter begin"), (b"l", "Set it no louder"), (ESCAPE, "Enter begin"),
    (b"t", "Clockmender"), (b"\x1b[B", "> "), (ENTER, "Bar 1."), (b" ", "You hear it from bar 1"),
    (ESCAPE, "Clockmender"),
    (ESCAPE, "Enter begin"), (ENTER, "Question 1 of"), (F4, "Helps so far: bass"), (F1, "Help: a question"),
    (ESCAPE, "Helps so far: bass"), (b"purple\r", "as a degree"), (b"1\r", ": the answer"), (ENTER, "Question 2 of"),
    (b"\x1b", "What it came to"), (b"p", "met, "),
)  # fmt: skip
"""Keys, and words that come by them: every screen, an answer that is refused and one that is marked."""


def visited(folder: Path, environ: dict[str, str], pointer: str = "> ") -> Wired:
    """The program after all its screens."""
    with wired(folder, (), environ) as app:
        app.shows("minute")
        for keys, words in SCREENS:
            app.press(keys, pointer if words == "> " else words)
        os.write(app.fd, b"q")
        assert 0 == app.ends()
        return app


def test_in_the_c_locale_all_that_is_written_is_ascii(tmp_path: Path) -> None:
    """Over all screens no byte has its eighth bit set: rules, cursors, edges and signs have their twins."""
    app = visited(tmp_path, {"LC_ALL": "C", "TERM": "xterm-256color"})
    assert app.wrote.isascii()
    assert b"===" in app.wrote


def test_without_colors_none_is_written(tmp_path: Path) -> None:
    """With NO_COLOR only weight, underline and reversal are set, and the row under the cursor is reversed."""
    app = visited(tmp_path, {"LC_ALL": "C.UTF-8", "TERM": "xterm-256color", "NO_COLOR": "1"}, "› ")
    assert set() == app.graphics() - WEIGHTS
    assert "7" in app.graphics()


@pytest.mark.parametrize("term", ["xterm", pytest.param("linux", marks=pytest.mark.long)])
def test_with_sixteen_colors_no_others_are_written(tmp_path: Path, term: str) -> None:
    """Where the terminal says nothing of more colors, it gets its own sixteen and its own ground."""
    app = visited(tmp_path, {"LC_ALL": "C.UTF-8", "TERM": term}, "› ")
    assert set() == app.graphics() - WEIGHTS - FEW - BRIGHT
    assert {"39", "49"} <= app.graphics()


def test_with_many_colors_or_an_empty_no_color_the_look_is_ours(tmp_path: Path) -> None:
    """NO_COLOR counts only where it isn't empty (no-color.org)."""
    with wired(tmp_path, (), {"LC_ALL": "C.UTF-8", "COLORTERM": "truecolor", "TERM": "xterm", "NO_COLOR": ""}) as app:
        app.shows("minute")
        assert b"\x1b[38;2;" in app.wrote or b";38;2;" in app.wrote


def test_on_a_dumb_terminal_there_are_plain_lines(tmp_path: Path) -> None:
    """Nothing moves a cursor there: the bare command prints today's plan, a drill asks in lines."""
    surroundings = {"LC_ALL": "C", "TERM": "dumb"}
    with wired(tmp_path, (), surroundings) as app:
        assert 0 == app.ends()
        assert "keyfarer drill --plain" in app.wrote.decode("ascii")
    with wired(tmp_path, ("drill", "--type", "plagal", "--count", "1", "--seed", "3"), surroundings) as app:
        app.shows("Question 1 of 1.")
        app.press(b"1\r", "Enter goes on.")
        app.press(b"\r", "answers are kept")
        assert 0 == app.ends()
        assert b"\x1b" not in app.wrote
        assert app.wrote.isascii()


@pytest.mark.parametrize(
    "words",
    [
        ("--help",), ("drill", "--help"), ("types",), ("types", "backdoor"), ("tunes",),
        ("analyze", "tallow-lane-after-rain", "--why"), ("analyze", "tallow-lane-after-rain", "--table"), ("progress",),
        ("chart", "check", "tallow-lane-after-rain"), ("types", "bäckdoor"),
    ],
)  # fmt: skip
def test_commands_write_ascii_in_the_c_locale(user_home: Path, words: tuple[str, ...]) -> None:
    """Words, tables and faults have twins too, on a terminal or not."""
    done = subprocess.run(
        (sys.executable, "-m", "trainer", *words), capture_output=True, check=False, env=os.environ | {"LC_ALL": "C"}
    )
    assert done.stdout or done.stderr
    assert done.stdout.isascii()
    assert done.stderr.isascii()


def test_data_stay_what_they_are_in_the_c_locale(user_home: Path) -> None:
    """Rows of values keep every sign where they go to a file or a pipe; JSON escapes what isn't ASCII."""
    surroundings = os.environ | {"LC_ALL": "C"}
    ran = (sys.executable, "-m", "trainer", "analyze", "tallow-lane-after-rain")
    rows = subprocess.run((*ran, "--csv"), capture_output=True, check=True, env=surroundings).stdout
    assert "iiø7" in rows.decode("utf-8")
    values = subprocess.run((*ran, "--json"), capture_output=True, check=True, env=surroundings).stdout
    assert values.isascii()
    assert b"ii\\u00f87" in values


def test_a_title_that_has_no_ascii_is_shown_with_replacements(tmp_path: Path) -> None:
    """A tune's title in other letters neither breaks the list nor the command that keeps it."""
    chart = tmp_path / "bridge.chart"
    chart.write_text("title: Café «夜の橋»\n\n| C | Fm | G7 | C |\n", encoding="utf-8")
    surroundings = {"LC_ALL": "C", "TERM": "xterm"}
    with wired(tmp_path, ("tunes", "add", str(chart)), surroundings) as command:
        assert 0 == command.ends(), command.wrote
        assert command.wrote.isascii()
    with wired(tmp_path, (), surroundings) as app:
        app.shows("minute")
        app.press(b"t", "Cafe <??????>")
        assert app.wrote.isascii()
