"""Today's plan: what to hear, in which drill, on which rung, and why.

The rules follow what a simulation of plans on simulated players has shown (DEVELOPERS.md): the longest
unpractised first; risk decides only among what rests; each unit about once a day and kind with at most one
repeat after an error; never the same unit twice running; only what holds on the top rung rests; new units by
prerequisites, and none while too few answers are right, but one after a week at the latest. Pure: day,
minutes and rng are arguments.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from random import Random

from trainer.memory.chance import Model, chance, choose_rung
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
NEW_A_DAY = 3
"""New units a day at most."""
RESTING_KINDS = 2
"""Kinds in which a resting unit that falls due is asked, those longest ago."""
CONTRAST_SHARE = 0.2
"""Share of the minutes that pairs taken for each other may have at most."""
ROUNDS = 4
"""Times a unit may be planned in one kind on one day, all but the first only when minutes are left over."""
REPEAT_GAP = 3
"""Questions between an error and its repeat, where there are so many."""

SECONDS_A_QUESTION: Mapping[int, float] = {1: 22.0, 2: 24.0, 3: 28.0, 4: 28.0, 5: 36.0, 6: 36.0}
"""What one question takes by rung, with listening, answering and the explanation: an estimate of ours."""


@dataclass(frozen=True, slots=True)
class PlannedItem:
    """One question to ask."""

    unit: str
    kind: str
    rung: int
    why: str
    """Why it is asked today, in the player's words."""
    seconds: float
    against: str | None = None
    """The unit it is set against, where two are told apart."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What one day holds."""

    day: date
    items: tuple[PlannedItem, ...]
    new_units: tuple[str, ...] = ()
    """Those met today for the first time."""
    new_held_back: str | None = None
    """Why no new unit comes, in the player's words; None where one comes or none is left."""

    @property
    def seconds(self) -> float:
        """What it takes in all."""
        return sum(item.seconds for item in self.items)


@dataclass(frozen=True, slots=True)
class Contrast:
    """Two units that are taken for each other more than chance would have it."""

    unit: str
    other: str
    kind: str
    """The kind of drill that sets two against each other."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question asked in this session and whether it was right."""

    unit: str
    kind: str
    right: bool


@dataclass(frozen=True, slots=True)
class _Candidate:
    unit: str
    kind: str
    order: tuple[float, ...]
    """Smaller comes first."""
    why: str


def todays_plan(
    units: Mapping[str, Unit] | Iterable[Unit],
    model: Model,
    reviews: Mapping[str, Review],
    course_order: Sequence[str],
    day: date,
    minutes: float,
    rng: Random,
    *,
    contrasts: Sequence[Contrast] = (),
    seconds_a_question: Mapping[int, float] = SECONDS_A_QUESTION,
    at_utc: datetime | None = None,
) -> Plan:
    """The plan for a day; what was practised that day already is left out.

    units: the units that may be asked, with their open kinds and prerequisites.
    reviews: the newest review of each unit (Store.reviews).
    course_order: in which order new units come.
    """
    table = dict(units) if isinstance(units, Mapping) else {unit.id: unit for unit in units}
    maker = _Maker(table, model, day, minutes * 60.0, rng, seconds_a_question, at_utc)
    new, held_back = _new_units(table, model, course_order, day, at_utc)
    learning, due, resting = _sorted_out(table, model, reviews, day, rng, at_utc)
    fresh = [
        _Candidate(name, kind, (rank, place, rng.random()), "new: you meet it for the first time")
        for rank, name in enumerate(new)
        for place, kind in enumerate(table[name].kinds)
    ]
    maker.contrast(contrasts)
    # What fell due and the first new unit have up to a third each; further new ones take what is left over.
    third_s = maker.limit_s / 3.0
    maker.fill(due, third_s)
    maker.fill([candidate for candidate in fresh if candidate.unit == new[0]], maker.used_s + third_s)
    maker.fill(learning)
    maker.fill(fresh)
    maker.fill(learning)
    maker.fill(due)
    maker.fill(resting)
    for times in range(1, ROUNDS):
        maker.more(learning, times)
        maker.more(fresh, times)
    items = maker.spread()
    met = tuple(name for name in new if any(item.unit == name for item in items))
    return Plan(day, items, met, held_back if not met else None)


def next_item(plan: Plan, asked: Sequence[Asked], seconds_left: float | None = None) -> PlannedItem | None:
    """What comes next after what was asked so far; None when the plan is done or the time is up.

    An error comes back once the same day, some questions later, unless it is planned again anyway.
    """
    left = list(plan.items)
    for question in asked:
        place = next(
            (i for i, item in enumerate(left) if (item.unit, item.kind) == (question.unit, question.kind)),
            None,
        )
        if place is not None:
            del left[place]
    last = asked[-1].unit if asked else None
    owed = [] if seconds_left is not None and seconds_left <= 0 else _owed(plan, asked, left)
    if seconds_left is not None:
        left = [item for item in left if item.seconds <= seconds_left]
        owed = [(item, ago) for item, ago in owed if item.seconds <= seconds_left]
    choices = [item for item, ago in owed if ago >= REPEAT_GAP]
    choices += left
    choices += [item for item, ago in owed if ago < REPEAT_GAP]
    return next((item for item in choices if item.unit != last), None)


def _owed(plan: Plan, asked: Sequence[Asked], left: Sequence[PlannedItem]) -> list[tuple[PlannedItem, int]]:
    """Repeats that errors still have to come, each with how many questions ago the error was."""
    planned = {(item.unit, item.kind): item for item in plan.items}
    still = {(item.unit, item.kind) for item in left}
    times: dict[tuple[str, str], int] = {}
    for question in asked:
        times[question.unit, question.kind] = times.get((question.unit, question.kind), 0) + 1
    owed = []
    for place, question in enumerate(asked):
        pair = (question.unit, question.kind)
        if question.right or times[pair] != 1 or pair in still or pair not in planned:
            continue
        item = planned[pair]
        again = PlannedItem(
            item.unit, item.kind, item.rung, "missed a moment ago: once more", item.seconds, item.against
        )
        owed.append((again, len(asked) - 1 - place))
    return owed


def _new_units(
    units: Mapping[str, Unit], model: Model, course_order: Sequence[str], day: date, at_utc: datetime | None
) -> tuple[tuple[str, ...], str | None]:
    """Units that may be met today, and why none may."""
    if not any(name in units and units[name].kinds and name not in model.met for name in course_order):
        return (), None
    met_here = [model.met[name] for name in units if name in model.met]
    left_today = NEW_A_DAY - sum(met == day for met in met_here)
    if left_today <= 0:
        return (), "enough new types for one day"
    if met_here and (day - max(met_here)).days >= REOPENED_AFTER_DAYS:
        sure = next_new(model, units, course_order, at_utc)
        return (sure or next_new(model, units, course_order, at_utc, sure_from=0.0))[:1], None
    if len(met_here) < FIRST_TYPES:
        # One type alone can't be told from anything, so the first ones come together.
        unmet = (name for name in course_order if name in units and units[name].kinds)
        return tuple(name for name in unmet if name not in model.met)[: FIRST_TYPES - len(met_here)], None
    accuracy = model.recent_accuracy
    enough = accuracy is None or len(model.recent) < RECENT_ENOUGH or accuracy >= NEW_FROM
    if len(met_here) >= 2 and not enough:
        return (), f"of your last {len(model.recent)} answers {accuracy:.0%} were right: first these"
    waiting = next_new(model, units, course_order, at_utc)[:left_today]
    return waiting, None if waiting else "what comes before the next type is not yet sure enough"


def _sorted_out(
    units: Mapping[str, Unit],
    model: Model,
    reviews: Mapping[str, Review],
    day: date,
    rng: Random,
    at_utc: datetime | None,
) -> tuple[list[_Candidate], list[_Candidate], list[_Candidate]]:
    """What is being learned (longest unpractised first), what fell due and what rests (riskiest first)."""
    learning: list[_Candidate] = []
    due: list[_Candidate] = []
    resting: list[_Candidate] = []
    for name in sorted(units):
        unit = units[name]
        if name not in model.met or not unit.kinds:
            continue
        ages = {kind: _age(model, name, kind, day) for kind in unit.kinds}
        open_today = [kind for kind in unit.kinds if ages[kind] is None or ages[kind]]
        review = reviews.get(name)
        if not holds_on_top(model, name, unit.kinds, at_utc) or review is None:
            for kind in open_today:
                age = ages[kind]
                order = (-float("inf") if age is None else -float(age), rng.random())
                learning.append(_Candidate(name, kind, order, _unpractised(age)))
            continue
        if len(open_today) < len(unit.kinds):
            continue  # heard today already, in one kind or another
        oldest = sorted(
            rng.sample(unit.kinds, len(unit.kinds)), key=lambda kind: ages[kind] or 0, reverse=True
        )
        kept = recall(review.stability, (day - review.day).days)
        is_due = review.due_day <= day
        why = _rested((day - review.day).days, is_due)
        for kind in oldest[:RESTING_KINDS]:
            sure = kept * chance(model, name, kind, TOP_RUNG, 0.0, at_utc).p
            (due if is_due else resting).append(_Candidate(name, kind, (sure, rng.random()), why))
    for candidates in (learning, due, resting):
        candidates.sort(key=lambda candidate: candidate.order)
    return learning, due, resting


def _age(model: Model, unit: str, kind: str, day: date) -> int | None:
    """Days since a unit was last asked in a kind; None: never."""
    standing = model.standings.get((unit, kind))
    return None if standing is None else max(0, (day - standing.day).days)


def _unpractised(age: int | None) -> str:
    if age is None:
        return "not yet heard in this drill"
    return "last heard yesterday" if age == 1 else f"not heard for {age} days"


def _rested(days: int, is_due: bool) -> str:
    told = "a day" if days == 1 else f"{days} days"
    return f"due after resting {told}" if is_due else f"resting, heard {told} ago: there were minutes left"


class _Maker:
    """Picks items while they fit the minutes."""

    def __init__(
        self,
        units: Mapping[str, Unit],
        model: Model,
        day: date,
        limit_s: float,
        rng: Random,
        seconds_a_question: Mapping[int, float],
        at_utc: datetime | None,
    ) -> None:
        self.units, self.model, self.day, self.rng, self.at_utc = units, model, day, rng, at_utc
        self.limit_s = limit_s
        self.seconds_a_question = seconds_a_question
        self.picked: list[PlannedItem] = []
        self.used_s = 0.0

    def rung_of(self, unit: str, kind: str) -> int:
        return choose_rung(self.model, unit, kind, at_utc=self.at_utc)

    def fill(self, candidates: Sequence[_Candidate], limit_s: float | None = None) -> None:
        """Pick each once, in order, those of the units least planned so far first among equals in age."""
        self._pick(
            [c for c in candidates if self._times(c) == 0], self.limit_s if limit_s is None else limit_s
        )

    def more(self, candidates: Sequence[_Candidate], times: int) -> None:
        """Pick those that are planned so many times already once more."""
        again = [
            _Candidate(c.unit, c.kind, c.order, "once more: there were minutes left")
            for c in candidates
            if self._times(c) == times
        ]
        self._pick(again, self.limit_s)

    def contrast(self, contrasts: Sequence[Contrast]) -> None:
        """Set units that are taken for each other side by side, within their share of the minutes."""
        limit_s = self.limit_s * CONTRAST_SHARE
        for pair in contrasts:
            if pair.unit not in self.model.met or pair.other not in self.model.met:
                continue
            if (standing := self.model.standings.get((pair.unit, pair.kind))) and standing.day == self.day:
                continue
            why = f"often taken for {pair.other}"
            candidate = _Candidate(pair.unit, pair.kind, (), why)
            if not self._times(candidate):
                self._take(candidate, limit_s, pair.other)

    def spread(self) -> tuple[PlannedItem, ...]:
        """The picked items in an order in which no unit follows itself; what can't be placed is left out."""
        waiting = list(self.picked)
        placed: list[PlannedItem] = []
        while waiting:
            last = placed[-1].unit if placed else None
            counts: dict[str, int] = {}
            for item in waiting:
                counts[item.unit] = counts.get(item.unit, 0) + 1
            most = max(counts.values())
            # A unit that has more left than all others together must come now or it never finds room.
            urgent = [item for item in waiting if counts[item.unit] == most and 2 * most > len(waiting)]
            choice = next((item for item in (*urgent, *waiting) if item.unit != last), None)
            if choice is None:
                break
            waiting.remove(choice)
            placed.append(choice)
        return tuple(placed)

    def _pick(self, candidates: Sequence[_Candidate], limit_s: float) -> None:
        waiting = list(candidates)
        counts: dict[str, int] = {}
        for item in self.picked:
            counts[item.unit] = counts.get(item.unit, 0) + 1
        while waiting:
            # order[0] is age, risk or rank; within it no unit eats the day.
            choice = min(waiting, key=lambda c: (c.order[0], counts.get(c.unit, 0), c.order))
            waiting.remove(choice)
            if self._take(choice, limit_s):
                counts[choice.unit] = counts.get(choice.unit, 0) + 1

    def _take(self, candidate: _Candidate, limit_s: float, against: str | None = None) -> bool:
        rung = self.rung_of(candidate.unit, candidate.kind)
        seconds = self.seconds_a_question[rung]
        if self.used_s + seconds > limit_s:
            return False
        self.picked.append(PlannedItem(candidate.unit, candidate.kind, rung, candidate.why, seconds, against))
        self.used_s += seconds
        return True

    def _times(self, candidate: _Candidate) -> int:
        return sum((item.unit, item.kind) == (candidate.unit, candidate.kind) for item in self.picked)
