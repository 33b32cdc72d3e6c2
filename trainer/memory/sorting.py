"""What there is to ask on a day, sorted: what is new, what is being learned, what fell due, what rests."""

from collections.abc import Mapping, Sequence
from datetime import date
from random import Random
from typing import NamedTuple

from trainer.memory.climbing import straight_up
from trainer.memory.outlook import Outlook
from trainer.memory.schedule import Review, recall
from trainer.memory.trial import TOP_RUNG
from trainer.memory.unit import Unit, holds_on_top, next_new
from trainer.records import dataclass

NEW_FROM = 0.55
"""Share of recent answers right from which new units may come."""
RECENT_ENOUGH = 10
"""Answers before that share means anything."""
REOPENED_AFTER_DAYS = 7
"""After so many days without a new unit one comes whatever the share."""
FIRST_TYPES = 3
"""So many types of the course's beginning are met at once, whatever builds on what."""
NEW_A_DAY = 4
"""New units a day at most."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A unit that may be asked, in one kind of drill."""

    unit: str
    kind: str
    order: tuple[float, ...]
    """Smaller comes first."""
    why: str


class Sorted(NamedTuple):
    """What was met, each list in the order in which it is to be asked."""

    learning: list[Candidate]
    """Longest unpractised first."""
    due: list[Candidate]
    """Riskiest first, as is what rests."""
    resting: list[Candidate]


def new_units(
    units: Mapping[str, Unit], outlook: Outlook, order: Sequence[str], day: date
) -> tuple[tuple[str, ...], str | None]:
    """Units that may be met today, and why none may."""
    model, at_utc = outlook.model, outlook.at_utc
    if not any(name in units and units[name].kinds and name not in model.met for name in order):
        return (), None
    met_here = [model.met[name] for name in units if name in model.met]
    left_today = NEW_A_DAY - sum(met == day for met in met_here)
    if left_today <= 0:
        return (), "enough new types for one day"
    if met_here and (day - max(met_here)).days >= REOPENED_AFTER_DAYS:
        sure = next_new(model, units, order, at_utc)
        return (sure or next_new(model, units, order, at_utc, sure_from=0.0))[:1], None
    if len(met_here) < FIRST_TYPES:
        # One type alone can't be told from anything, so the first ones come together.
        unmet = (name for name in order if name in units and units[name].kinds)
        return tuple(name for name in unmet if name not in model.met)[: FIRST_TYPES - len(met_here)], None
    if straight_up(model):
        return next_new(model, units, order, at_utc, sure_from=0.0)[:left_today], None
    accuracy = model.recent_accuracy
    enough = accuracy is None or len(model.recent) < RECENT_ENOUGH or accuracy >= NEW_FROM
    if len(met_here) >= 2 and not enough:
        return (), f"of your last {len(model.recent)} answers {accuracy:.0%} were right: first these"
    waiting = next_new(model, units, order, at_utc)[:left_today]
    return waiting, None if waiting else "what comes before the next type is not yet sure enough"


def sorted_out(
    units: Mapping[str, Unit],
    outlook: Outlook,
    reviews: Mapping[str, Review],
    day: date,
    rng: Random,
) -> Sorted:
    """What is being learned, what fell due and what rests, each unit in the kind not asked for longest.

    Units that were asked today already are left out.
    """
    model = outlook.model
    out = Sorted([], [], [])
    for name in sorted(units):
        unit = units[name]
        if name not in model.met or not unit.kinds:
            continue
        kind, since_kind, since_unit = longest_ago(outlook, unit, day, rng)
        if since_unit == 0:
            continue
        review = reviews.get(name)
        if review is None or not holds_on_top(model, name, unit.kinds, outlook.at_utc):
            out.learning.append(Candidate(name, kind, (-since_unit, rng.random()), _unpractised(since_kind)))
            continue
        days = (day - review.day).days
        is_due = review.due_day <= day
        sure = recall(review.stability, days) * outlook.chance(name, kind, TOP_RUNG, 0.0)
        candidate = Candidate(name, kind, (sure, rng.random()), _rested(days, is_due))
        (out.due if is_due else out.resting).append(candidate)
    for candidates in out:
        candidates.sort(key=lambda candidate: candidate.order)
    return out


def longest_ago(outlook: Outlook, unit: Unit, day: date, rng: Random) -> tuple[str, int | None, int]:
    """The kind in which a unit was not asked for longest, days since then (None: never), and since any kind."""
    ages: dict[str, int | None] = {}
    for kind in unit.kinds:
        standing = outlook.model.standings.get((unit.id, kind))
        ages[kind] = None if standing is None else max(0, (day - standing.day).days)
    told = [age for age in ages.values() if age is not None]
    never = [kind for kind in unit.kinds if ages[kind] is None]
    kind = never[0] if never else max(unit.kinds, key=lambda kind: (ages[kind] or 0, rng.random()))
    since = min(told) if told else (day - outlook.model.met[unit.id]).days
    return kind, ages[kind], since


def _unpractised(age: int | None) -> str:
    if age is None:
        return "not yet heard in this drill"
    return "last heard yesterday" if age == 1 else f"not heard for {age} days"


def _rested(days: int, is_due: bool) -> str:
    told = "a day" if days == 1 else f"{days} days"
    return f"due after resting {told}" if is_due else f"resting, heard {told} ago: there were minutes left"
