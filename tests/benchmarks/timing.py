"""What benchmarks of sound share: the best of many rounds, a yardstick of the same work, figures in a table."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from threadpoolctl import threadpool_limits

from synth.score import Score
from synth.tones import CLICK_RINGS_S, TIMBRES, modes
from tests.synth.scores import RATE

ROUNDS = 60
"""The best round counts: other work on the machine only ever makes one slower."""

PATIENCE_S = 20.0
"""How long a quiet moment is waited for."""


@dataclass
class Figures:
    """What was reached, with what it is held to."""

    rows: list[tuple[str, str, str]] = field(default_factory=list)
    say: Callable[[str], None] = print

    def put(self, what: str, reached: str, held: str = "told only") -> None:
        """Tell a figure now and keep it for the table."""
        self.rows.append((what, reached, held))
        self.say(f"{what}: {reached} ({held})")

    def table(self) -> list[str]:
        """The figures in columns."""
        wide = [max(len(row[column]) for row in self.rows) for column in range(2)]
        return [f"{what:<{wide[0]}}  {reached:<{wide[1]}}  {held}" for what, reached, held in self.rows]


def best_s(work: Callable[[], object], rounds: int = ROUNDS, enough_s: float = 0.0) -> float:
    """The shortest time that the work took on one BLAS thread.

    Where that isn't enough, a quiet moment is waited for.
    """
    best, began = np.inf, time.perf_counter()
    with threadpool_limits(limits=1):
        while rounds > 0 or (best > enough_s > 0.0 and time.perf_counter() - began < PATIENCE_S):
            start = time.perf_counter()
            work()
            best = min(best, time.perf_counter() - start)
            rounds -= 1
    return float(best)


def flops(music: Score) -> int:
    """Multiplications and additions of the plain matrix products: two of each for every partial and frame."""
    total = 0
    for note in music.notes:
        held_s = CLICK_RINGS_S if note.part == "click" else note.duration_s
        frames = round((held_s + TIMBRES[note.part].release_s) * RATE)
        total += 4 * frames * len(modes(note.part, note.midi, RATE).frequencies_hz)
    return total


def product_s(music: Score) -> float:
    """How long BLAS takes for a score's multiplications alone: float32 products of the size of a note."""
    rows, inner, columns = 422, 48, 128
    left = np.ones((rows, inner), dtype=np.float32)
    right = np.ones((inner, columns), dtype=np.float32)
    out = np.empty((rows, columns), dtype=np.float32)
    return best_s(lambda: np.matmul(left, right, out=out), 2000) * flops(music) / (2 * rows * inner * columns)
