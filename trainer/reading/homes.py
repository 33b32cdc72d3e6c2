"""The outer loop: which key is home, weighed by reading the whole tune from each that could be.

Each of the few keys that the rests point to is read from, and a blues switch where a seventh chord begins
or ends the tune; from each home the reading is exact. Shares are summed over the homes that weigh enough.
"""

import math
from array import array
from collections.abc import Sequence

from trainer.reading.costs import COSTS, HOMES_TRIED, Costs
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass
from trainer.reading.search import Found, found_on, trellis_of
from trainer.reading.trellis.cheapest import cheapest
from trainer.reading.trellis.shares import blend, shares
from trainer.records import dataclass

TOLD_APART = 5.0
"""Homes dearer by so many temperatures have no share worth telling (under one in a hundred)."""


DOMINANTS = (ChordClass.DOMINANT, ChordClass.SUSPENDED, ChordClass.AUGMENTED)
RESTS = (
    ChordClass.MAJOR, ChordClass.MAJOR_TRIAD, ChordClass.MINOR_REST, ChordClass.MINOR_TRIAD, ChordClass.MINOR_SEVENTH,
)  # fmt: skip
MINOR_RESTS = (ChordClass.MINOR_REST, ChordClass.MINOR_TRIAD, ChordClass.MINOR_SEVENTH)


@dataclass(frozen=True, slots=True)
class Weighed:
    """The reading from the home that weighs least, and the share of every other."""

    home: int
    blues: bool
    confidence: float
    found: Found
    shares: "array[float]"
    """For each event, key and function: see `trellis.shares`; summed over the homes by their own shares."""


def weigh(events: tuple[Event, ...], pins: dict[int, int], printed: int | None, costs: Costs = COSTS) -> Weighed:
    """Read a tune from every home in question and keep the best; `printed` is the signature's key."""
    plain = trellis_of(events, pins, None, costs)
    tried = [(home, False, plain) for home in _candidates(events, printed, costs)]
    tried += [(home, True, trellis_of(events, pins, home, costs)) for home in _blues(events)]
    weighed = []
    for home, blues, trellis in tried:
        way = cheapest(trellis, home)
        weighed.append((way[0] + _prior(home, blues, printed, costs), home, blues, trellis, way))
    weighed.sort(key=lambda one: one[:3])
    least, home, blues, trellis, way = weighed[0]
    found = found_on(events, trellis, way)
    weights, sums = [], []
    for cost, other, other_blues, its, _ in weighed:
        if cost > least + costs.temperature * TOLD_APART:
            break
        log_weight, spread = shares(its, other, costs.temperature)
        weights.append(log_weight - _prior(other, other_blues, printed, costs) / costs.temperature)
        sums.append(spread)
    most = max(weights)
    parts = [math.exp(weight - most) for weight in weights]
    total = sum(parts)
    mixed = sums[0] if len(sums) == 1 else blend(sums, [part / total for part in parts])
    confidence = sum(part for part, (_, other, *_) in zip(parts, weighed, strict=False) if other == home) / total
    return Weighed(home, blues, confidence, found, mixed)


def _prior(home: int, blues: bool, printed: int | None, costs: Costs) -> float:
    """What speaks for or against a home before the tune is read."""
    agrees = printed is not None and printed == home
    return (costs.blues if blues else 0.0) + (costs.signature if agrees else 0.0)


def _candidates(events: Sequence[Event], printed: int | None, costs: Costs) -> list[int]:
    """The keys with the weightiest rests, counting the first and the last double; the printed one among them."""
    said: dict[int, float] = {}
    rests: list[int] = []
    for n, event in enumerate(events):
        if event.kind in RESTS or event.kind == ChordClass.OPEN:
            before = events[n - 1] if n else None
            key = 2 * event.root + (event.kind in MINOR_RESTS)
            led = before is not None and before.kind in DOMINANTS and (event.root - before.root) % 12 in (5, 11)
            said[key] = said.get(key, 0.0) + rest_worth(event, costs) * (1.0 if led else costs.unprepared)
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
    return sorted(said, key=lambda key: (-said[key], key))[:HOMES_TRIED]


def _blues(events: tuple[Event, ...]) -> list[int]:
    """The keys whose tonic seventh opens the tune, or ends it without leading back to its start."""
    first, last = events[0], events[-1] if events[-1].spans else events[-2]
    roots = {event.root for event in (first, last) if event.kind == ChordClass.DOMINANT}
    if last.root != first.root and (first.root - last.root) % 12 in (5, 11):
        roots.discard(last.root)
    return sorted(2 * root for root in roots)


def rest_worth(event: Event, costs: Costs) -> float:
    """Roughly what a rest on an event is worth, to choose homes by; `Steps.rest` has the rest of it."""
    return (
        costs.rest_bar * min(event.bars, costs.rest_bars)
        + costs.rest_strong * (event.strong > 0)
        + costs.rest_opens * event.opens
        + costs.rest_closes * event.closes
    )
