"""Starts that come to nothing and terminals that go away: the app leaves, and says why where somebody can read it."""

import sys
import time
from pathlib import Path

import pytest

from tests.trainer.screens.wired import wired

SURROUNDINGS = {"LC_ALL": "C.UTF-8", "TERM": "xterm-256color", "COLORTERM": "truecolor"}
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX")


def test_a_memory_that_cant_be_opened_is_told_after_the_screen(tmp_path: Path) -> None:
    """The app gives the screen back, tells the fault as commands do and ends with 2."""
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "settings.toml").write_text("level_set = true\n", encoding="utf-8")
    (tmp_path / "home" / "memory.db").write_bytes(b"this is no store" * 100)
    with wired(tmp_path, (), SURROUNDINGS) as app:
        assert 2 == app.ends()
        told = app.wrote.decode(errors="replace")
    after = told.rpartition("\x1b[?1049l")[2]
    assert "keyfarer:" in after
    assert "memory.db" in after
    assert "Traceback" not in told


def test_a_terminal_that_is_gone_ends_the_app(tmp_path: Path) -> None:
    """No signal comes where the terminal never was the app's own; still it doesn't go on reading nothing for ever."""
    with wired(tmp_path, (), SURROUNDINGS) as app:
        app.shows("minute")
        app.hang_up()
        until = time.monotonic() + 20
        while app.process.poll() is None:
            assert time.monotonic() < until, "it goes on without a terminal"
            time.sleep(0.1)
    assert 129 == app.process.returncode
