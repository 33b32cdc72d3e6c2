"""Ninety days of fifteen minutes: a simulated player follows a plan, and what is then known is measured."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random

from tests.benchmarks.teaching.panel import ORDERS, order_of, practised, world
from tests.benchmarks.teaching.players import KNOWN, TOP, Player, PlayerKind
from tests.benchmarks.teaching.simple_plans import ModelsRung, Simple
from trainer.memory.chance import start
from trainer.memory.confusion import persistent
from trainer.memory.growing import grown
from trainer.memory.plan import Asked, Contrast, next_item, todays_plan
from trainer.memory.schedule import Review, rated, reviewed
from trainer.memory.trial import Outcome
from trainer.practice.course import units

DAYS, MINUTES = 90, 15.0
FIRST = datetime(2027, 3, 1, 18, 0, tzinfo=UTC)
COUNTED_EVERY = 3
"""Days between two counts of what is known."""
REACHED = (5, 10, 15)
NEVER = 120
"""Stands for the day on which a number was reached that never was."""
SIDE_BY_SIDE = "tell-apart"
OURS, OURS_WITHOUT_CONTRAST = "ours", "ours, no contrast"
SOUND_S, ANSWER_S = 8.0, 14.0


@dataclass(frozen=True)
class Result:
    """What ninety days came to, on the morning after."""

    recall: float
    """Mean true chance over all types on the top rung, without guessing."""
    known: int
    """Types of which it is 0.9 or more."""
    days_to: tuple[int, ...]
    """Days until so many were known, by REACHED."""
    asked: int
    right: float


def player_of(kind: PlayerKind, seed: int) -> tuple[Player, Sequence[str], tuple[bool, ...], Random]:
    """A player, the order of types it meets, the days it practises and the chance of what it is asked."""
    rng = Random(f"{kind.id} {seed}")
    player = Player(kind, world(), rng)
    return player, order_of(seed % ORDERS), practised(rng), Random(f"asked {seed}")


def taught(kind: PlayerKind, plan: str, seed: int) -> Result:
    """What a player knows after the ninety days."""
    player, order, days, rng = player_of(kind, seed)
    follow = _Ours(player, order, plan) if plan.startswith(OURS) else _Simple(player, order, plan, rng)
    reached: dict[int, int] = {}
    for day in range(DAYS):
        if days[day]:
            follow.practise(day)
        if day % COUNTED_EVERY == COUNTED_EVERY - 1:
            count = sum(player.chance(name, TOP, day + 1) >= KNOWN for name in order)
            for number in REACHED:
                if count >= number:
                    reached.setdefault(number, day + 1)
    chances = [player.chance(name, TOP, DAYS) for name in order]
    return Result(
        sum(chances) / len(chances),
        sum(chance >= KNOWN for chance in chances),
        tuple(reached.get(number, NEVER) for number in REACHED),
        follow.asked,
        follow.right / max(1, follow.asked),
    )


def outcome_at(at: datetime, unit: str, kind: str, rung: int, right: bool, guess: float, other: str | None) -> Outcome:
    """What the log keeps of an answer."""
    return Outcome(
        at_utc=at, utc_offset_minutes=0, unit=unit, kind=kind, rung=rung, key=_KEYS[at.second % 12],
        credit=float(right), guess_chance=guess, answer_s=ANSWER_S, sound_s=SOUND_S, taken_for=other,
    )  # fmt: skip


_KEYS = tuple(f"{tonic} major" for tonic in "C F Bb Eb Ab Db F# B E A D G".split())


class _Simple:
    """A player who follows one of the simple plans."""

    def __init__(self, player: Player, order: Sequence[str], plan: str, rng: Random) -> None:
        self.player, self.plan = player, Simple(plan, player.world, order, rng)
        self.model = start()
        self.asked = self.right = 0

    def practise(self, day: int) -> None:
        """One session."""
        by_model = self.plan.rung if isinstance(self.plan.rung, ModelsRung) else None
        if by_model:
            by_model.day(self.model, FIRST + timedelta(days=day))
        second, last, outcomes = 0.0, "", []
        while True:
            name, drill, rung = self.plan.next(day)
            took = self.player.question_s(rung)
            if second + took > MINUTES * 60:
                break
            right, other = self.player.answer(name, rung, drill, day, second, (last,))
            self.plan.told(name, day, right)
            self.asked += 1
            self.right += right
            if by_model:
                at = FIRST + timedelta(days=day, seconds=second)
                outcomes.append(outcome_at(at, name, drill, rung, right, _guess(rung), other))
            second += took
            last = name
        if by_model:
            self.model = grown(self.model, outcomes)


class _Ours:
    """A player who follows the trainer's own plan."""

    def __init__(self, player: Player, order: Sequence[str], plan: str) -> None:
        self.player, self.order = player, order
        self.contrasting = plan != OURS_WITHOUT_CONTRAST
        self.units = {name: unit for name, unit in units().items() if name in player.world.drills}
        self.model, self.reviews = start(), dict[str, Review]()
        self.taken, self.trials = Counter[tuple[str, str]](), Counter[str]()
        self.asked = self.right = 0

    def practise(self, day: int) -> None:
        """One session."""
        now = FIRST + timedelta(days=day)
        contrasts: Sequence[Contrast] = ()
        if self.contrasting:
            found = persistent([(*pair, times) for pair, times in self.taken.items()], self.trials, len(self.order) - 1)
            contrasts = [Contrast(unit, other, SIDE_BY_SIDE) for unit, other in found]
        plan = todays_plan(
            self.units, self.model, self.reviews, self.order, now.date(), MINUTES, Random(f"plan {now.date()}"),
            contrasts=contrasts, at_utc=now,
        )  # fmt: skip
        second, last, outcomes, asked = 0.0, "", list[Outcome](), list[Asked]()
        while (item := next_item(plan, asked, MINUTES * 60 - second)) is not None:
            took = self.player.question_s(item.rung)
            beside = (last,) if item.against is None else (last, item.against)
            drill = item.kind if item.kind in self.player.shift else None
            right, other = self.player.answer(item.unit, item.rung, drill, day, second, beside)
            at = now + timedelta(seconds=second)
            outcomes.append(outcome_at(at, item.unit, item.kind, item.rung, right, _guess(item.rung), other))
            asked.append(Asked(item.unit, item.kind, right))
            self.trials[item.unit] += 1
            if other is not None:
                self.taken[item.unit, other] += 1
            self.asked += 1
            self.right += right
            second += took
            last = item.unit
        self.model = grown(self.model, outcomes)
        by_unit: dict[str, list[Outcome]] = {}
        for one in outcomes:
            by_unit.setdefault(one.unit, []).append(one)
        for unit, of_unit in by_unit.items():
            self.reviews[unit] = reviewed(self.reviews.get(unit), unit, now.date(), rated(of_unit))


def _guess(rung: int) -> float:
    return (1 / 3, 1 / 4, 0.02, 0.02, 0.02, 0.02)[rung - 1]
