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
    tried = [_try(plain, key, False, printed) for key in _candidates(events, plain.found, printed)]
    tried += [_try(_frame(build(events, pins, key)), key, True, printed) for key in _blues(events)]
    tried.sort(key=lambda one: (one.at_most, one.home, one.blues))
    margin = costs.TEMPERATURE * costs.TOLD_APART
    best, search, found = tried[0], *_read(tried[0], tried[0].at_most + margin)
    assert search is not None
    assert found is not None
    least = found.cost + best.prior
    rivals = {best.home: least}
    for one in tried[1:]:
        # A home that would lose by more than the margin needs no exact weight.
        near, other = _read(one, min(one.at_most, least + margin / 2))
        if near is None or other is None:
            continue
        weight = other.cost + one.prior
        rivals[one.home] = min(rivals.get(one.home, math.inf), weight)
        if weight < least:
            best, least = one, weight
            search, found = _read(one, one.at_most + margin)
            assert search is not None
            assert found is not None
    shares = [math.exp((least - other) / costs.TEMPERATURE) for other in rivals.values()]
    return Weighed(best.home, best.blues, 1.0 / sum(shares), search, found)


@dataclass(frozen=True, slots=True)
class _Try:
    """A home to be read from."""

    frame: _Frame
    home: int
    blues: bool
    prior: float
    """What speaks for or against it before the tune is read."""
    at_most: float
    """What the homeless reading weighs from it, the prior included."""


def _try(frame: _Frame, home: int, blues: bool, printed: int | None) -> _Try:
    agrees = printed is not None and printed == home
    prior = (costs.BLUES if blues else 0.0) + (costs.SIGNATURE if agrees else 0.0)
    return _Try(frame, home, blues, prior, frame.found.cost + _home_costs(frame, home) + prior)


def _read(one: _Try, limit: float) -> tuple[Search | None, Found | None]:
    """Read from a home all readings that weigh no more than a limit; None where there are none."""
    most = limit - one.prior + 1e-9
    keep = [[n for n, cost in enumerate(row) if cost <= most] for row in one.frame.sums]
    if not all(keep):
        return None, None
    search = Search(thinned(one.frame.lattice, keep), one.home)
    found = search.best()
    return (search, found) if found.cost < costs.NEVER else (None, None)


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
