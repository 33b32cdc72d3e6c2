"""Simulated players: what they are assumed to be like, and how one answers.

A right answer takes three things: the type is remembered (`recollection.py`), it is not taken for a similar one,
or it is guessed. After each answer the player learns by what the trainer explains. Everything that is assumed can
be set to nothing: what a failure teaches, what carries over to harder rungs, what is lost where the prerequisites
are missing, what similar types lend and take, what setting two side by side clears up.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Literal

from tests.benchmarks.teaching.recollection import Activation, HalfLife, Recollection

TOP = 6
GUESS: Mapping[int, float] = {1: 1 / 3, 2: 1 / 4, 3: 0.02, 4: 0.02, 5: 0.02, 6: 0.02}
"""Chance of guessing right among three, among four, and free."""
QUESTION_S: Mapping[int, float] = {1: 22.0, 2: 24.0, 3: 28.0, 4: 28.0, 5: 36.0, 6: 36.0}
"""What a question takes on a rung; players differ by some percent."""
KNOWN = 0.9


@dataclass(frozen=True)
class PlayerKind:
    """What players of one kind have in common."""

    id: str
    memory: Literal["activation", "half-life"]
    ease: float = 0.0
    """What everything is easier by, in units of the memory; sets how much can be learned in the time there is."""
    failure: float = 0.5
    """What a wrong answer teaches, as a share of a right one."""
    carries_up: float = 0.8
    """What practice on a rung is worth for the one above."""
    prerequisites: float = 0.6
    """Share of a presentation's worth that is lost where nothing that comes before is remembered."""
    lends: float = 0.1
    """Share of a similar type's strength that counts."""
    confusion: float = 0.08
    """Chance of taking a type for one of the similar ones, at first."""
    clears: float = 0.03
    """Share of a confusion that any practice of the type clears up."""
    contrast: float = 0.12
    """The same where the two are side by side."""


@dataclass(frozen=True)
class World:
    """The types there are: what comes before each, what is like it, the kinds of drill open for it."""

    types: tuple[str, ...]
    after: Mapping[str, tuple[str, ...]]
    similar: Mapping[str, tuple[str, ...]]
    drills: Mapping[str, tuple[str, ...]]


class Player:
    """One simulated player."""

    def __init__(self, kind: PlayerKind, world: World, rng: Random) -> None:
        self.kind, self.world, self.rng = kind, world, rng
        self.speed = rng.lognormvariate(0.0, 0.1)
        level = rng.gauss(0.0, 1.0)
        self.types: dict[str, Recollection] = {}
        for name in world.types:
            # Types differ in how hard they are and in how fast they are learned.
            harder, faster = rng.gauss(0.0, 1.0), rng.lognormvariate(0.0, 0.25)
            if kind.memory == "activation":
                self.types[name] = Activation(
                    1.3 + kind.ease + 0.2 * level + 0.3 * harder, faster, 0.18, kind.carries_up
                )
            else:
                ease = kind.ease + 0.4 * level + 0.8 * harder
                self.types[name] = HalfLife(ease, 0.95 * faster, 0.4, kind.carries_up)
        self.confused = {
            (name, other): min(0.8, kind.confusion * rng.uniform(0.5, 1.5))
            for name in world.types
            for other in world.similar[name]
        }
        drills = sorted({drill for drills in world.drills.values() for drill in drills})
        unit = 0.08 if kind.memory == "activation" else 0.25
        self.shift = {drill: unit * rng.gauss(0.0, 1.0) for drill in drills}
        self._beside: dict[tuple[str, int], float] = {}
        self._before: dict[str, float] = {}
        self._day = -1

    def chance(self, name: str, rung: int, day: int, second: float = 0.0, drill: str | None = None) -> float:
        """The true chance of a right answer without guessing."""
        heard = self._heard(name, rung, day, second, drill)
        for other in self.world.similar[name]:
            heard *= 1.0 - self.confused[name, other]
        return heard

    def answer(
        self, name: str, rung: int, drill: str | None, day: int, second: float, beside: Sequence[str] = ()
    ) -> tuple[bool, str | None]:
        """Answer a question and learn from it: whether it was right, and what it was taken for.

        beside: what stands side by side with it.
        """
        rng, kind = self.rng, self.kind
        heard = rng.random() < self._heard(name, rung, day, second, drill)
        taken_for = None
        if heard:
            for other in self.world.similar[name]:
                if rng.random() < self.confused[name, other]:
                    taken_for = other
                    heard = False
                    break
        worth = 1.0 if heard else kind.failure
        if kind.prerequisites:
            worth *= 1.0 - kind.prerequisites * (1.0 - self._ready(name, day))
        self.types[name].learn(rung, day, second, worth)
        for other in self.world.similar[name]:
            left = 1.0 - (kind.contrast if other in beside else kind.clears)
            self.confused[name, other] *= left
            if other in beside and (other, name) in self.confused:
                self.confused[other, name] *= left
        if heard:
            return True, None
        if rng.random() < GUESS[rung]:
            return True, None
        return False, taken_for

    def question_s(self, rung: int) -> float:
        """How long a question takes this player."""
        return QUESTION_S[rung] * self.speed * self.rng.uniform(0.85, 1.15)

    def _heard(self, name: str, rung: int, day: int, second: float, drill: str | None) -> float:
        shift = self.shift[drill] if drill is not None else 0.0
        return self.types[name].chance(rung, day, second, shift, self._lent(name, rung, day))

    def _lent(self, name: str, rung: int, day: int) -> float:
        """What similar types lend, as it was when the day began."""
        similar = self.world.similar[name]
        if not self.kind.lends or not similar:
            return 0.0
        self._turn(day)
        found = self._beside.get((name, rung))
        if found is None:
            total = sum(self.types[other].strength(rung, day, 0.0) for other in similar)
            found = self._beside[name, rung] = self.kind.lends * total / len(similar)
        return found

    def _ready(self, name: str, day: int) -> float:
        """How well what comes before is heard on the second rung, as it was when the day began."""
        before = self.world.after[name]
        if not before:
            return 1.0
        self._turn(day)
        found = self._before.get(name)
        if found is None:
            found = sum(self._heard(other, 2, day, 0.0, None) for other in before) / len(before)
            self._before[name] = found
        return found

    def _turn(self, day: int) -> None:
        if day != self._day:
            self._day = day
            self._beside.clear()
            self._before.clear()


def without(kind: PlayerKind, id: str, **effects: float) -> PlayerKind:
    """The same kind of player with some effects set to other values."""
    return replace(kind, id=id, **effects)  # type: ignore[arg-type]
