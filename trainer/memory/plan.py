"""Today's plan: what to hear, in which drill, on which rung, and why.

The rules follow what a simulation of plans on simulated players has shown (DEVELOPERS.md): the longest
unpractised first; risk decides only among what rests; each unit once a day, its kinds of drill in turn, and once
more after an error if minutes are left; never the same unit twice running, and beside each other what is taken for
each other; only what holds on the top rung rests; new units by prerequisites, and none while too few answers are
right, but one after a week at the latest. Pure: day, minutes and rng are arguments.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from random import Random

from trainer.memory.chance import Model
from trainer.memory.climbing import rung_today
from trainer.memory.outlook import Outlook
from trainer.memory.schedule import Review
from trainer.memory.sorting import Candidate, new_units, sorted_out
from trainer.memory.unit import Unit
from trainer.records import dataclass

CONTRAST_SHARE = 0.2
"""Share of the minutes that pairs taken for each other may have at most."""
ROUNDS = 4
"""Times a unit may be planned in one kind on one day, all but the first only when minutes are left over."""
SPARE = 0.3
"""Share of the minutes that is planned beyond them, for quick players."""

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
    spare: tuple[PlannedItem, ...] = ()
    """What follows for those who are quicker than was reckoned with."""

    @property
    def seconds(self) -> float:
        """What it takes in all."""
        return sum(item.seconds for item in self.items)


@dataclass(frozen=True, slots=True)
class Contrast:
    """Two units that are taken for each other more than chance would have it."""

    unit: str
    other: str
    kind: str | None = None
    """The kind of drill that sets two against each other; None: they are only asked side by side."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question asked in this session and whether it was right."""

    unit: str
    kind: str
    right: bool


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
    """The plan for a day, or for the rest of it: units that were asked today are left out, and their minutes are gone.

    units: the units that may be asked, with their open kinds and prerequisites.
    reviews: the newest review of each unit (Store.reviews).
    course_order: in which order new units come.
    """
    table = dict(units) if isinstance(units, Mapping) else {unit.id: unit for unit in units}
    outlook = Outlook(model, at_utc)
    left_s = minutes * 60.0 - _used_s(model, reviews, day, seconds_a_question)
    maker = _Maker(table, outlook, day, left_s, rng, seconds_a_question)
    new, held_back = new_units(table, outlook, course_order, day)
    learning, due, resting = sorted_out(table, outlook, reviews, day, rng)
    fresh = [
        Candidate(name, kind, (place, rank, rng.random()), "new: you meet it for the first time")
        for rank, name in enumerate(new)
        for place, kind in enumerate(table[name].kinds)
    ]
    maker.contrasts = {pair.unit: pair for pair in reversed(contrasts) if pair.other in model.met}
    # What fell due and what is new have up to a third each.
    third_s = maker.limit_s / 3.0
    maker.fill(due, third_s)
    maker.fill([candidate for candidate in fresh if candidate.order[0] == 0], maker.used_s + third_s)
    maker.fill(learning)
    maker.fill(due)
    maker.fill(fresh)
    maker.fill(resting)
    for times in range(1, ROUNDS):
        maker.more(learning, times)
        maker.more(fresh, times)
    picked = len(maker.picked)
    maker.limit_s += SPARE * max(0.0, maker.limit_s)
    for candidates in (learning, fresh, due, resting):
        maker.fill(candidates)
    spare = maker.picked[picked:]
    del maker.picked[picked:]
    items = maker.spread([(pair.unit, pair.other) for pair in contrasts])
    met = tuple(name for name in new if any(item.unit == name for item in items))
    return Plan(day, items, met, held_back if not met else None, tuple(spare))


def _used_s(model: Model, reviews: Mapping[str, Review], day: date, seconds_a_question: Mapping[int, float]) -> float:
    """Seconds that the day's questions so far are reckoned with."""
    rungs: dict[str, int] = {}
    for (unit, _), standing in model.standings.items():
        if standing.day == day:
            rungs[unit] = max(standing.rung, rungs.get(unit, 0))
    asked = {unit: review.trials for unit, review in reviews.items() if review.day == day and unit in rungs}
    return sum(trials * seconds_a_question[rungs[unit]] for unit, trials in asked.items())


def next_item(plan: Plan, asked: Sequence[Asked], seconds_left: float | None = None) -> PlannedItem | None:
    """What comes next after what was asked so far; None when the plan is done or the time is up.

    An error comes back once the same day, when all that was planned has had its turn and minutes are left.
    """
    had: dict[tuple[str, str], int] = {}
    for question in asked:
        had[question.unit, question.kind] = had.get((question.unit, question.kind), 0) + 1
    left, gone = [], dict(had)
    for item in plan.items:
        pair = item.unit, item.kind
        if gone.get(pair):
            gone[pair] -= 1
        else:
            left.append(item)
    last = asked[-1].unit if asked else None
    owed = [] if seconds_left is not None and seconds_left <= 0 else _owed(plan, asked, left)
    if seconds_left is not None:
        left = [item for item in left if item.seconds <= seconds_left]
        owed = [(item, ago) for item, ago in owed if item.seconds <= seconds_left]
    choices = left + [item for item, ago in sorted(owed, key=lambda one: -one[1])]
    if seconds_left is not None:
        choices += [item for item in plan.spare if (item.unit, item.kind) not in had and item.seconds <= seconds_left]
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


class _Maker:
    """Picks items while they fit the minutes."""

    def __init__(
        self,
        units: Mapping[str, Unit],
        outlook: Outlook,
        day: date,
        limit_s: float,
        rng: Random,
        seconds_a_question: Mapping[int, float],
    ) -> None:
        self.units, self.outlook, self.day, self.rng = units, outlook, day, rng
        self.limit_s = max(0.0, limit_s)
        self.seconds_a_question = seconds_a_question
        self.shortest_s = min(seconds_a_question.values())
        self.picked: list[PlannedItem] = []
        self.used_s = 0.0
        self.times: dict[tuple[str, str], int] = {}
        self.counts: dict[str, int] = {}
        self.contrasts: dict[str, Contrast] = {}
        self.contrasted_s = 0.0

    def rung_of(self, unit: str, kind: str) -> int:
        unit_kinds = self.units[unit].kinds if unit in self.units else (kind,)
        return rung_today(self.outlook, unit, kind, unit_kinds)

    def fill(self, candidates: Sequence[Candidate], limit_s: float | None = None) -> None:
        """Pick each once, in order, those of the units least planned so far first among equals in age."""
        self._pick([c for c in candidates if self._times(c) == 0], self.limit_s if limit_s is None else limit_s)

    def more(self, candidates: Sequence[Candidate], times: int) -> None:
        """Pick those that are planned so many times already once more."""
        again = [
            Candidate(c.unit, c.kind, c.order, "once more: there were minutes left")
            for c in candidates
            if self._times(c) == times
        ]
        self._pick(again, self.limit_s)

    def spread(self, pairs: Sequence[tuple[str, str]] = ()) -> tuple[PlannedItem, ...]:
        """The picked items in an order in which no unit follows itself; what can't be placed is left out.

        pairs: units that are taken for each other; where both are asked, they stand side by side.
        """
        beside: dict[str, set[str]] = {}
        for one, other in pairs:
            beside.setdefault(one, set()).add(other)
            beside.setdefault(other, set()).add(one)
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
            like = [item for item in waiting if last is not None and item.unit in beside.get(last, ())]
            choice = next((item for item in (*urgent, *like, *waiting) if item.unit != last), None)
            if choice is None:
                break
            waiting.remove(choice)
            placed.append(choice)
        return tuple(placed)

    def _pick(self, candidates: Sequence[Candidate], limit_s: float) -> None:
        waiting = list(candidates)
        while waiting and self.used_s + self.shortest_s <= limit_s:
            # order[0] is age, risk or rank; within it no unit eats the day.
            choice = min(waiting, key=lambda c: (c.order[0], self.counts.get(c.unit, 0), c.order))
            waiting.remove(choice)
            self._take(choice, limit_s)

    def _take(self, candidate: Candidate, limit_s: float) -> None:
        item = self._contrasted(candidate) or self._item(candidate.unit, candidate.kind, candidate.why)
        if self.used_s + item.seconds > limit_s:
            return
        if item.against is not None:
            self.contrasted_s += item.seconds
        self.picked.append(item)
        self.used_s += item.seconds
        pair = candidate.unit, candidate.kind
        self.times[pair] = self.times.get(pair, 0) + 1
        self.counts[candidate.unit] = self.counts.get(candidate.unit, 0) + 1

    def _item(self, unit: str, kind: str, why: str, against: str | None = None) -> PlannedItem:
        rung = self.rung_of(unit, kind)
        return PlannedItem(unit, kind, rung, why, self.seconds_a_question[rung], against)

    def _contrasted(self, candidate: Candidate) -> PlannedItem | None:
        """The question that sets a unit against what it is taken for, every other time, in place of its own."""
        pair = self.contrasts.get(candidate.unit)
        if pair is None or pair.kind is None or self.counts.get(candidate.unit):
            return None
        standings = self.outlook.model.standings
        told, own = standings.get((pair.unit, pair.kind)), standings.get((candidate.unit, candidate.kind))
        if told is not None and (own is None or told.day >= own.day):
            return None
        item = self._item(pair.unit, pair.kind, f"often taken for {pair.other}", pair.other)
        within = self.contrasted_s + item.seconds <= CONTRAST_SHARE * self.limit_s
        return item if within else None

    def _times(self, candidate: Candidate) -> int:
        return self.times.get((candidate.unit, candidate.kind), 0)
