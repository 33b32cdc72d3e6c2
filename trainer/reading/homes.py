"""The outer loop: which key is home, weighed by reading the whole tune from each that could be.

The likeliest home is read from first, forward and backward. Another home changes what a reading costs
by no more than the bars it may have in that home; so of the nodes only those are read from there
through which some reading could still win, or lose by little. The outcome is exact.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.reading import costs
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass
from trainer.reading.lattice import DOMINANTS, MINOR_RESTS, RESTS, Lattice, build, rest_worth, thinned
from trainer.reading.search import Found, Search

TIGHTENED = 3
"""How often the bound on what another home saves is drawn tighter."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """The reading from the home that weighs least."""

    home: int
    blues: bool
    confidence: float
    search: Search
    found: Found


def weigh(events: tuple[Event, ...], pins: dict[int, int], printed: int | None) -> Weighed:
    """Read a tune from every home in question and keep the best; `printed` is the signature's key."""
    plain = build(events, pins, None)
    homes = _candidates(events, printed)
    search = Search(plain, homes[0])
    found = search.best()
    best = Weighed(homes[0], False, 0.0, search, found)
    least = found.cost + _prior(homes[0], False, printed)
    rivals = {homes[0]: least}
    margin = costs.TEMPERATURE * costs.TOLD_APART
    sums, _ = search.through()
    for home in homes[1:]:
        limit = _limit(events, plain, sums, home, least + margin - _prior(home, False, printed))
        keep = [[n for n, cost in enumerate(row) if cost <= limit] for row in sums]
        if not all(keep):
            continue
        cost = Search(thinned(plain, keep), home).best().cost + _prior(home, False, printed)
        rivals[home] = cost
        if cost < least:
            search = Search(plain, home)
            best, least = Weighed(home, False, 0.0, search, search.best()), cost
    for home in _blues(events):
        search = Search(build(events, pins, home), home)
        found = search.best()
        cost = found.cost + _prior(home, True, printed)
        rivals[home] = min(rivals.get(home, math.inf), cost)
        if cost < least:
            best, least = Weighed(home, True, 0.0, search, found), cost
    shares = [math.exp((least - other) / costs.TEMPERATURE) for other in rivals.values()]
    return Weighed(best.home, best.blues, 1.0 / sum(shares), best.search, best.found)


def _prior(home: int, blues: bool, printed: int | None) -> float:
    """What speaks for or against a home before the tune is read."""
    agrees = printed is not None and printed == home
    return (costs.BLUES if blues else 0.0) + (costs.SIGNATURE if agrees else 0.0)


def _limit(events: Sequence[Event], lattice: Lattice, sums: Sequence[Sequence[float]], home: int, most: float) -> float:
    """How much a reading that weighs no more than `most` from this home can weigh from the one it was summed for.

    It saves its bars in this home, its returns and its ends; only where the home is not too dear already.
    """
    cheapest = [
        min((cost for node, cost in zip(row, costs_here, strict=True) if node.key == home), default=math.inf)
        for row, costs_here in zip(lattice.nodes, sums, strict=True)
    ]
    limit = math.inf
    for _ in range(TIGHTENED):
        there = [cost <= limit for cost in cheapest]
        bars = sum(event.bars for event, here in zip(events, there, strict=True) if here)
        returns = sum(here and not before for before, here in zip([False, *there], there, strict=False))
        ends = costs.STARTS_AWAY * there[0] + costs.ENDS_AWAY * there[-1]
        limit = most + costs.AWAY_BAR * bars + costs.GOES_ELSEWHERE * returns + ends
    return limit


def _candidates(events: Sequence[Event], printed: int | None) -> list[int]:
    """The keys with the weightiest rests, counting the first and the last double; the printed one among them."""
    said: dict[int, float] = {}
    rests: list[int] = []
    for n, event in enumerate(events):
        if event.kind in RESTS or event.kind == ChordClass.OPEN:
            before = events[n - 1] if n else None
            key = 2 * event.root + (event.kind in MINOR_RESTS)
            led = (
                before is not None
                and before.kind in DOMINANTS
                and (event.root - before.root) % 12 in (5, 11)
            )
            said[key] = said.get(key, 0.0) + rest_worth(event) * (1.0 if led else costs.UNPREPARED)
            rests.append(key)
        elif event.kind in DOMINANTS:
            goal = (event.root + 5) % 12
            for key in (2 * goal, 2 * goal + 1):
                said[key] = said.get(key, 0.0) + 0.1 * event.bars
    for key in (*rests[:1], *rests[-1:]):
        said[key] += 2.0
    if printed is not None:
        said[printed] = said.get(printed, 0.0) + 2.0
    if not said:
        said = {2 * events[0].root: 1.0, 2 * events[0].root + 1: 1.0}
    return sorted(said, key=lambda key: (-said[key], key))[: costs.HOMES_TRIED]


def _blues(events: tuple[Event, ...]) -> list[int]:
    """The keys whose tonic seventh opens the tune, or ends it without leading back to its start."""
    first, last = events[0], events[-1]
    roots = {event.root for event in (first, last) if event.kind == ChordClass.DOMINANT}
    if last.root != first.root and (first.root - last.root) % 12 in (5, 11):
        roots.discard(last.root)
    return sorted(2 * root for root in roots)
