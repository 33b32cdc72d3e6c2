"""The panel of simulated players that plans are compared on. It was fixed before any plan was tuned.

Two memories, and each with every assumed effect also at zero; two kinds whose bottleneck is confusion.
"""

from collections.abc import Iterable
from random import Random

from tests.benchmarks.teaching.players import PlayerKind, World, without
from trainer.harmony.cadence import CADENCE
from trainer.practice.course import shipped_course, units

_ACTIVATION = PlayerKind("activation", "activation", ease=0.1)
_HALF_LIFE = PlayerKind("half-life", "half-life")


def _variants(kind: PlayerKind, hard: float, clear: float) -> Iterable[PlayerKind]:
    yield kind
    yield without(kind, f"{kind.id}, failures teach nothing", failure=0.0, ease=hard)
    yield without(kind, f"{kind.id}, rungs carry nothing up", carries_up=0.0)
    yield without(kind, f"{kind.id}, no prerequisites", prerequisites=0.0)
    yield without(kind, f"{kind.id}, nothing is similar", lends=0.0, confusion=0.0)
    yield without(kind, f"{kind.id}, contrast clears nothing", contrast=kind.clears)
    yield without(kind, f"{kind.id}, confusion", confusion=0.25, clears=0.035, contrast=0.15, ease=clear)


PANEL = (*_variants(_ACTIVATION, 0.45, 0.2), *_variants(_HALF_LIFE, 0.4, 0.6))

CONFUSED = tuple(kind.id for kind in PANEL if kind.id.endswith(", confusion"))
"""Those whose bottleneck is confusion."""
SLOW_GROUND = tuple(kind.id for kind in PANEL if kind.memory == "half-life" or kind.failure == 0.0)
"""Those whom failures teach little or whose memory fades by half-life."""

ORDERS = 4
"""Orders of the types: the course's own, and three in which each type stands anywhere behind its prerequisites."""


def world() -> World:
    """The types of the course with what the cadence table says of them."""
    table = {name: unit for name, unit in units().items() if name in CADENCE}
    return World(
        types=tuple(table),
        after={name: tuple(one for one in unit.after if one in table) for name, unit in table.items()},
        similar={name: tuple(one for one in CADENCE[name].taken_for if one in table) for name in table},
        drills={name: unit.kinds for name, unit in table.items()},
    )


def order_of(number: int) -> tuple[str, ...]:
    """One of the orders of the types."""
    known = units()
    course = tuple(name for name in shipped_course().order if name in known and name in CADENCE)
    if number == 0:
        return course
    rng, placed, left = Random(f"order {number}"), list[str](), list(course)
    while left:
        free = [name for name in left if not set(known[name].after) & set(left)]
        choice = rng.choice(free)
        placed.append(choice)
        left.remove(choice)
    return tuple(placed)


def practised(rng: Random, days: int = 90) -> tuple[bool, ...]:
    """On which days a player practises: one in ten is missed, and a week is a holiday."""
    rest = rng.randrange(25, 60)
    return tuple(not rest <= day < rest + 7 and rng.random() >= 0.1 for day in range(days))
