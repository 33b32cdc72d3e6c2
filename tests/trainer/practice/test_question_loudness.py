"""No question is louder than another, and no answer than its neighbour: by pyloudnorm and scipy.

The sources are named in `sounded.py`.
"""

import sys
from dataclasses import dataclass
from random import Random

import pytest

from tests.amounts import amount
from tests.trainer.drills.drilling import PAIRS
from tests.trainer.practice.sounded import CEILING_DBTP, RATE_HZ, answers, dbtp, drawn, heard, lufs
from trainer.drills.kinds import KINDS, heard_answer
from trainer.drills.question import Question
from trainer.drills.rungs import RUNGS

FEW, MANY = amount(48, 20), max(500, (len(PAIRS) + 1) * len(RUNGS))

TARGET_LUFS, OFF_BY_LU = -20.0, 0.5
SPREAD_LU = 0.3
SHORTEST_S = 1.0


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of one question and the answers to it."""

    question: Question
    lufs: float
    answers_lufs: tuple[float, ...]
    dbtp: float
    """The highest of all that was looked at."""
    seconds: float

    @property
    def spread(self) -> float:
        """Between the choices of a question that has some; else between question and answers."""
        compared = self.answers_lufs if self.question.choices is not None else (self.lufs, *self.answers_lufs)
        return max(compared) - min(compared)


def measured(seed: int, count: int, thoroughly: bool = False) -> list[Measured]:
    """Questions drawn, rendered, leveled and measured with their answers; thoroughly: also the answers' peaks."""
    rng = Random(seed)
    found = []
    for question in drawn(seed, count):
        sound = heard(question.performance().score)
        others = [
            heard(heard_answer(question, answer).score) for answer in answers(question, rng, 2 if thoroughly else 1)
        ]
        looked_at = [sound, *others] if thoroughly else [sound]
        found.append(
            Measured(question, lufs(sound), tuple(map(lufs, others)), max(map(dbtp, looked_at)), len(sound) / RATE_HZ)
        )
    return found


def check(found: list[Measured]) -> str:
    """Hold every question to every bound; returns the figures."""
    assert set(KINDS) == {one.question.kind for one in found}
    assert set(RUNGS) == {one.question.rung for one in found}
    everything = [value for one in found for value in (one.lufs, *one.answers_lufs)]
    offered = [one for one in found if one.question.choices is not None]
    free = [one for one in found if one.question.choices is None]
    assert offered
    assert free
    worst = max(everything, key=lambda value: abs(value - TARGET_LUFS))
    widest, widest_free = (max(group, key=lambda one: one.spread) for group in (offered, free))
    highest = max(found, key=lambda one: one.dbtp)
    shortest = min(found, key=lambda one: one.seconds)
    figures = (
        f"{len(found)} questions, {len(everything)} sounds: {min(everything):.2f} to {max(everything):.2f} LUFS, "
        f"choices apart by {widest.spread:.3f} LU at most ({len(offered)} questions), "
        f"free answers by {widest_free.spread:.3f} LU, highest peak {highest.dbtp:.2f} dBTP, "
        f"shortest {shortest.seconds:.2f} s"
    )
    assert abs(worst - TARGET_LUFS) <= OFF_BY_LU, figures
    assert widest.spread < SPREAD_LU, (figures, widest.question)
    assert widest_free.spread < SPREAD_LU, (figures, widest_free.question)
    assert highest.dbtp < CEILING_DBTP, (figures, highest.question)
    assert shortest.seconds >= SHORTEST_S, (figures, shortest.question)
    return figures


def test_loudness_never_gives_an_answer_away() -> None:
    """Questions of all kinds and rungs, and their answers, are equally loud, under the ceiling and a second long."""
    check(measured(31, FEW))


@pytest.mark.long
def test_five_hundred_questions_are_equally_loud(capsys: pytest.CaptureFixture[str]) -> None:
    """Five hundred questions or more, each kind with each unit and rung among them, hold the same bounds."""
    found = measured(2026, MANY, thoroughly=True)
    covered = {(one.question.kind, one.question.unit, one.question.rung) for one in found}
    assert {(kind.id, unit, rung) for kind in KINDS.values() for unit in kind.units for rung in RUNGS} <= covered
    figures = check(found)
    with capsys.disabled():
        sys.stdout.write(f"\n{figures}\n")
