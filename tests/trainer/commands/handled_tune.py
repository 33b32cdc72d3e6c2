"""Plays a tune on a twin of the player that goes by the clock: run by test_keys_in.py in terminals and pipes.

The command line is that of `keyfarer play` behind its file. HANDLED holds words: `plain` for typed words in a
terminal, `breaks` for a player that fails when it is paused, `frees` for one that is ended while it frees
something then, `first` for a level that was never set, `piped` for a chart at standard input.
"""

import os
import signal
import sys
import time
from typing import cast

from synth.player import Player
from synth.score import Score
from tests.doubles.player import PlayerTwin
from tests.trainer.commands.commanding import CHART
from trainer.__main__ import main
from trainer.charts.reader import read_chart
from trainer.commands import play
from trainer.commands.options import PlayOptions
from trainer.commands.play_score import perform
from trainer.commands.playing import play_on
from trainer.settings import Settings


class Freed:
    """Something whose end lasts until a signal has come."""

    def __del__(self) -> None:
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(0.01)


class Clocked(PlayerTwin):
    """Time passes by the clock."""

    def __init__(self, breaks: bool, frees: bool) -> None:
        super().__init__()
        self.breaks = breaks
        self.frees = frees
        self.looked_at = 0.0

    def play(self, score: Score, *place: object, **more: object) -> None:
        """Begin."""
        super().play(score, *place, **more)  # type: ignore[arg-type]
        self.looked_at = time.monotonic()

    def pause(self) -> None:
        """Stand still."""
        super().pause()
        if self.frees:
            Freed()

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait, and let the time pass that has passed."""
        if self.breaks and self.paused:
            raise RuntimeError("broken for the test")
        time.sleep(timeout_s or 0.0)
        now = time.monotonic()
        self.pass_s(now - self.looked_at)
        self.looked_at = now
        return self.place_s is None


def run_play(options: PlayOptions, *_: object) -> int:
    """In the place of the command's own."""
    words = os.environ.get("HANDLED", "").split()
    chart = read_chart(CHART)
    settings = Settings(room=0.0, level_set="first" not in words, plain="plain" in words)
    player = Clocked("breaks" in words, "frees" in words)
    tune = play.tune_of(perform(options, chart, settings), options, chart, settings)
    play_on(cast(Player, player), tune, options, settings)
    return 0


if __name__ == "__main__":
    play.run_play = run_play
    sys.argv = [sys.argv[0], "play", "-" if "piped" in os.environ.get("HANDLED", "") else "two-lamps", *sys.argv[1:]]
    sys.exit(main())
