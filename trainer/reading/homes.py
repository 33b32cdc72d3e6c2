"""The outer loop: which key is home, weighed by reading the whole tune from each that could be."""

import math
from dataclasses import dataclass

from trainer.reading import costs
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass
from trainer.reading.lattice import Lattice, build
from trainer.reading.search import Found, Home, Search


@dataclass(frozen=True, slots=True)
class Weighed:
    """The reading from the home that weighs least."""

    home: Home
    confidence: float
    lattice: Lattice
    search: Search
    found: Found


def weigh(events: tuple[Event, ...], pins: dict[int, int], printed: int | None) -> Weighed:
    """Read a tune from every home in question and keep the best; `printed` is the signature's key."""
    plain = build(events, pins, None)
    first = Search(plain, Home(None)).best()
    tried: list[tuple[float, Home, Lattice, Search, Found]] = []
    for key in _candidates(events, first, printed):
        tried.append(_weighed(plain, Home(key), printed))
    for key in _blues(events):
        tried.append(_weighed(build(events, pins, key), Home(key, blues=True), printed))
    tried.sort(key=lambda row: row[0])
    cost, home, lattice, search, found = tried[0]
    rivals = {row[1].key: row[0] for row in reversed(tried)}
    shares = [math.exp((cost - other) / costs.TEMPERATURE) for other in rivals.values()]
    return Weighed(home, 1.0 / sum(shares), lattice, search, found)


def _weighed(
    lattice: Lattice, home: Home, printed: int | None
) -> tuple[float, Home, Lattice, Search, Found]:
    search = Search(lattice, home)
    found = search.best()
    cost = found.cost + (costs.BLUES if home.blues else 0.0)
    if printed is not None and printed == home.key:
        cost += costs.SIGNATURE
    return cost, home, lattice, search, found


def _candidates(events: tuple[Event, ...], first: Found, printed: int | None) -> list[int]:
    """The keys in which the tune spends most of its bars, and those in which it rests last and first."""
    bars: dict[int, float] = {}
    rests = [key for key, role in first.path if role.letter == "T"]
    for event, (key, _) in zip(events, first.path, strict=True):
        bars[key] = bars.get(key, 0.0) + event.bars
    for key in rests[-1:] * 2 + rests[:1]:
        bars[key] += 4.0
    if printed in bars:
        bars[printed] += 4.0
    return sorted(bars, key=lambda key: (-bars[key], key))[: costs.HOMES_TRIED]


def _blues(events: tuple[Event, ...]) -> list[int]:
    """The keys whose tonic seventh opens the tune or ends it."""
    ends = {events[0].root: events[0], events[-1].root: events[-1]}
    return sorted({2 * root for root, event in ends.items() if event.kind == ChordClass.DOMINANT})
