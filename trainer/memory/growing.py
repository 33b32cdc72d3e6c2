# cython: language_level=3, annotation_typing=False, cdivision=True
"""The model after more trials: one step of the filter that `trainer.memory.chance` describes for each of them."""

from collections.abc import Iterable, Mapping
from math import exp
from typing import Generic, TypeVar

from trainer.memory.chance import (
    BASE,
    CLIMBS_FROM,
    CLIMBS_KEPT,
    EPOCH,
    FORGETTING,
    FORGETTING_LEAST,
    GROWS_AGAIN_DAYS,
    GROWTH,
    KIND,
    PAIR,
    PLAYER,
    RECENT,
    STEP,
    STEP_LEAST,
    STEP_MEAN,
    UNIT,
    Climbs,
    Model,
    Part,
    Standing,
    help_ease,
    rest_of,
)  # fmt: skip
from trainer.memory.trial import Counted, day_of

K = TypeVar("K")
globals().setdefault("c_exp", exp)


def updated(model: Model, trial: Counted) -> Model:
    """The model after one more trial."""
    return grown(model, (trial,))


def grown(model: Model, trials: Iterable[Counted]) -> Model:
    """The model after more trials, in their order; the same as one `updated` after the other."""
    player, count = list(model.player), model.trials
    units, kinds, pairs, steps = _Moving(model.units), _Moving(model.kinds), _Moving(model.pairs), _Moving(model.steps)
    standings, met, recent = dict(model.standings), dict(model.met), list(model.recent)
    highest, climbs, forgetting = dict(model.highest), model.climbs, model.forgetting
    known_units, known_pairs, of_player = units.touched, pairs.touched, (player, *PLAYER)
    ladder: list[list[float]] = []
    newest: dict[tuple[str, str], Counted] = {}
    times: dict[tuple[str, str], int] = {}
    for trial in trials:
        at = trial.at_utc.timestamp() / 86400.0
        name, rung = trial.unit, trial.rung
        pair_id = (name, trial.kind)
        unit = known_units.get(name) or units.get(name)
        if unit is None:
            rested, grows = 0.0, True
            unit = units.begin(name, UNIT.variance, at)
        else:
            rested = rest_of(unit[2], met.get(name), at)
            grows = at - unit[2] >= GROWS_AGAIN_DAYS
        kind = kinds.get(trial.kind) or kinds.begin(trial.kind, KIND.variance, at)
        pair = known_pairs.get(pair_id) or pairs.get(pair_id) or pairs.begin(pair_id, PAIR.variance, at)
        moving = (of_player, (unit, *UNIT), (kind, *KIND), (pair, *PAIR))
        logit, variance = BASE, 0.0
        for part, most, _, drift in moving:
            mean, spread, moved = part
            if at > moved:  # less certain by the days since it last moved
                wider = min(most, spread + drift * (at - moved))
                if wider > spread:
                    part[1] = spread = wider
                part[2] = at
            logit += mean
            variance += spread
        if trial.helps:
            logit += help_ease(trial.helps)
        while len(ladder) < rung - 1:
            upper = len(ladder) + 2
            ladder.append(steps.get(upper) or steps.begin(upper, STEP.variance, 0.0, STEP_MEAN))
        climbed, climb, spread = ladder[: rung - 1], 0.0, 0.0
        for step in climbed:
            climb += step[0]
            spread += step[1]
        logit -= climb + forgetting.mean * rested
        variance += spread + forgetting.variance * rested * rested
        slope, information = _likelihood(logit, trial.guess_chance, trial.credit)
        shrink = 1.0 / (1.0 + variance * information)
        for part, _, floor, _ in moving:
            before = part[1]
            gain = before * shrink
            part[0] += gain * slope
            after = before - before * gain * information
            part[1] = after if after > floor else floor
        for step in climbed:
            mean, before, _ = step
            gain = before * shrink
            mean -= gain * slope
            after = before - before * gain * information
            step[0] = mean if mean > STEP_LEAST else STEP_LEAST
            step[1] = after if after > STEP.floor else STEP.floor
        if grows:
            unit[0] += GROWTH
        if rested:
            gain = -rested * forgetting.variance * shrink
            mean, spread = forgetting.mean + gain * slope, forgetting.variance * (1.0 + rested * gain * information)
            forgetting = Part(max(FORGETTING_LEAST, mean), max(FORGETTING.floor, spread), at)
        newest[pair_id] = trial
        times[pair_id] = times.get(pair_id, 0) + 1
        first = met.get(trial.unit)
        if first is None or at < first.toordinal() - EPOCH + 3:  # no later trial can be of an earlier day
            day = day_of(trial, model.day_ends_hour)
            met[trial.unit] = day if first is None else min(day, first)
        recent.append(trial.credit)
        peak = highest.get(trial.unit, trial.rung)
        if trial.rung == peak + 1 and trial.rung >= CLIMBS_FROM:
            above = (trial.credit - trial.guess_chance) / (1.0 - trial.guess_chance)
            climbs = Climbs(CLIMBS_KEPT * climbs.weight + 1.0, CLIMBS_KEPT * climbs.credit + above)
        highest[trial.unit] = max(peak, trial.rung)
        count += 1
    for pair_id, trial in newest.items():
        standing = standings.get(pair_id)
        had = standing.trials if standing else 0
        day = day_of(trial, model.day_ends_hour)
        standings[pair_id] = Standing(trial.rung, day, trial.right, had + times[pair_id])
    return Model(
        model.day_ends_hour,
        Part(*player),
        units.moved(),
        kinds.moved(),
        pairs.moved(),
        steps.moved(),
        standings,
        met,
        tuple(recent[-RECENT:]),
        count,
        highest,
        climbs,
        forgetting,
    )


class _Moving(Generic[K]):
    """Parts while they move: a list of mean, variance and moment for each that was touched, for speed."""

    def __init__(self, parts: Mapping[K, Part]) -> None:
        self.parts = parts
        self.touched: dict[K, list[float]] = {}

    def get(self, id: K) -> list[float] | None:
        """The part, or None where there is none yet."""
        found = self.touched.get(id)
        if found is None and (part := self.parts.get(id)) is not None:
            found = self.touched[id] = list(part)
        return found

    def begin(self, id: K, variance: float, at: float, mean: float = 0.0) -> list[float]:
        """A part that is touched for the first time."""
        part = self.touched[id] = [mean, variance, at]
        return part

    def moved(self) -> dict[K, Part]:
        """All parts as they are now."""
        return {**self.parts, **{id: Part(*part) for id, part in self.touched.items()}}


def _likelihood(logit: float, guess: float, credit: float) -> tuple[float, float]:
    """Slope of the log likelihood in the logit, and the expected information."""
    logit = max(-12.0, min(12.0, logit))
    heard = 1.0 / (1.0 + _exp(-logit))
    p = guess + (1.0 - guess) * heard
    rise = (1.0 - guess) * heard * (1.0 - heard)
    spread = p * (1.0 - p)
    return rise * (credit - p) / spread, rise * rise / spread


def _exp(x: float) -> float:
    """C's own where this is compiled."""
    return c_exp(x)  # type: ignore[name-defined,no-any-return] # noqa: F821
