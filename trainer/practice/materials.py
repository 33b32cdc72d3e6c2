"""The exercise tunes, read once when a question first wants one."""

from collections.abc import Sequence
from functools import lru_cache

from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.drills.material import TuneMaterial
from trainer.reading.analysis import analyze


@lru_cache(maxsize=1)
def exercise_material() -> Sequence[TuneMaterial]:
    """Every shipped tune with its reading."""
    out = []
    for tune_id, _ in exercise_tunes():
        timeline = unfold(load(tune_id))
        out.append(TuneMaterial(tune_id, timeline, analyze(timeline)))
    return tuple(out)
