"""A tune that plays on for minutes while the screens are used: run by test_soak.py on a virtual device.

Minutes are those of SOAK_MINUTES.
"""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
from textual.pilot import Pilot

from synth.level import gain_of
from synth.output import Output
from synth.player import MEASURED_S, Player
from synth.reel import Reel
from tests.synth.devices import nearest, out, recorded, server_runs
from tests.synth.scores import RATE, comping
from tests.trainer.screens.piloted import app_in, piloted, press, typed

__all__ = ["out", "server_runs"]

MINUTES = float(os.environ.get("SOAK_MINUTES", "10"))
BUSY = "while True: sum(range(1000))"


def test_a_long_tune_with_screens_in_use_and_a_busy_core(out: Output, tmp_path: Path) -> None:
    """No frame is missing and none is late: the recording is what was sent, from the first to the last."""
    music = comping(round(60 * MINUTES))
    player = Player(out, room=0.2)
    steps = 0

    async def use(pilot: Pilot[int]) -> None:
        nonlocal steps
        assert pilot.app is not None
        while player.playhead_s is not None:
            await press(pilot, "enter", "f4", "f1", "escape")
            await typed(pilot, "1")
            await press(pilot, "enter", "escape", "p", "escape", "l", "up", "escape", "d", "escape")
            steps += 1

    with (
        subprocess.Popen([sys.executable, "-c", BUSY]) as busy,
        recorded(tmp_path) as recording,
    ):
        try:
            player.play(music)
            while player.playhead_s is not None:
                folder = tmp_path / f"app{steps}"
                folder.mkdir()
                piloted(app_in(folder, count=1), use)
            assert player.wait(60.0)
        finally:
            busy.kill()
            player.close()
    assert out.dropouts == 0
    assert not out.silent
    assert steps >= MINUTES
    sys.stderr.write(f"{MINUTES:g} minutes, the screens gone through {steps} times, dropouts: {out.dropouts}\n")
    heard = np.memmap(recording.path, dtype="<f4", mode="r")
    frames = heard[: len(heard) // 2 * 2].reshape(-1, 2)
    sent = Reel(music, gain=gain_of(music, room=0.2, most_s=MEASURED_S), room=0.2).pieces()
    first = next(sent)
    at = nearest(first, np.asarray(frames[: 10 * RATE]))
    worst = float(np.abs(frames[at : at + len(first)] - first).max())
    at += len(first)
    for piece in sent:
        worst = max(worst, float(np.abs(frames[at : at + len(piece)] - piece).max()))
        at += len(piece)
    sys.stderr.write(f"recorded against sent: at most {20 * np.log10(max(worst, 1e-12)):.0f} dBFS apart\n")
    assert worst <= 1e-6
