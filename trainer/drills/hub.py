"""Answers to offer that are near one another without giving the right one away.

Where every wrong answer is like the right one and less like the others, the one that all are like can be picked
without hearing anything. So one answer is the hub that all others are near to, and it is the right one just as often
as any other.
"""

from collections.abc import Callable, Sequence
from random import Random
from typing import TypeVar

One = TypeVar("One")


def right_is_hub(count: int, rng: Random) -> bool:
    """Whether the right one of so many is the hub this time."""
    return rng.random() < 1 / count


def around_a_hub(right: One, near: Callable[[One], Sequence[One]], count: int, rng: Random) -> tuple[One, ...]:
    """So many answers in random order, the right one among them; near says what one may be taken for, both ways."""
    hub = right if right_is_hub(count, rng) else rng.choice(near(right))
    offered = list(dict.fromkeys((right, hub)))
    for center in (hub, *near(hub)):
        fresh = [one for one in near(center) if one not in offered]
        rng.shuffle(fresh)
        offered += fresh[: count - len(offered)]
    rng.shuffle(offered)
    return tuple(offered)
