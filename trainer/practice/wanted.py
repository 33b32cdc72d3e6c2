"""What the player's tunes want to be learned first. Pure.

A tune is open to who hears all it is made of, and all that comes before that. What a tune lacks shares one point
evenly, so that what would open a tune at once weighs most, and what many tunes lack weighs more than what one
does. What comes before a unit lacks in every tune that the unit lacks in, so it never weighs less.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence

from trainer.memory.unit import Unit

LEARNED_BY_HEART = 4.0
"""A tune that the player is learning counts as so many others: an estimate of ours."""


def lacking(units: Iterable[str], table: Mapping[str, Unit], heard: Collection[str]) -> frozenset[str]:
    """The units still to be heard for these, with those that come before them; what has no drill is none."""
    out: set[str] = set()
    waiting = list(units)
    while waiting:
        id = waiting.pop()
        if id in table and table[id].kinds and id not in heard and id not in out:
            out.add(id)
            waiting += table[id].after
    return frozenset(out)


def wanted(
    tunes: Iterable[tuple[Collection[str], float]], table: Mapping[str, Unit], heard: Collection[str]
) -> dict[str, float]:
    """How much each unit that isn't heard yet would help to open tunes; more is more, what is absent helps none.

    tunes: for each what it is made of, and how much it counts.
    """
    weights: dict[str, float] = {}
    for units, counts in tunes:
        missing = lacking(units, table, heard)
        for id in missing:
            weights[id] = weights.get(id, 0.0) + counts / len(missing)
    return weights


def ordered(order: Sequence[str], weights: Mapping[str, float]) -> tuple[str, ...]:
    """An order with what weighs most first; equals stay as they were, and what is wanted but wasn't in it follows."""
    places = {id: place for place, id in enumerate(dict.fromkeys((*order, *sorted(weights))))}
    # Shares are added up in another order for each unit, so equals may differ in their last digits.
    return tuple(sorted(places, key=lambda id: (-round(weights.get(id, 0.0), 9), places[id])))


def next_for(
    units: Iterable[str], table: Mapping[str, Unit], heard: Collection[str], order: Sequence[str]
) -> tuple[str, ...]:
    """What is to be learned so that these are heard, in an order in which each comes after what it builds on."""
    missing = lacking(units, table, heard)
    places = {id: place for place, id in enumerate(order)}
    out: list[str] = []

    def put(id: str) -> None:
        if id in missing and id not in out:
            for before in sorted(table[id].after, key=lambda one: (places.get(one, len(places)), one)):
                put(before)
            out.append(id)

    for id in sorted(missing, key=lambda one: (places.get(one, len(places)), one)):
        put(id)
    return tuple(out)


def ready_now(unit: str, table: Mapping[str, Unit], heard: Collection[str]) -> bool:
    """Whether all that comes before a unit is heard."""
    return not any(before in table and table[before].kinds and before not in heard for before in table[unit].after)
