"""A real terminal (tmux) in which the program runs, its keys pressed and its screen read."""

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest


class Terminal:
    """A tmux session of its own server."""

    def __init__(self, folder: Path, width: int, height: int, words: str = "") -> None:
        self.socket = str(folder / "tmux.sock")
        settings = f"KEYFARER_HOME={folder}/home TERM=xterm-256color"
        program = f"env {settings} {sys.executable} -m trainer {words}; echo left with $?; cat"
        self.tmux("new-session", "-d", "-x", str(width), "-y", str(height), program)

    def close(self) -> None:
        """End it, and all that runs in it."""
        subprocess.run(["tmux", "-S", self.socket, "kill-server"], check=False, capture_output=True)

    def tmux(self, *words: str) -> str:
        """Run a tmux command."""
        command = ["tmux", "-S", self.socket, "-f", os.devnull, *words]
        return subprocess.run(command, capture_output=True, text=True, check=True, timeout=20).stdout

    def press(self, *keys: str) -> None:
        """Press keys."""
        self.tmux("send-keys", *keys)

    def shows(self, words: str, timeout_s: float = 30.0) -> str:
        """Wait until the screen shows some words; returns the screen."""
        until = time.monotonic() + timeout_s
        while True:
            screen = self.tmux("capture-pane", "-p")
            if words in screen:
                return screen
            assert time.monotonic() < until, f"{words!r} never came:\n{screen}"
            time.sleep(0.05)

    def types(self, text: str) -> None:
        """Type a text as it is."""
        self.tmux("send-keys", "-l", text)

    @property
    def screen(self) -> str:
        """What stands there now."""
        return self.tmux("capture-pane", "-p")

    def shows_one(self, *words: str) -> str:
        """Wait until the screen shows one of some words; returns which."""
        until = time.monotonic() + 30.0
        while True:
            screen = self.screen
            for one in words:
                if one in screen:
                    return one
            assert time.monotonic() < until, f"none of {words} came:\n{screen}"
            time.sleep(0.05)


def needs_tmux() -> None:
    """Skip where there is no tmux; CI has it."""
    if shutil.which("tmux") is None:
        assert not os.environ.get("CI"), "tmux is missing: it is needed to drive the app in a real terminal"
        pytest.skip("tmux is not installed")


def through_first_steps(terminal: Terminal) -> None:
    """From the first step to the first question, each tried with its digits until one is right."""
    for n, on in ((1, "Enter goes on."), (2, "Enter begins the questions.")):
        terminal.shows(f"{n} of 2")
        for digit in "123":
            if on not in terminal.screen:
                terminal.press(digit)
                terminal.shows_one("Listen again.", on)
                time.sleep(0.3)
        terminal.shows(on)
        terminal.press("Enter")
    terminal.shows("Question 1 of")
