"""The outer loop: which key is home, weighed by reading the whole tune from each that could be.

The tune is read once from no home. What a home adds to a reading is never negative, so from a home
only those nodes can matter through which some homeless path is no dearer than the homeless reading
weighed from that home; the lattice is thinned to these (and to rivals that still have a share).
"""

import math
from dataclasses import dataclass

from trainer.reading import costs
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass
from trainer.reading.lattice import Lattice, build, thinned
from trainer.reading.search import Found, Search


@dataclass(frozen=True, slots=True)
class Weighed:
    """The reading from the home that weighs least."""

    home: int
    blues: bool
    confidence: float
    search: Search
    found: Found


@dataclass(frozen=True, slots=True)
class _Frame:
    """A lattice read from no home."""

    lattice: Lattice
    found: Found
    sums: list[list[float]]


def weigh(events: tuple[Event, ...], pins: dict[int, int], printed: int | None) -> Weighed:
    """Read a tune from every home in question and keep the best; `printed` is the signature's key."""
    plain = _frame(build(events, pins, None))
    tried: list[tuple[float, int, bool, Search, Found]] = []
    for key in _candidates(events, plain.found, printed):
        tried.append(_weighed(plain, key, False, printed))
    for key in _blues(events):
        tried.append(_weighed(_frame(build(events, pins, key)), key, True, printed))
    tried.sort(key=lambda row: row[0])
    cost, home, blues, search, found = tried[0]
    rivals = {row[1]: row[0] for row in reversed(tried)}
    shares = [math.exp((cost - other) / costs.TEMPERATURE) for other in rivals.values()]
    return Weighed(home, blues, 1.0 / sum(shares), search, found)


def _frame(lattice: Lattice) -> _Frame:
    search = Search(lattice, None)
    sums, _ = search.through()
    return _Frame(lattice, search.best(), sums)


def _weighed(
    frame: _Frame, home: int, blues: bool, printed: int | None
) -> tuple[float, int, bool, Search, Found]:
    limit = frame.found.cost + _home_costs(frame, home) + costs.TEMPERATURE * costs.TOLD_APART
    keep = [[n for n, cost in enumerate(row) if cost <= limit] for row in frame.sums]
    search = Search(thinned(frame.lattice, keep), home)
    found = search.best()
    cost = found.cost + (costs.BLUES if blues else 0.0)
    if printed is not None and printed == home:
        cost += costs.SIGNATURE
    return cost, home, blues, search, found


def _home_costs(frame: _Frame, home: int) -> float:
    """What the homeless reading costs more when it is weighed from a home."""
    found = frame.found
    away = sum(
        event.bars for event, (key, _) in zip(frame.lattice.events, found.path, strict=True) if key != home
    )
    return (
        costs.AWAY_BAR * away
        + costs.STARTS_AWAY * (found.path[0][0] != home)
        + costs.ENDS_AWAY * (found.path[-1][0] != home)
        + costs.GOES_ELSEWHERE * sum(key != home for key in found.changes)
    )


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
    """The keys whose tonic seventh opens the tune, or ends it without leading back to its start."""
    first, last = events[0], events[-1]
    roots = {event.root for event in (first, last) if event.kind == ChordClass.DOMINANT}
    if last.root != first.root and (first.root - last.root) % 12 in (5, 11):
        roots.discard(last.root)
    return sorted(2 * root for root in roots)
