"""Keys in real terminals, words in real pipes; the terminal is as it was, however it ends."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import pytest

from trainer.commands.keys_in import Lines, keys_of

PROGRAM = (sys.executable, "-m", "tests.trainer.commands.handled_tune")
ROOT = Path(__file__).resolve().parents[3]

needs_terminal = pytest.mark.skipif(sys.platform == "win32", reason="Windows has other terminals")


@pytest.mark.parametrize(
    ("signs", "keys", "rest"),
    [
        ("", [], ""),
        (" pR?", ["space", "p", "r", "?"], ""),
        ("\x1b[A\x1b[B\x1bOC\x1b[D", ["up arrow", "down arrow", "right arrow", "left arrow"], ""),
        ("w\x1b[", ["w"], "\x1b["),
        ("w\x1bO", ["w"], "\x1bO"),
        ("\x1b", [], "\x1b"),
        ("\x1b[1;5C\x1b[15~\x1bOPq", ["q"], ""),
        ("\r\n\t\x7f\x04", [], ""),
        ("é", ["é"], ""),
    ],
)
def test_signs_of_a_terminal_are_keys(signs: str, keys: list[str], rest: str) -> None:
    """Arrows in both ways that terminals send them, letters small; what isn't whole waits, other keys are let be."""
    assert (keys, rest) == keys_of(signs)


def test_lines_come_in_order_and_end() -> None:
    """Lines that are read beside the tune come trimmed and in order, empty ones not at all; the last needs no end."""
    reading, writing = os.pipe()
    lines = Lines(reading)
    assert ([], False) == (lines.asked(0.01), lines.over)
    os.write(writing, b"slower\n\n  loop bar \nfas")
    assert ["slower", "loop bar"] == lines.asked(5.0)
    os.write(writing, b"ter")
    os.close(writing)
    until = time.monotonic() + 5.0
    found: list[str] = []
    while not lines.over and time.monotonic() < until:
        found += lines.asked(0.05)
    os.close(reading)
    assert (["faster"], True, []) == (found, lines.over, lines.asked(5.0))


def surroundings(words: str, home: Path) -> Mapping[str, str]:
    """What the program finds around it."""
    return {**os.environ, "HANDLED": words, "KEYFARER_HOME": str(home), "PYTHONUTF8": "1", "TERM": "xterm"}


class OnTerminal:
    """The program in a terminal of its own."""

    def __init__(self, words: str, home: Path, *options: str) -> None:
        import pty
        import termios

        self.attributes = termios.tcgetattr
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            for name in ("SIGINT", "SIGHUP", "SIGQUIT", "SIGTERM"):  # whoever runs the tests may ignore some
                signal.signal(getattr(signal, name), signal.SIG_DFL)
            os.chdir(ROOT)
            os.execve(PROGRAM[0], [*PROGRAM, *options], dict(surroundings(words, home)))
        self.before = self.modes()
        self.told = ""

    def modes(self) -> object:
        """Whether the terminal shows what is typed, and gives it by the line."""
        import termios

        local = self.attributes(self.fd)[3]
        return bool(local & termios.ECHO), bool(local & termios.ICANON), bool(local & termios.ISIG)

    def press(self, signs: str) -> None:
        """Press keys."""
        os.write(self.fd, signs.encode())

    def shows(self, words: str, timeout_s: float = 30.0) -> str:
        """Wait until some words came, and take all up to them."""
        import select

        until = time.monotonic() + timeout_s
        while words not in self.told:
            assert time.monotonic() < until, f"{words!r} never came:\n{self.told}"
            if select.select([self.fd], [], [], 0.1)[0]:
                self.told += os.read(self.fd, 4096).decode()
        came, _, self.told = self.told.partition(words)
        return came + words

    def ended(self) -> int:
        """The exit code, as a shell tells it."""
        until = time.monotonic() + 20.0
        while time.monotonic() < until:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.pid = 0
                code = os.waitstatus_to_exitcode(status)
                return code if code >= 0 else 128 - code
            time.sleep(0.02)
        raise AssertionError("it never ended")

    def close(self) -> None:
        """End what is left."""
        if self.pid:
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
        os.close(self.fd)


@contextmanager
def on_terminal(words: str, home: Path, *options: str) -> Iterator[OnTerminal]:
    """The program in a terminal of its own, ended at last."""
    program = OnTerminal(words, home, *options)
    try:
        yield program
    finally:
        program.close()


@needs_terminal
def test_keys_handle_the_tune_and_the_terminal_is_as_it_was(tmp_path: Path) -> None:
    """Keys do what the table says without being shown; at the end the terminal shows what is typed again."""
    with on_terminal("", tmp_path, "--tempo", "60") as program:
        assert (True, True, True) == program.before
        program.shows("h tells the keys, q stops")
        program.press("w")
        program.shows("in the count-in, tempo 60")
        assert (False, False, True) == program.modes()
        program.press("\x1b[C\x1b[C")
        program.shows("bar 2")
        program.press(" ")
        program.shows("paused: bar 2, beat 1")
        program.press("\x1b[A")
        program.shows("level ")
        program.press("h")
        assert "round and round this bar" in program.shows("stop")
        program.press("q")
        program.shows("stopped")
        assert 0 == program.ended()
        assert program.before == program.modes()


@needs_terminal
@pytest.mark.parametrize(("name", "code"), [("SIGINT", 130), ("SIGTERM", 143), ("SIGHUP", 129), ("SIGQUIT", 131)])
def test_a_signal_leaves_the_terminal_as_it_was(tmp_path: Path, name: str, code: int) -> None:
    """Stopped from outside or by Ctrl-C the program ends with the signal's code, without a traceback, in order."""
    with on_terminal("", tmp_path, "--loop") as program:
        program.shows("q stops")
        program.press("w")
        program.shows("tempo 120")
        if name == "SIGINT":
            program.press("\x03")
        else:
            os.kill(program.pid, getattr(signal, name))
        assert code == program.ended()
        assert program.before == program.modes()
        assert "Traceback" not in program.told


@needs_terminal
def test_a_signal_that_comes_while_something_is_freed_ends_the_program_too(tmp_path: Path) -> None:
    """What a signal raises is lost in a finalizer; the program ends with the signal's code all the same."""
    with on_terminal("frees", tmp_path, "--loop") as program:
        program.shows("q stops")
        program.press(" ")
        assert 143 == program.ended()
        assert program.before == program.modes()


@needs_terminal
def test_a_fault_leaves_the_terminal_as_it_was(tmp_path: Path) -> None:
    """A player that breaks ends the program with its fault, and the terminal shows what is typed."""
    with on_terminal("breaks", tmp_path, "--loop") as program:
        program.shows("q stops")
        program.press(" ")
        program.shows("broken for the test")
        assert 1 == program.ended()
        assert program.before == program.modes()


@needs_terminal
def test_plain_lines_in_a_terminal_are_words(tmp_path: Path) -> None:
    """Where the settings say plain, a terminal is typed in as always, a word a line."""
    with on_terminal("plain", tmp_path) as program:
        program.shows("Two Lamps")
        program.press("loop bar\n")
        program.shows("round bar 1")
        assert (True, True, True) == program.modes()
        program.press("stop\n")
        program.shows("stopped")
        assert 0 == program.ended()


@needs_terminal
def test_a_chart_in_a_pipe_leaves_the_keys_to_the_terminal(tmp_path: Path) -> None:
    """Where the chart comes through standard input, keys come from the terminal that the lines go to."""
    with on_terminal("piped", tmp_path) as program:
        program.shows("q stops")
        program.press("w")
        program.shows("tempo 120")
        program.press("q")
        assert 0 == program.ended()
        assert program.before == program.modes()
    assert ["Two Lamps"] == piped("piped", tmp_path, b"pause\n", "--tempo", "400")[1][:1]


@needs_terminal
def test_suspending_in_a_shell(tmp_path: Path) -> None:
    """Ctrl-Z gives the shell its terminal, `fg` goes on at the same place and reads keys again."""
    if shutil.which("tmux") is None or shutil.which("bash") is None:
        assert not os.environ.get("CI"), "tmux and bash are needed to suspend a program as a player does"
        pytest.skip("tmux or bash is not installed")
    socket = str(tmp_path / "tmux.sock")

    def tmux(*words: str) -> str:
        command = ["tmux", "-S", socket, "-f", os.devnull, *words]
        return subprocess.run(command, capture_output=True, text=True, check=True, timeout=20, cwd=ROOT).stdout

    def shows(words: str) -> None:
        until = time.monotonic() + 30.0
        while words not in (screen := tmux("capture-pane", "-p")):
            assert time.monotonic() < until, f"{words!r} never came:\n{screen}"
            time.sleep(0.05)

    kept = " ".join(f"{name}='{value}'" for name, value in (("KEYFARER_HOME", tmp_path), ("PS1", "shell$ ")))
    tmux("new-session", "-d", "-x", "80", "-y", "24", f"env {kept} bash --norc --noprofile -i")
    try:
        shows("shell$")
        tmux("send-keys", f"{' '.join(PROGRAM)} --tempo 30", "Enter")
        shows("q stops")
        tmux("send-keys", "Right")
        shows("bar 1")
        tmux("send-keys", "C-z")
        shows("Stopped")
        tmux("send-keys", "echo mode $(stty -a | grep -c -- -echo\\ )", "Enter")
        shows("mode 0")
        tmux("send-keys", "fg", "Enter")
        tmux("send-keys", "w")
        shows("bar 1, beat ")
        tmux("send-keys", "q")
        shows("stopped")
        tmux("send-keys", "echo left with $?", "Enter")
        shows("left with 0")
    finally:
        subprocess.run(["tmux", "-S", socket, "kill-server"], check=False, capture_output=True)


def piped(words: str, home: Path, given: bytes, *options: str) -> tuple[int, list[str], str]:
    """Run it with lines in a pipe; exit code, lines, faults."""
    command = [*PROGRAM, *options]
    done = subprocess.run(
        command, input=given, capture_output=True, cwd=ROOT, env=surroundings(words, home), timeout=60, check=False
    )
    return done.returncode, done.stdout.decode().splitlines(), done.stderr.decode()


def test_words_in_a_pipe(tmp_path: Path) -> None:
    """A word a line is done in order, a wrong one told; nothing of keys is said."""
    given = b"bar 3\nLouder\nhum\nslower\nwhere\nstop\n"
    code, lines, faults = piped("", tmp_path, given, "--tempo", "60")
    assert (0, "") == (code, faults)
    expected = ["bar 3", "level 20 of 20", "no word `hum` here; help tells the words", "tempo 58"]
    assert ["Two Lamps", *expected] == lines[:5]
    assert lines[5].startswith("bar 3, beat 1, ")
    assert "stopped" == lines[6]


def test_without_words_the_tune_plays_to_its_end(tmp_path: Path) -> None:
    """An input that is empty or ends early stops nothing; `--quiet` tells no section."""
    code, lines, faults = piped("", tmp_path, b"", "--tempo", "400")
    assert (0, ["Two Lamps", "  A, in Bb major"], "") == (code, lines, faults)
    code, lines, faults = piped("", tmp_path, b"bar 2\n", "--tempo", "400", "--quiet")
    assert (0, ["bar 2"], "") == (code, lines, faults)


def test_an_input_that_ends_in_a_pause_ends_the_tune(tmp_path: Path) -> None:
    """Nobody is left who could let it go on, so it doesn't wait for ever."""
    began = time.monotonic()
    code, lines, _ = piped("", tmp_path, b"pause\n", "--tempo", "20", "--quiet")
    assert (0, 1) == (code, len(lines))
    assert time.monotonic() - began < 20.0


@pytest.mark.parametrize(("given", "said"), [(b"", "Type louder until you hear it well"), (b"stop\n", "Type louder")])
def test_a_level_that_was_never_set_is_told(tmp_path: Path, given: bytes, said: str) -> None:
    """The caution comes once, on standard error, with the way to turn it up, however quiet the lines are."""
    code, _, faults = piped("first", tmp_path, given, "--tempo", "400", "--quiet")
    assert 0 == code
    assert 1 == faults.count("The sound begins quiet.")
    words = " ".join(faults.split())
    assert said in words
    assert "see an audiologist about ringing ears" in words
    assert all(len(line) <= 80 for line in faults.splitlines())


@needs_terminal
def test_the_level_is_set_by_keys(tmp_path: Path) -> None:
    """The first time it begins quiet; a step up is kept in the settings, and the level counts as set."""
    with on_terminal("first", tmp_path) as program:
        assert "Press the up arrow until you hear it" in program.shows("q stops")
        program.press("\x1b[A")
        program.shows("level 11 of 20")
        program.press("q")
        assert 0 == program.ended()
    kept = (tmp_path / "settings.toml").read_text(encoding="utf-8")
    assert {"volume_db = -18.0", "level_set = true"} <= set(kept.splitlines())
