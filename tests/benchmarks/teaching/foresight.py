"""How well the model of the player foresees answers to questions that no plan chose.

A player is asked any type on any rung, at random, for ninety days. Before each answer the model says a chance; so do
the player's running mean, which knows nothing of types, and the truth. Log losses tell how far on the way from the
mean to the truth the model is; calibration is the mean distance between what is said and what comes, by tenths.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import log

from tests.benchmarks.teaching.players import GUESS, PlayerKind
from tests.benchmarks.teaching.teaching import DAYS, FIRST, MINUTES, outcome_at, player_of
from trainer.memory.chance import chance, start
from trainer.memory.growing import grown
from trainer.memory.trial import Outcome

LEARNING_TRIALS = 150
"""Answers before the model is judged."""


@dataclass(frozen=True)
class Said:
    """One answer and what was said of it beforehand."""

    model: float
    mean: float
    truth: float
    right: bool


def stream(kind: PlayerKind, seed: int) -> Iterator[tuple[float, Outcome]]:
    """Answers to random questions, each with its true chance."""
    player, order, days, rng = player_of(kind, seed)
    for day in range(DAYS):
        second, last = 0.0, ""
        while days[day] and second < MINUTES * 60:
            name, rung = rng.choice(order), rng.randrange(1, 7)
            drill = rng.choice(player.world.drills[name])
            heard = player.chance(name, rung, day, second, drill)
            true = heard + (1.0 - heard) * GUESS[rung]
            right, other = player.answer(name, rung, drill, day, second, (last,))
            at = FIRST + timedelta(days=day, seconds=second)
            yield true, outcome_at(at, name, drill, rung, right, GUESS[rung], other)
            second += player.question_s(rung)
            last = name


def foreseen(answers: Sequence[tuple[float, Outcome]]) -> list[Said]:
    """What is said of each answer after the first ones, by a model that has seen those before it."""
    model, total, out = start(), 0.5, list[Said]()
    for number, (true, one) in enumerate(answers):
        if number >= LEARNING_TRIALS:
            said = chance(model, one.unit, one.kind, one.rung, one.guess_chance, one.at_utc).p
            out.append(Said(said, total / (number + 1), true, one.right))
        total += one.credit
        model = grown(model, [one])
    return out


def share_of_the_way(said: Sequence[Said]) -> float:
    """How far from the mean's log loss to the truth's the model's is."""
    mean, model, truth = (sum(map(loss, said)) for loss in (_loss_of("mean"), _loss_of("model"), _loss_of("truth")))
    return (mean - model) / (mean - truth)


def calibration(said: Sequence[Said]) -> float:
    """Mean distance between chances said and shares that came, by tenths, weighed by answers."""
    bins = [[0.0, 0.0] for _ in range(10)]
    for one in said:
        place = min(9, int(one.model * 10))
        bins[place][0] += one.model
        bins[place][1] += one.right
    return sum(abs(chances - came) for chances, came in bins) / len(said)


def _loss_of(who: str):  # type: ignore[no-untyped-def]
    def loss(one: Said) -> float:
        p = min(1.0 - 1e-6, max(1e-6, getattr(one, who)))
        return -log(p if one.right else 1.0 - p)

    return loss
