"""Plans that a player could follow with a pencil, each with every way of choosing the rung.

Staircase: two right in a row lead up, one wrong leads down (H. Levitt, "Transformed up-down methods in
psychoacoustics", Journal of the Acoustical Society of America 49, 1971).
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from random import Random
from typing import Protocol

from tests.benchmarks.teaching.players import TOP, World
from trainer.memory.chance import Model
from trainer.memory.climbing import choose_rung

MASSED_RIGHT, MASSED_MOST = 3, 12
"""A massed type is left after so many right in a row, or after so many questions."""


class TypePlan(Protocol):
    """Which type comes next."""

    def next(self, day: int, last: str | None) -> str:
        """The next type to ask."""

    def told(self, name: str, day: int, right: bool) -> None:
        """What came of it."""


class RungPlan(Protocol):
    """Which rung a type is asked on."""

    def next(self, name: str, drill: str) -> int:
        """The rung."""

    def told(self, name: str, right: bool) -> None:
        """What came of it."""


class Chosen:
    """Any type, at random."""

    def __init__(self, order: Sequence[str], rng: Random) -> None:
        self.order, self.rng = order, rng

    def next(self, day: int, last: str | None) -> str:
        """See TypePlan."""
        while (name := self.rng.choice(self.order)) == last:
            pass
        return name

    def told(self, name: str, day: int, right: bool) -> None:
        """Nothing is kept."""


class Rotation:
    """All types in their order, over and over."""

    def __init__(self, order: Sequence[str], rng: Random) -> None:
        self.order, self.place = order, -1

    def next(self, day: int, last: str | None) -> str:
        """See TypePlan."""
        self.place += 1
        return self.order[self.place % len(self.order)]

    def told(self, name: str, day: int, right: bool) -> None:
        """Nothing is kept."""


class Doubling:
    """Right answers double a type's interval, from one day on; what is due comes before what is new."""

    reset = False

    def __init__(self, order: Sequence[str], rng: Random) -> None:
        self.unmet, self.interval, self.due = list(order), dict[str, int](), dict[str, int]()

    def next(self, day: int, last: str | None) -> str:
        """The longest due, else the next new one, else what falls due soonest."""
        waiting = [name for name in self.due if name != last]
        soonest = min(waiting, key=self.due.__getitem__, default=None)
        if soonest is not None and (self.due[soonest] <= day or not self.unmet):
            return soonest
        return self.unmet.pop(0)

    def told(self, name: str, day: int, right: bool) -> None:
        """See TypePlan."""
        before = self.interval.get(name, 0)
        failed = 1 if self.reset else max(1, before)
        self.interval[name] = max(1, 2 * before) if right else failed
        self.due[name] = day + self.interval[name]


class DoublingWithReset(Doubling):
    """The same; a wrong answer sets the interval back to one day."""

    reset = True


class Massed:
    """One type until it goes, then the next."""

    def __init__(self, order: Sequence[str], rng: Random) -> None:
        self.order, self.place, self.row, self.asked = order, 0, 0, 0

    def next(self, day: int, last: str | None) -> str:
        """See TypePlan."""
        if self.row >= MASSED_RIGHT or self.asked >= MASSED_MOST:
            self.place, self.row, self.asked = self.place + 1, 0, 0
        return self.order[self.place % len(self.order)]

    def told(self, name: str, day: int, right: bool) -> None:
        """See TypePlan."""
        self.asked += 1
        self.row = self.row + 1 if right else 0


class FixedRung:
    """Always the same rung."""

    def __init__(self, rung: int) -> None:
        self.rung = rung

    def next(self, name: str, drill: str) -> int:
        """See RungPlan."""
        return self.rung

    def told(self, name: str, right: bool) -> None:
        """Nothing is kept."""


class Staircase:
    """Two right in a row lead up, one wrong leads down."""

    def __init__(self) -> None:
        self.rung, self.row = dict[str, int](), dict[str, int]()

    def next(self, name: str, drill: str) -> int:
        """See RungPlan."""
        return self.rung.get(name, 1)

    def told(self, name: str, right: bool) -> None:
        """See RungPlan."""
        rung, row = self.rung.get(name, 1), self.row.get(name, 0) + 1
        if not right:
            rung, row = max(1, rung - 1), 0
        elif row >= 2:
            rung, row = min(TOP, rung + 1), 0
        self.rung[name], self.row[name] = rung, row


class ModelsRung:
    """The rung that the trainer's own model of the player chooses, as of the day's beginning."""

    def __init__(self) -> None:
        self.model, self.now, self.found = Model(), None, dict[tuple[str, str], int]()  # type: ignore[var-annotated]

    def day(self, model: Model, now: datetime) -> None:
        """Take in what the model says today."""
        self.model, self.now = model, now
        self.found.clear()

    def next(self, name: str, drill: str) -> int:
        """See RungPlan."""
        rung = self.found.get((name, drill))
        if rung is None:
            rung = self.found[name, drill] = choose_rung(self.model, name, drill, at_utc=self.now)
        return rung

    def told(self, name: str, right: bool) -> None:
        """The model learns overnight."""


TYPE_PLANS: Mapping[str, Callable[[Sequence[str], Random], TypePlan]] = {
    "random": Chosen,
    "rotation": Rotation,
    "doubling": Doubling,
    "doubling with reset": DoublingWithReset,
    "massed": Massed,
}
RUNG_PLANS: Mapping[str, Callable[[], RungPlan]] = {
    "the top rung": lambda: FixedRung(6),
    "rung 4": lambda: FixedRung(4),
    "rung 2": lambda: FixedRung(2),
    "a staircase": Staircase,
    "the model's rung": ModelsRung,
}
SIMPLE = tuple(f"{plan}, {rung}" for plan in TYPE_PLANS for rung in RUNG_PLANS)
"""All of them by name."""


class Simple:
    """One of them, with drills in turn."""

    def __init__(self, name: str, world: World, order: Sequence[str], rng: Random) -> None:
        plan, _, rung = name.partition(", ")
        self.plan, self.rung = TYPE_PLANS[plan](order, rng), RUNG_PLANS[rung]()
        self.world, self.asked, self.last = world, dict[str, int](), None  # type: ignore[var-annotated]

    def next(self, day: int) -> tuple[str, str, int]:
        """The next type, drill and rung."""
        name = self.plan.next(day, self.last)
        drills = self.world.drills[name]
        drill = drills[self.asked.get(name, 0) % len(drills)]
        return name, drill, self.rung.next(name, drill)

    def told(self, name: str, day: int, right: bool) -> None:
        """What came of it."""
        self.last = name
        self.asked[name] = self.asked.get(name, 0) + 1
        self.plan.told(name, day, right)
        self.rung.told(name, right)
