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
    tried = [_Try(plain, key, False) for key in _candidates(events, plain.found, printed)]
    tried += [_Try(_frame(build(events, pins, key)), key, True) for key in _blues(events)]
    weights = [_read(one, 0.0).best().cost + _prior(one, printed) for one in tried]
    best = min(range(len(tried)), key=lambda n: (weights[n], n))
    rivals: dict[int, float] = {}
    for one, cost in zip(tried, weights, strict=True):
        rivals[one.home] = min(rivals.get(one.home, math.inf), cost)
    shares = [math.exp((weights[best] - other) / costs.TEMPERATURE) for other in rivals.values()]
    search = _read(tried[best], costs.TEMPERATURE * costs.TOLD_APART)
    return Weighed(tried[best].home, tried[best].blues, 1.0 / sum(shares), search, search.best())


@dataclass(frozen=True, slots=True)
class _Try:
    frame: _Frame
    home: int
    blues: bool


def _prior(one: _Try, printed: int | None) -> float:
    """What speaks for or against a home before the tune is read from it."""
    agrees = printed is not None and printed == one.home
    return (costs.BLUES if one.blues else 0.0) + (costs.SIGNATURE if agrees else 0.0)


def _read(one: _Try, margin: float) -> Search:
    """Read from a home; readings dearer than the best by less than the margin are all there."""
    limit = one.frame.found.cost + _home_costs(one.frame, one.home) + margin + 1e-9
    keep = [[n for n, cost in enumerate(row) if cost <= limit] for row in one.frame.sums]
    return Search(thinned(one.frame.lattice, keep), one.home)


def _frame(lattice: Lattice) -> _Frame:
    search = Search(lattice, None)
    sums, _ = search.through()
    return _Frame(lattice, search.best(), sums)


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
