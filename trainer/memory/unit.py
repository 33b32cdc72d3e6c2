"""Where a unit stands with the player: not yet met, being learned, resting, known; and which may come next.

A unit is what falls due: a cadence type, a move of the key center, a tune's route. This room knows its name,
the kinds of drill open for it and which units come before it; all of that is passed in.
"""

from collections.abc import Iterable, Mapping, Sequence, Sized
from datetime import datetime
from enum import StrEnum
from functools import lru_cache
from typing import Protocol

from trainer.memory.chance import Model, chance
from trainer.memory.trial import TOP_RUNG, Outcome
from trainer.records import dataclass

KNOWN_FROM = 0.9
"""Modelled chance on the top rung, guessing left out, from which a unit can be known."""
KNOWN_RIGHT, KNOWN_OF = 8, 10
"""So many of so many last answers on the top rung are right where a unit is known."""
KNOWN_KEYS = 6
"""In at least so many keys."""
KEY_WINDOW = 24
"""Newest answers on the top rung that are looked at key by key: two rounds through the twelve."""
RESTS_FROM = 0.95
"""Modelled chance on the top rung, guessing left out, from which a unit may rest until it falls due."""
BEFORE_FROM = 0.4
"""Modelled chance on the second rung from which a unit counts as learned enough to build on."""
_PITCH_CLASS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


class Status(StrEnum):
    """Where a unit stands; the value is the word the player reads."""

    NEW = "not yet met"
    LEARNING = "being learned"
    RESTING = "resting"
    KNOWN = "known by ear"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as the course knows it."""

    id: str
    kinds: tuple[str, ...]
    """Kinds of drill open for it, the first the one it is met with."""
    after: tuple[str, ...] = ()
    """Units learned before it."""


def holds_on_top(model: Model, unit: str, kinds: Sequence[str], at_utc: datetime | None = None) -> bool:
    """Whether the unit may rest: in every open kind it was last asked on the top rung and holds there."""
    standings = [model.standings.get((unit, kind)) for kind in kinds]
    return bool(kinds) and all(
        standing is not None
        and standing.rung == TOP_RUNG
        and standing.right
        and chance(model, unit, kind, TOP_RUNG, 0.0, at_utc).p >= RESTS_FROM
        for kind, standing in zip(kinds, standings, strict=True)
    )


def known(
    model: Model,
    unit: str,
    kinds: Sequence[str],
    on_top: Mapping[str, Sequence[Outcome]],
    at_utc: datetime | None = None,
) -> bool:
    """Whether the unit is known by ear.

    on_top: by kind, its newest trials on the top rung, newest first, up to KEY_WINDOW of them.
    """
    return bool(kinds) and all(
        chance(model, unit, kind, TOP_RUNG, 0.0, at_utc).p >= KNOWN_FROM and shown(on_top.get(kind, ()))
        for kind in kinds
    )


def told_apart(right: float, named_wrongly: float) -> bool:
    """Whether a unit is named for what it is at least as often as others are taken for it.

    Who answers always the same is right wherever just that sounds, and has not heard it.
    """
    return named_wrongly <= right


def status_of(
    model: Model,
    unit: str,
    kinds: Sequence[str],
    on_top: Mapping[str, Sequence[Outcome]],
    at_utc: datetime | None = None,
) -> Status:
    """Where a unit stands."""
    if unit not in model.met:
        return Status.NEW
    if known(model, unit, kinds, on_top, at_utc):
        return Status.KNOWN
    return Status.RESTING if holds_on_top(model, unit, kinds, at_utc) else Status.LEARNING


def ready(
    model: Model,
    unit: Unit,
    units: Mapping[str, Unit],
    at_utc: datetime | None = None,
    sure_from: float = BEFORE_FROM,
) -> bool:
    """Whether all that comes before a unit is learned enough; what the course doesn't hold is no bar.

    sure_from: modelled chance on the second rung that is enough; 0: having met it is enough.
    """
    for name in unit.after:
        before = units.get(name)
        if before is None or not before.kinds:
            continue
        if name not in model.met:
            return False
        if chance(model, name, before.kinds[0], 2, 0.0, at_utc).p < sure_from:
            return False
    return True


def next_new(
    model: Model,
    units: Mapping[str, Unit],
    course_order: Iterable[str],
    at_utc: datetime | None = None,
    sure_from: float = BEFORE_FROM,
) -> tuple[str, ...]:
    """Units that may be met now, in the course's order; sure_from as in `ready`."""
    unmet = (name for name in dict.fromkeys(course_order) if name in units and name not in model.met)
    return tuple(name for name in unmet if units[name].kinds and ready(model, units[name], units, at_utc, sure_from))


@lru_cache(maxsize=256)
def tonic_place(key: str) -> str:
    """The tonic of a key as one of twelve, however spelled; a text that names none stands for itself."""
    tonic = key.split(" ", 1)[0].replace("♯", "#").replace("♭", "b")
    letter, alterations = tonic[:1].upper(), tonic[1:]
    if letter not in _PITCH_CLASS or alterations.strip("#b"):
        return key
    return str((_PITCH_CLASS[letter] + alterations.count("#") - alterations.count("b")) % 12)


class Answered(Protocol):
    """What of an answer can show that a unit is known."""

    @property
    def key(self) -> str: ...
    @property
    def credit(self) -> float: ...
    @property
    def guess_chance(self) -> float: ...
    @property
    def helps(self) -> Sized | int: ...
    @property
    def right(self) -> bool: ...


def shown(newest: Sequence[Answered]) -> bool:
    """Whether the answers on the top rung show it: enough right, in enough keys, no key below chance.

    newest: the newest first, up to KEY_WINDOW of them.
    """
    last = newest[:KNOWN_OF]
    if sum(outcome.right and not outcome.helps for outcome in last) < KNOWN_RIGHT:
        return False
    by_key: dict[str, list[Answered]] = {}
    for outcome in newest[:KEY_WINDOW]:
        by_key.setdefault(tonic_place(outcome.key), []).append(outcome)
    if sum(any(outcome.right for outcome in outcomes) for outcomes in by_key.values()) < KNOWN_KEYS:
        return False
    return not any(_below_chance(outcomes) for outcomes in by_key.values())


def _below_chance(outcomes: Sequence[Answered]) -> bool:
    credit = sum(outcome.credit for outcome in outcomes)
    return credit == 0.0 or credit < sum(outcome.guess_chance for outcome in outcomes)
