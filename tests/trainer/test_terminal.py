"""What a terminal can show, by its surroundings."""

import io
import sys

import pytest

from trainer.signs import ENCODING
from trainer.terminal import can_draw, colors, shows_ascii_only, suit_streams


@pytest.mark.parametrize(
    ("environ", "encoding", "coerced", "ascii_only"),
    [
        ({}, "utf-8", True, False),
        ({"LANG": "C.UTF-8"}, "utf-8", False, False),
        ({"LANG": "de_DE.utf8"}, "utf-8", False, False),
        ({"LANG": "de_DE"}, "utf-8", False, False),
        ({"LANG": "C"}, "utf-8", False, True),
        ({"LC_ALL": "C", "LANG": "de_DE.UTF-8"}, "utf-8", True, True),
        ({"LC_ALL": "POSIX"}, "utf-8", True, True),
        ({"LANG": "C", "LC_CTYPE": "C.UTF-8"}, "utf-8", True, True),
        ({"LANG": "C", "LC_CTYPE": "C.UTF-8"}, "utf-8", False, False),
        ({"LC_CTYPE": "C", "LANG": "de_DE.UTF-8"}, "utf-8", False, True),
        ({"LC_ALL": "de_DE.ISO-8859-1"}, "utf-8", True, True),
        ({"LC_ALL": "de_DE.ISO-8859-15@euro"}, "utf-8", True, True),
        ({"LC_ALL": "C.UTF-8"}, "ascii", False, True),
        ({"LC_ALL": "C.UTF-8"}, "iso8859-1", False, True),
        ({}, "cp1252", False, True),
    ],
)
def test_the_locale_and_the_encoding_say_whether_signs_are_shown(
    environ: dict[str, str], encoding: str, coerced: bool, ascii_only: bool
) -> None:
    """LC_ALL before LC_CTYPE before LANG (POSIX.1-2017, 8.2); what Python made of the C locale says nothing."""
    assert ascii_only == shows_ascii_only(environ, encoding, coerced)


@pytest.mark.parametrize(
    ("environ", "platform", "palette"),
    [
        ({"TERM": "xterm-256color"}, "linux", "many"),
        ({"TERM": "xterm", "COLORTERM": "truecolor"}, "linux", "many"),
        ({"TERM": "xterm-kitty"}, "linux", "many"),
        ({"TERM": "xterm"}, "linux", "few"),
        ({"TERM": "linux"}, "linux", "few"),
        ({"TERM": "screen"}, "linux", "few"),
        ({}, "linux", "few"),
        ({}, "win32", "many"),
        ({"TERM": "dumb"}, "linux", "none"),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, "linux", "none"),
        ({"TERM": "xterm-256color", "NO_COLOR": "0", "COLORTERM": "truecolor"}, "linux", "none"),
        ({"TERM": "xterm-256color", "NO_COLOR": ""}, "linux", "many"),
    ],
)
def test_colors_are_as_the_surroundings_say(environ: dict[str, str], platform: str, palette: str) -> None:
    """NO_COLOR with any value but an empty one takes colors away (no-color.org); TERM and COLORTERM say how many."""
    assert palette == colors(environ, platform)


class Wire(io.StringIO):
    """A stream that is a terminal, or isn't."""

    def __init__(self, terminal: bool) -> None:
        super().__init__()
        self.terminal = terminal

    def isatty(self) -> bool:
        """Whether it is one."""
        return self.terminal


@pytest.mark.parametrize(
    ("stdin", "stdout", "stderr", "term", "drawn"),
    [
        (True, True, True, "xterm", True),
        (True, True, True, "dumb", False),
        (False, True, True, "xterm", False),
        (True, False, True, "xterm", False),
        (True, True, False, "xterm", False),
    ],
)
def test_the_app_needs_a_terminal_all_round(
    monkeypatch: pytest.MonkeyPatch, stdin: bool, stdout: bool, stderr: bool, term: str, drawn: bool
) -> None:
    """Input, output and standard error, which is drawn on, are a terminal that isn't dumb."""
    for name, terminal in (("stdin", stdin), ("stdout", stdout), ("stderr", stderr)):
        monkeypatch.setattr(sys, name, Wire(terminal))
    monkeypatch.setenv("TERM", term)
    assert drawn == can_draw()


def test_streams_take_twins_in_the_c_locale(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both streams write ASCII where the locale is C, and everything where it is not."""
    for locale, encoding in (("C", ENCODING), ("C.UTF-8", "utf-8")):
        monkeypatch.setenv("LC_ALL", locale)
        for name in ("stdout", "stderr"):
            monkeypatch.setattr(sys, name, io.TextIOWrapper(io.BytesIO(), encoding="utf-8"))
        suit_streams()
        assert (encoding, encoding) == (sys.stdout.encoding, sys.stderr.encoding)
