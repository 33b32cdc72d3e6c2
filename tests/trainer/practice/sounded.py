"""What the tests of the questions' sound share: questions of every kind, unit and rung, answers to them, meters.

Sources: ITU-R BS.1770-4, annex 1, as pyloudnorm measures loudness, and annex 2 for the true peak: four times
oversampled, here by scipy's polyphase filter and not by the Recommendation's table that synth/peaks.py uses.
"""

from collections.abc import Iterator
from itertools import cycle, islice, zip_longest
from random import Random

import numpy as np
import pyloudnorm
from numpy.typing import NDArray
from scipy.signal import resample_poly

from synth.level import leveled
from synth.render import render
from synth.score import Score
from tests.trainer.drills.drilling import PAIRS
from trainer.drills import kinds
from trainer.drills.ambiguity import table_rows
from trainer.drills.answer import Answer, Caught, ToldApart
from trainer.drills.apart_answer import WHICH
from trainer.drills.question import Question
from trainer.drills.rungs import RUNGS, KeyBag
from trainer.practice.materials import exercise_material

RATE_HZ = 48_000
CEILING_DBTP = -1.5
ROUTE = "route:the-lending-stair"
"""A tune's route, for the kind that has no other units."""

OTHERS = {"name-cadence": ("backdoor", "major third cycle"), "finish-it": ("1 major", "b6 minor")}
"""Answers that may be given to any free question of a kind."""

Samples = NDArray[np.float32]


def drawn(seed: int, count: int) -> Iterator[Question]:
    """So many questions: a route, then every kind in turn with every unit and rung, shuffled, over and over."""
    rng = Random(seed)
    by_kind: dict[str, list[tuple[str, str, int]]] = {"follow-route": [("follow-route", ROUTE, rung) for rung in RUNGS]}
    for kind, unit in PAIRS:
        by_kind.setdefault(kind, []).extend((kind, unit, rung) for rung in RUNGS)
    for some in by_kind.values():
        rng.shuffle(some)
    asked = [one for turn in zip_longest(*by_kind.values()) for one in turn if one is not None]
    bag = KeyBag()
    for kind, unit, rung in islice(cycle(asked), count):
        tunes = exercise_material() if kinds.wants_tunes(unit, rung) else ()
        question, bag = kinds.draw(kind, unit, rung, rng, bag, tunes)
        yield question


def answers(question: Question, rng: Random, others: int) -> list[Answer]:
    """Answers that a player compares: every choice; else the right row and some others as long, or a no."""
    if question.choices is not None:
        return [Answer(" ".join(row), choice=index) for index, row in enumerate(question.choices)]
    if question.broken is not None:
        return [Answer("no", caught=Caught(False))]
    if question.two is not None:
        return [Answer(which, told_apart=ToldApart(which)) for which in rng.sample(WHICH, 1 + others)]
    if question.kind in OTHERS:
        right = kinds.read_answer(question, " ".join(question.accepted[0]))
        return [right, *(kinds.read_answer(question, text) for text in OTHERS[question.kind][:others])]
    if question.tones:
        low = kinds.read_answer(question, " ".join(("1", *("b2",) * (len(question.blanks) - 1))))
        return [kinds.read_answer(question, " ".join(question.accepted[0])), low]
    rows = [row for _, _, row in table_rows(len(question.blanks))]
    wanted = [question.accepted[0], *rng.sample(rows, min(others, len(rows)))]
    return [kinds.read_answer(question, " ".join(row)) for row in wanted]


def heard(score: Score) -> Samples:
    """The sound of a score as a session plays it."""
    return leveled(render(score, RATE_HZ), RATE_HZ)


def lufs(samples: Samples) -> float:
    """Integrated loudness by pyloudnorm."""
    return float(pyloudnorm.Meter(RATE_HZ).integrated_loudness(samples.astype(np.float64)))


def dbtp(samples: NDArray[np.float32] | NDArray[np.float64]) -> float:
    """True peak of a (frames, channels) sound."""
    peak = max(float(np.abs(resample_poly(channel, 4, 1)).max()) for channel in samples.T)
    return 20.0 * float(np.log10(peak))
