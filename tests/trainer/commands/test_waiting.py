"""The bar that shows how far long work is: on a terminal only, when one waits, out of the way of other lines."""

import io
from pathlib import Path

import pytest

from trainer.commands.waiting import AFTER_S, Waiting
from trainer.places import settings_file


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """It is."""
        return True


class Clock:
    """A clock that the test moves on."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        """The present moment."""
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    """A clock at 0."""
    return Clock()


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """A terminal of some sort."""
    monkeypatch.setenv("TERM", "xterm-256color")
    return Terminal()


def work(stream: io.StringIO, clock: Clock, count: int, each_s: float, shown: bool = True) -> None:
    """So many steps, each of which takes so long."""
    with Waiting(count, shown, clock, stream) as waiting:
        for _ in range(count):
            clock.now_s += each_s
            waiting.step()


def test_long_work_shows_how_far_it_is(terminal: Terminal, clock: Clock) -> None:
    """After a moment the bar comes, counts on, and closes with all done and the cursor shown again."""
    work(terminal, clock, 10, AFTER_S / 2)
    said = terminal.getvalue()
    assert "2/10" in said
    assert "1/10" not in said.replace("\r", " ").split("2/10")[0]
    assert said.index("2/10") < said.index("9/10") < said.index("10/10")
    assert said.endswith("\n")
    assert said.rfind("\x1b[?25h") > said.rfind("\x1b[?25l")


@pytest.mark.parametrize(
    ("count", "each_s", "shown"),
    [(10, AFTER_S / 20, True), (1, AFTER_S * 9, True), (10, AFTER_S, False), (0, 1.0, True)],
)
def test_nothing_is_drawn_for_a_moments_work(
    terminal: Terminal, clock: Clock, count: int, each_s: float, shown: bool
) -> None:
    """Short work, a single thing and work whose output is itself seen have no bar."""
    work(terminal, clock, count, each_s, shown)
    assert "" == terminal.getvalue()


def test_nothing_is_drawn_in_a_pipe(clock: Clock) -> None:
    """A stream that is no terminal gets nothing."""
    pipe = io.StringIO()
    work(pipe, clock, 10, AFTER_S)
    assert "" == pipe.getvalue()


def test_nothing_is_drawn_on_a_dumb_terminal(terminal: Terminal, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that can't go back in its line gets nothing."""
    monkeypatch.setenv("TERM", "dumb")
    work(terminal, clock, 10, AFTER_S)
    assert "" == terminal.getvalue()


def test_nothing_is_drawn_where_plain_lines_are_wanted(
    terminal: Terminal, clock: Clock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who has set plain lines, for a screen reader say, gets no bar."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path))
    settings_file().write_text("plain = true\n", encoding="utf-8")
    work(terminal, clock, 10, AFTER_S)
    assert "" == terminal.getvalue()


def test_a_line_of_text_finds_its_place(terminal: Terminal, clock: Clock) -> None:
    """Before a line is written the bar is wiped out, and it comes again behind it."""
    with Waiting(10, True, clock, terminal) as waiting:
        for _ in range(4):
            clock.now_s += AFTER_S
            waiting.step()
        waiting.aside()
        before = terminal.getvalue()
        terminal.write("a line\n")
        waiting.step()
    assert before.endswith("\r")
    assert set(before.rstrip("\r").rpartition("\r")[2]) == {" "}
    assert "5/10" in terminal.getvalue().partition("a line\n")[2]
