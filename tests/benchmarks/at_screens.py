"""What is measured of the terminal app, each in a program of its own: `python -m tests.benchmarks.at_screens WHAT`.

Each prints one line of JSON at its end. `sound` runs on a terminal, the others without one.
"""

import asyncio
import gc
import json
import os
import sys
import time
from pathlib import Path

MARK = b"\x1b]1999;sounds\x07"
"""Written to the terminal as the first sound is handed over; terminals pass over what they don't know."""


def sound() -> int:
    """Run `keyfarer drill` in the app and say when the first sound goes out."""
    from trainer.practice.sounding import Loudspeaker

    played = Loudspeaker.play

    def play(speaker: Loudspeaker, performance: object) -> None:
        played(speaker, performance)  # type: ignore[arg-type]
        os.write(1, MARK)

    Loudspeaker.play = play  # type: ignore[method-assign, assignment]
    from trainer.cli import run

    return run(["drill", "--type", "plagal", "--count", "2", "--rung", "1"])


def megabytes() -> float:
    """Memory that the process holds now, in MB."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def hour(folder: Path, questions: int) -> dict[str, list[float]]:
    """Answer many questions with keys, all sound made and thrown away; memory after each tenth, and the loop's lags.

    A lag is the processor's time between two turns of a task that always wants the next turn, in milliseconds.
    """
    from tests.trainer.screens.piloted import app_in, piloted, press, settled
    from trainer.practice.sounding import Loudspeaker

    class Unheard(Loudspeaker):
        """Makes every sound and drops it."""

        def play(self, performance: object) -> None:
            self._prepared = None
            self._made(performance)  # type: ignore[arg-type]

        def stop(self) -> None:
            """Nothing sounds."""

    app = app_in(folder, count=questions, sound=Unheard(lambda: None))  # type: ignore[arg-type, return-value]
    held: list[float] = []
    lags: list[float] = []

    async def ticking() -> None:
        while True:
            await asyncio.sleep(0.05)  # seldom enough for the pilot to see an idle app
            for _ in range(20):
                before = time.thread_time()
                await asyncio.sleep(0)
                lags.append(1000 * (time.thread_time() - before))

    async def play(pilot: object) -> None:
        watch = asyncio.create_task(ticking())
        await press(pilot, "enter")  # type: ignore[arg-type]
        for number in range(questions):
            await press(pilot, *"abc", "backspace", "backspace", "backspace", "f4", "1", "m", "enter")  # type: ignore[arg-type]
            if number % max(1, questions // 10) == 0:
                gc.collect()
                held.append(megabytes())
        await settled(pilot)  # type: ignore[arg-type]
        watch.cancel()

    piloted(app, play)
    return {"held": held, "lags": [max(lags)]}


if __name__ == "__main__":
    if sys.argv[1] == "sound":
        sys.exit(sound())
    print(json.dumps(hour(Path(sys.argv[2]), int(sys.argv[3]))))
