"""The model of the player as of one moment, for many units at once: the same chances as `chance`, quicker.

A plan asks for thousands of chances of one moment. What they share (the player's part, each kind's, the steps up
to each rung) is worked out once.
"""

from datetime import datetime
from math import exp, pi, sqrt

from trainer.memory.chance import (
    BASE,
    BOUND_SD,
    KIND,
    PAIR,
    PLAYER,
    RUNG_GUESS,
    UNIT,
    Model,
    aged,
    days_at,
    rest_of,
    step_of,
)
from trainer.memory.trial import TOP_RUNG


class Outlook:
    """Chances of one player at one moment (None: as of each part's last trial)."""

    def __init__(self, model: Model, at_utc: datetime | None = None) -> None:
        self.model, self.at_utc = model, at_utc
        self._at = days_at(at_utc) if at_utc is not None else None
        self._player = aged(model.player, PLAYER, self._at)
        steps = [step_of(model.steps, rung) for rung in range(2, TOP_RUNG + 1)]
        self._climbed = [sum(step.mean for step in steps[:rung]) for rung in range(TOP_RUNG)]
        self._doubt = [sum(step.variance for step in steps[:rung]) for rung in range(TOP_RUNG)]
        self._kinds: dict[str, tuple[float, float]] = {}
        self._levels: dict[tuple[str, str], tuple[float, float]] = {}

    def chance(self, unit: str, kind: str, rung: int, guess: float | None = None) -> float:
        """The modelled chance of a right answer without helps; guess as in `chance.chance`."""
        floor = RUNG_GUESS[rung] if guess is None else guess
        level, variance = self._level(unit, kind)
        logit = level - self._climbed[rung - 1]
        spread = BOUND_SD * sqrt(variance + self._doubt[rung - 1])
        p = _heard(logit / sqrt(1.0 + pi * variance / 8.0))
        heard = min(max(p, _heard(logit - spread)), _heard(logit + spread))
        return floor + (1.0 - floor) * heard

    def _level(self, unit: str, kind: str) -> tuple[float, float]:
        """Mean and variance of the logit on rung 1."""
        found = self._levels.get((unit, kind))
        if found is None:
            model, at = self.model, self._at
            if kind not in self._kinds:
                part = aged(model.kinds.get(kind), KIND, at)
                self._kinds[kind] = part.mean, part.variance
            of_unit, mean, variance = model.units.get(unit), *self._kinds[kind]
            parts = self._player, aged(of_unit, UNIT, at), aged(model.pairs.get((unit, kind)), PAIR, at)
            mean += BASE + sum(part.mean for part in parts)
            if of_unit is not None:
                mean -= model.forgetting.mean * rest_of(of_unit.at, model.met.get(unit), at)
            found = mean, variance + sum(part.variance for part in parts)
            self._levels[unit, kind] = found
        return found


def _heard(logit: float) -> float:
    return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, logit))))
