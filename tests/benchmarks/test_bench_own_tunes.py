"""Three hundred tunes of the player's: what looking them up costs beside reading them, and the first question."""

import random
import time
from datetime import UTC, datetime
from pathlib import Path

from tests.benchmarks.test_bench_reading import best_s
from tests.benchmarks.timing import Figures
from tests.trainer.commands.many import folder_of
from trainer import places
from trainer.charts.library import find_charts
from trainer.drills.kinds import draw
from trainer.memory.chance import start
from trainer.practice.keeping import keep, taken
from trainer.practice.materials import _read, own_material
from trainer.practice.own_tunes import own_tunes
from trainer.practice.today import open_units, wanted_now
from trainer.practice.tune_facts import read_facts_of

TUNES = 300
LOOKED_UP = 0.1
"""Finding what 300 tunes are made of, in times of reading them; 0.01, and up to 0.04 beside other work."""
A_QUESTION = 0.05
"""A question from one of them, in times of reading all; about 0.005."""
QUESTIONS = 20


def test_three_hundred_own_tunes(tmp_path: Path, rng: random.Random, figures: Figures) -> None:
    """Neither a session's start nor a question reads more of 300 tunes than it needs."""
    sources = find_charts([str(folder_of(rng, tmp_path / "charts", TUNES))])
    keep(places.tunes_folder(), [taken(source) for source in sources], False, ())  # type: ignore[arg-type]
    own_tunes(places.tunes_folder(), places.tune_facts_file())
    own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    assert TUNES == len(own.charts)
    began = time.perf_counter()
    for id, data in own.charts.items():
        read_facts_of(data, id)
    read_s = time.perf_counter() - began
    looked_up_s = best_s(lambda: own_tunes(places.tunes_folder(), places.tune_facts_file()), 20)
    model = start()
    now = random.Random(1)
    table = open_units(own, model)
    at = datetime(2026, 3, 14, 18, tzinfo=UTC)
    wanted_s = best_s(lambda: wanted_now(own, table, model, at), 20)
    tunes = own_material(own)
    _read.cache_clear()
    began = time.perf_counter()
    for _ in range(QUESTIONS):
        draw("name-functions", "major-two-five-one", 5, now, None, tunes, tune_share=1.0)
    asked_s = (time.perf_counter() - began) / QUESTIONS
    figures.put("300 own tunes: looked up", f"{1000 * looked_up_s:.1f} ms, {looked_up_s / read_s:.3f} of reading them",
                f"{LOOKED_UP}")  # fmt: skip
    figures.put("300 own tunes: what they want first", f"{1000 * wanted_s:.1f} ms")
    figures.put("300 own tunes: a question", f"{1000 * asked_s:.1f} ms, {asked_s / read_s:.4f}", f"{A_QUESTION}")
    assert looked_up_s / read_s <= LOOKED_UP
    assert asked_s / read_s <= A_QUESTION
