"""The chance of hearing something: one small model of the player, updated with every trial.

An item-response model in logits (G. Rasch, Probabilistic Models for Some Intelligence and Attainment Tests,
1960; the floor of guessing after A. Birnbaum in Lord & Novick, Statistical Theories of Mental Test Scores,
1968):

    logit = BASE + player + unit + kind + unit-and-kind - the steps up to the rung
            + the ease of helps taken - what was forgotten since the unit was last asked
    chance = guess + (1 - guess) * logistic(logit)

Each part has a mean and a variance; a trial moves them by one step of an extended Kalman filter with a
diagonal covariance (assumed-density filtering, as in M. Glickman, "Parameter estimation in large dynamic
paired comparison experiments", Applied Statistics 48, 1999). Partial credit is a fractional outcome (L. Papke
and J. Wooldridge, "Econometric methods for fractional response variables", J. Applied Econometrics 11, 1996).

What is forgotten grows with the logarithm of the time, as activation falls in P. Pavlik and J. Anderson,
"Practice and forgetting effects on vocabulary memory", Cognitive Science 29, 2005, and the more slowly the
longer a unit has been practised. A part's variance grows with the days it was not practised and never falls
below a floor, for players learn. All starting values are our own estimates, checked on simulated players in
the tests.
"""

from collections.abc import Iterable, Mapping
from dataclasses import field
from datetime import UTC, date, datetime
from math import exp, log1p, pi, sqrt
from typing import NamedTuple

from trainer.memory.trial import DAY_ENDS_HOUR
from trainer.records import dataclass

CHANCE_RULES_VERSION = 2
"""Raised whenever a value below changes, so that stores compute the model anew."""

BASE = 0.8
"""Logit of an unknown player hearing an unknown unit on rung 1 (69 % without guessing)."""


class Prior(NamedTuple):
    """How one sort of part starts and how fast it may move."""

    variance: float
    """Square of the spread over players, in logits."""
    floor: float
    """Variance it never falls below."""
    drift: float
    """Variance gained a day without practice, up to the starting variance."""


PLAYER = Prior(variance=1.0, floor=0.05, drift=0.02)
"""How well this player hears anything."""
UNIT = Prior(variance=0.8, floor=0.08, drift=0.01)
"""How much easier this unit is than others; what is learned of it shows here in every drill."""
KIND = Prior(variance=0.3, floor=0.02, drift=0.003)
"""How much easier this kind of drill is than others."""
PAIR = Prior(variance=0.4, floor=0.05, drift=0.005)
"""What is special about this unit in this kind of drill."""
STEP = Prior(variance=0.06, floor=0.005, drift=0.0)
"""How much one rung is harder than the rung below."""
STEP_MEAN = 0.5
"""Logits a rung costs before anything is known of the player: 69 % on rung 1 become 15 % on rung 6."""
STEP_LEAST = 0.1
"""A rung is never modelled as easier than the one below, nor as quite equal."""

FORGETTING_MEAN = 0.5
"""Logits lost with each e-fold of the time since a unit was asked, before anything is known of the player."""
FORGETTING = Prior(variance=0.3, floor=0.002, drift=0.0)
"""How much faster or slower this player forgets."""
FORGETTING_LEAST = 0.05
"""Nobody is modelled as forgetting nothing."""
KEPT_BY_PRACTICE = 0.5
"""Power of the days that a unit has been practised for by which its time since counts less."""

GROWTH = 0.03
"""Logits that a unit gains by being asked, whatever came of it: players learn from what is explained."""
GROWS_AGAIN_DAYS = 0.25
"""It gains so once in a session."""

HELP_EASE: Mapping[str, float] = {
    "again": 0.3, "slower": 0.5, "arpeggio": 0.6, "bass": 0.6, "guide": 0.6, "key": 0.8,
}  # fmt: skip
"""Logits by which a help eases a question: a right answer then proves less, a wrong one more."""
OTHER_HELP_EASE = 0.5

RUNG_GUESS: Mapping[int, float] = {1: 1 / 3, 2: 1 / 4, 3: 0.02, 4: 0.02, 5: 0.02, 6: 0.02}
"""Chance of guessing by rung: of three, of four, then free (a few per cent, for types are not endless)."""

RECENT = 40
"""Answers that count as recent."""
EPOCH = date(1970, 1, 1).toordinal()
BOUND_SD = 1.2816
"""Four times in five the truth lies between low and high (10th and 90th percentile of the normal curve)."""


class Part(NamedTuple):
    """One summand of the logit."""

    mean: float
    variance: float
    at: float
    """When it last moved, in days since 1970 (UTC)."""


UNKNOWN_PLAYER = Part(0.0, PLAYER.variance, 0.0)
UNKNOWN_FORGETTING = Part(FORGETTING_MEAN, FORGETTING.variance, 0.0)


class Standing(NamedTuple):
    """Where a unit stands in one kind of drill."""

    rung: int
    """Rung of the last trial."""
    day: date
    """Practice day of the last trial."""
    right: bool
    """Whether the last trial was right."""
    trials: int


class Climbs(NamedTuple):
    """What first answers came to one rung above the hardest that a unit was asked on, the newest counting most."""

    weight: float = 0.0
    """How many there were, older ones counting less."""
    credit: float = 0.0
    """Their summed credit above guessing, weighed alike; below zero where guesses were unlucky."""

    @property
    def mean(self) -> float:
        """Mean credit above guessing; 0 before the first."""
        return self.credit / self.weight if self.weight else 0.0


CLIMBS_FROM = 3
"""The lowest rung that a climb leads to: below, guesses say more than ears."""
CLIMBS_KEPT = 0.95
"""What a climb's weight becomes with the next one: some twenty of them count."""


class Chance(NamedTuple):
    """A modelled chance with the bounds it lies between four times in five."""

    p: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Model:
    """All that is modelled of a player. Values only; `trainer.memory.growing` makes the next one."""

    day_ends_hour: int = DAY_ENDS_HOUR
    player: Part = UNKNOWN_PLAYER
    units: Mapping[str, Part] = field(default_factory=dict)
    kinds: Mapping[str, Part] = field(default_factory=dict)
    pairs: Mapping[tuple[str, str], Part] = field(default_factory=dict)
    steps: Mapping[int, Part] = field(default_factory=dict)
    """The cost of rung 2 over 1, 3 over 2 and so on, by the upper rung."""
    standings: Mapping[tuple[str, str], Standing] = field(default_factory=dict)
    """By unit and kind, those met."""
    met: Mapping[str, date] = field(default_factory=dict)
    """The day each unit was first met."""
    recent: tuple[float, ...] = ()
    """Credits of the last RECENT trials, the newest last."""
    trials: int = 0
    highest: Mapping[str, int] = field(default_factory=dict)
    """By unit, the hardest rung it was asked on in any kind."""
    climbs: Climbs = Climbs()
    forgetting: Part = UNKNOWN_FORGETTING
    """Logits this player loses with each e-fold of the time since a unit was asked."""

    @property
    def recent_accuracy(self) -> float | None:
        """Mean credit of the recent trials; None before the first."""
        return sum(self.recent) / len(self.recent) if self.recent else None


def start(day_ends_hour: int = DAY_ENDS_HOUR) -> Model:
    """The model of a player of whom nothing is known."""
    return Model(day_ends_hour=day_ends_hour)


def chance(
    model: Model, unit: str, kind: str, rung: int, guess: float | None = None, at_utc: datetime | None = None
) -> Chance:
    """The modelled chance of a right answer without helps.

    guess: chance of guessing right; None takes the rung's own (RUNG_GUESS), 0 asks for hearing alone.
    at_utc: when; None: as of each part's last trial.
    """
    floor = RUNG_GUESS[rung] if guess is None else guess
    at = days_at(at_utc) if at_utc is not None else None
    parts = (
        aged(model.player, PLAYER, at),
        aged(model.units.get(unit), UNIT, at),
        aged(model.kinds.get(kind), KIND, at),
        aged(model.pairs.get((unit, kind)), PAIR, at),
    )
    climbed = [step_of(model.steps, step) for step in range(2, rung + 1)]
    logit = BASE + sum(part.mean for part in parts) - sum(step.mean for step in climbed)
    last = model.units.get(unit)
    logit -= 0.0 if last is None else model.forgetting.mean * rest_of(last.at, model.met.get(unit), at)
    # The steps' own uncertainty widens the bounds only: the mean must fall with every rung.
    variance = sum(part.variance for part in parts)
    spread = BOUND_SD * sqrt(variance + sum(step.variance for step in climbed))
    low, high = _above(logit - spread, floor), _above(logit + spread, floor)
    # Mean of the logistic over a normal curve: D. MacKay, "The evidence framework applied to classification
    # networks", Neural Computation 4, 1992.
    p = _above(logit / sqrt(1.0 + pi * variance / 8.0), floor)
    return Chance(min(max(p, low), high), low, high)


def help_ease(helps: Iterable[str]) -> float:
    """Logits by which the helps taken eased the question."""
    return sum(HELP_EASE.get(name, OTHER_HELP_EASE) for name in helps)


def aged(part: Part | None, prior: Prior, at: float | None) -> Part:
    """The part at a moment, less certain by the days since it last moved."""
    if part is None:
        return Part(0.0, prior.variance, at or 0.0)
    if at is None or at <= part.at:
        return part
    grown_by = prior.drift * (at - part.at)
    return Part(part.mean, max(part.variance, min(prior.variance, part.variance + grown_by)), at)


def rest_of(asked: float, met: date | None, at: float | None) -> float:
    """The time since a unit was last asked, as forgetting counts it; 0 before that, or where no moment is given."""
    if met is None or at is None or at <= asked:
        return 0.0
    practised_for = 1.0 + max(0.0, asked - (met.toordinal() - EPOCH))
    return log1p((at - asked) / practised_for**KEPT_BY_PRACTICE)


def step_of(steps: Mapping[int, Part], rung: int) -> Part:
    """What a rung costs beyond the one below, as far as it is known."""
    return steps.get(rung) or Part(STEP_MEAN, STEP.variance, 0.0)


def _above(logit: float, guess: float) -> float:
    return guess + (1.0 - guess) / (1.0 + exp(-max(-30.0, min(30.0, logit))))


def days_at(at_utc: datetime) -> float:
    """A moment in days since 1970."""
    return at_utc.astimezone(UTC).timestamp() / 86400.0
