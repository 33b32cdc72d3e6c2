"""Where a session's questions come from: today's plan, or what the player fixed."""

from collections.abc import Sequence
from dataclasses import field
from random import Random
from typing import Protocol

from trainer.drills.kinds import find_kind, kinds_for
from trainer.drills.rungs import DrillError, find_rung
from trainer.drills.units import ROUTE, find_unit
from trainer.memory.chance import Model
from trainer.memory.climbing import choose_rung
from trainer.memory.plan import Asked, Plan, PlannedItem, next_item
from trainer.records import dataclass


class Items(Protocol):
    """Something that says what to ask next; asked the same again, it says the same."""

    @property
    def count(self) -> int:
        """How many questions are meant, as far as that is known."""

    def next(self, asked: Sequence[Asked], seconds_left: float | None) -> PlannedItem | None:
        """The next question to ask; None when there is no more."""


@dataclass(frozen=True, slots=True)
class FromPlan:
    """Today's plan, an error once more."""

    plan: Plan

    @property
    def count(self) -> int:
        """How many questions the plan holds."""
        return len(self.plan.items)

    def next(self, asked: Sequence[Asked], seconds_left: float | None) -> PlannedItem | None:
        """The next item of the plan."""
        return next_item(self.plan, asked, seconds_left)


@dataclass(frozen=True, slots=True)
class Fixed:
    """What the player fixed: types, kinds and a rung; whatever is left open is varied."""

    types: tuple[str, ...]
    kinds: tuple[str, ...]
    rung: int | None
    count: int
    model: Model
    rng: Random
    _rounds: list[list[tuple[str, str]]] = field(default_factory=list)
    pairs: frozenset[tuple[str, str]] | None = None
    """The pairs of unit and kind that may be asked; None: all that types and kinds leave."""
    least_rung: int = 1
    """Where the rung is left open, none below this; a tune's route has its own ladder."""

    def next(self, asked: Sequence[Asked], seconds_left: float | None) -> PlannedItem | None:
        """The next pair of type and kind in a shuffled round, no type twice running where there are others."""
        if len(asked) >= self.count:
            return None
        pairs = [(unit, kind) for unit in self.types for kind in kinds_for(unit) if kind in self.kinds]
        pairs = [pair for pair in pairs if self.pairs is None or pair in self.pairs]
        rounds, had = divmod(len(asked), len(pairs))
        while len(self._rounds) <= rounds:
            self.rng.shuffle(pairs)
            self._rounds.append(list(pairs))
        used = [(one.unit, one.kind) for one in asked[len(asked) - had :]]
        left = [pair for pair in self._rounds[rounds] if pair not in used]
        last = asked[-1].unit if asked else None
        unit, kind = next((pair for pair in left if pair[0] != last), left[0])
        rung = max(self.least_of(unit), choose_rung(self.model, unit, kind)) if self.rung is None else self.rung
        return PlannedItem(unit, kind, rung, "you chose it", 0.0)

    def least_of(self, unit: str) -> int:
        """The lowest rung that a unit is asked on, where the rung is left open."""
        return 1 if unit.startswith(ROUTE) else self.least_rung


def fixed(types: Sequence[str], kinds: Sequence[str], rung: int | None, count: int, model: Model, rng: Random) -> Fixed:
    """What the player fixed, checked; no types are all that the kinds train, no kinds are all kinds.

    Raises DrillError for what there isn't.
    """
    for kind in kinds:
        find_kind(kind)
    for unit in types:
        find_unit(unit)
    if rung is not None:
        find_rung(rung)
    from trainer.drills.kinds import KINDS
    from trainer.practice.course import shipped_course

    wanted_kinds = tuple(kinds) or tuple(KINDS)
    wanted_types = tuple(types) or tuple(
        unit for unit in shipped_course().order if set(kinds_for(unit)) & set(wanted_kinds)
    )
    if not types and kinds and any(not find_kind(kind).units for kind in kinds):
        wanted_types += _shipped_routes()
    for unit in wanted_types:
        if not set(kinds_for(unit)) & set(wanted_kinds):
            open_kinds = ", ".join(kinds_for(unit)) or "no kind of drill"
            raise DrillError(f"{unit!r} can't be asked as {', '.join(wanted_kinds)}; it is trained by {open_kinds}")
    return Fixed(wanted_types, wanted_kinds, rung, count, model, rng)


def _shipped_routes() -> tuple[str, ...]:
    """The routes of the exercise tunes that move, for a kind that has no units but those of tunes."""
    from trainer.practice.materials import exercise_material

    return tuple(ROUTE + tune.id for tune in exercise_material() if len(tune.analysis.route) > 1)
