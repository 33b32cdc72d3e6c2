"""Every path through a small trellis, one by one: what the cheapest path and the shares are held against.

Written from the rules alone: a path begins on a node, goes on inside its key by a link, to another key by
leaving and entering, in a chain of two-fives without leaving, or over an interruption; and it ends.
It takes a trellis of the plain source, whose prices can be asked one by one.
"""

import math
from dataclasses import dataclass, field
from typing import Any

from trainer.reading.slots import CHAIN, FIELDS, FUNCTIONS, KEYS, LETTERS, NEVER, R_TWO, D, P, R, T

FUNCTION_PLACES = {"T": 0, "t": 0, "P": 1, "a": 1, "r": 1, "D": 2, "A": 2, "R": 2, "L": 3, "X": 4, "C": 5}
"""tonic, predominant, dominant, plagal, passing, color."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way on from a node: to a node of a later event, and what is read in between."""

    event: int
    node: int
    price: float
    """Everything, the node's own cost and the time away from home included."""
    unrested: float
    """More, where the key that is left has not come to rest."""
    stays: bool
    """The key is the same, or waits: it stays as rested as it was."""
    chains: bool = False
    between: tuple[tuple[int, int], ...] = ()
    """Key and slot of each event of an interruption."""


@dataclass(slots=True)
class Every:
    """What enumerating found."""

    paths: int = 0
    interrupted: int = 0
    """Ways over an interruption that were taken."""
    chained: int = 0
    """Ways from one two-five into the next that were taken."""
    least: float = math.inf
    best: tuple[tuple[int, int], ...] = ()
    """Key and slot of each event on the cheapest path."""
    total: float = 0.0
    """The weight of all paths."""
    spread: list[float] = field(default_factory=list)
    """For each event, key and function its part of the weight."""
    runner_up: float = math.inf
    """The cost of the next path."""


def every_path(trellis: Any, home: int, temperature: float) -> Every:
    """Walk every path of a plain trellis from a home."""
    found = Every(spread=[0.0] * (trellis.size * KEYS * FUNCTIONS))
    ways = [[_ways(trellis, home, i, n) for n in _nodes(trellis, i)] for i in range(trellis.size)]

    def walk(i: int, node: int, rested: bool, cost: float, read: tuple[tuple[int, int], ...]) -> float:
        """The weight of all paths that begin so; each is counted where it ends."""
        if i == trellis.size - 1:
            return end(node, rested, cost, read)
        weight = 0.0
        for way in ways[i][node - trellis.node_start[trellis.mark[i]]]:
            price = way.price + (0.0 if rested else way.unrested)
            rests = trellis.node_slot[way.node] == T or (way.stays and rested)
            here = (trellis.node_key[way.node], trellis.node_slot[way.node])
            part = walk(way.event, way.node, rests, cost + price, (*read, *way.between, here))
            weight += part
            if part:
                found.interrupted += len(way.between) > 0
                found.chained += way.chains
                for n, one in enumerate((*way.between, here)):
                    note(i + 1 + n, one, part)
        return weight

    def note(i: int, one: tuple[int, int], part: float) -> None:
        found.spread[(i * KEYS + one[0]) * FUNCTIONS + FUNCTION_PLACES[LETTERS[one[1]]]] += part

    def end(node: int, rested: bool, cost: float, read: tuple[tuple[int, int], ...]) -> float:
        cost += trellis.ending(node, int(rested), home)
        if cost >= NEVER:
            return 0.0
        found.paths += 1
        if cost < found.least:
            found.runner_up, found.least, found.best = found.least, cost, read
        elif cost < found.runner_up:
            found.runner_up = cost
        return math.exp(-cost / temperature)

    for node in _nodes(trellis, 0):
        cost = trellis.starting(node, home)
        if cost < NEVER:
            here = (trellis.node_key[node], trellis.node_slot[node])
            part = walk(0, node, here[1] == T, cost, (here,))
            note(0, here, part)
            found.total += part
    found.spread = [part / found.total for part in found.spread]
    return found


def _nodes(trellis: Any, i: int) -> range:
    mark = trellis.mark[i]
    return range(trellis.node_start[mark], trellis.node_start[mark + 1])


def _ways(trellis: Any, home: int, i: int, node: int) -> list[Way]:
    """Every way on from a node of an event."""
    if i == trellis.size - 1:
        return []
    w, key, slot = trellis.w, trellis.node_key[node], trellis.node_slot[node]
    ways = []
    for after in _nodes(trellis, i + 1):
        to = trellis.node_key[after]
        away = 0.0 if to == home else w.away_bar * trellis.bars[i + 1]
        if to == key:
            price = _link(trellis, i + 1, node, after)
            if price is not None:
                ways.append(Way(i + 1, after, price + away, 0.0, True))
            continue
        change = w.distances[KEYS * key + to] + (0.0 if to == home else w.goes_elsewhere) + away
        price = w.leave[slot] + w.change + trellis.entering(i + 1, after)
        if price < NEVER:
            ways.append(Way(i + 1, after, change + price, w.leave_unrested, False))
        if trellis.told[FIELDS * (i + 1) + CHAIN] and slot == D and trellis.goes_on(i + 1, after):
            ways.append(Way(i + 1, after, change + w.chain + trellis.node_cost[after], 0.0, False, True))
    for edge, (first, last, heard, five, rest, *_) in enumerate(trellis.edges):
        if first - 1 != i or heard == key or not trellis.is_open(i, node):
            continue
        between = tuple((heard, T if n >= rest else D if n >= five else P) for n in range(first, last + 1))
        for after in _nodes(trellis, last + 1):
            if trellis.node_key[after] != key or trellis.node_slot[after] not in (R, R_TWO):
                continue
            price = trellis.over(edge, key, home) + trellis.node_cost[after]
            price += trellis.taking_up(slot, trellis.node_slot[after])
            price += 0.0 if key == home else w.away_bar * trellis.bars[last + 1]
            if price < NEVER:
                ways.append(Way(last + 1, after, price, 0.0, True, False, between))
    return ways


def _link(trellis: Any, i: int, node: int, after: int) -> float | None:
    """The price from a node to one of the next event in the same key; None where there is no link."""
    a, b = trellis.mark[i - 1], trellis.mark[i]
    row = trellis.pair_start[trellis.pair[i]] + after - trellis.node_start[b]
    for link in range(trellis.link_start[row], trellis.link_start[row + 1]):
        if trellis.node_start[a] + trellis.link_from[link] == node:
            return float(trellis.link_price[link])
    return None
