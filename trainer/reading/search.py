"""The search over one tune: its events laid out as a trellis, and what is found there in their terms.

The arithmetic is in `trellis`; here numbers become roles again.
"""

from array import array
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from trainer.reading.costs import COSTS, Costs
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass
from trainer.reading.roles import Role, role_of
from trainer.reading.trellis.nodes import Trellis
from trainer.reading.trellis.steps import Steps
from trainer.reading.trellis.weights import Weights


class Foreign(NamedTuple):
    """A complete cadence of another key, found as an interruption: its events first to last, its key."""

    first: int
    last: int
    key: int


class Found(NamedTuple):
    """The outcome of one search."""

    cost: float
    path: tuple[tuple[int, Role], ...]
    """Key and role of each event."""
    interruptions: tuple[tuple[Foreign, int], ...]
    """Each with the key that was awaited."""


LONGEST_BARS = 64.0
"""A chord that stays longer says no more; its weight in the shares would fall out of what numbers can hold."""


@lru_cache(maxsize=4)
def weights_of(costs: Costs) -> Weights:
    """The costs as the trellis takes them."""
    return Weights(costs)


def trellis_of(events: Sequence[Event], pins: Mapping[int, int], blues: int | None, costs: Costs = COSTS) -> Trellis:
    """The trellis of a tune; `pins` holds the key pinned for an event, `blues` a key whose I7 and IV7 rest."""
    told: list[int] = []
    sways = _sways(events)
    for n, event in enumerate(events):
        told += (
            event.root, event.bass, event.kind, event.lean, event.six_four, event.strong,
            event.opens, event.closes, event.ends, pins.get(n, -1), _is_pinned(event), _chains(events, n),
            _like_two(events, n) and not sways[n],
        )  # fmt: skip
    mean = sum(event.bars for event in events) / len(events)
    scale = max(1.0, costs.pulse / mean)
    bars = array("d", [min(event.bars, LONGEST_BARS) * scale for event in events])
    tune = Steps(weights_of(costs), array("i", told), bars, -1 if blues is None else blues)
    return Trellis(tune, scale, not events[-1].spans)


_TWOS = (ChordClass.MINOR_SEVENTH, ChordClass.HALF_DIMINISHED)


def _is_two_five(two: Event, five: Event) -> bool:
    """Whether two chords are a ii and its V by their looks."""
    return two.kind in _TWOS and five.kind == ChordClass.DOMINANT and (five.root - two.root) % 12 == 5


SWAYS = 6
"""So many chords in a row, two by turns, are a vamp."""


def _sways(events: Sequence[Event]) -> list[bool]:
    """For each event whether two chords go to and fro around it: then neither has to lead anywhere."""
    out = [False] * len(events)
    first = 0
    for n in range(2, len(events) + 1):
        if n < len(events) and (events[n].root, events[n].kind) == (events[n - 2].root, events[n - 2].kind):
            continue
        if n - first >= SWAYS:
            out[first:n] = [True] * (n - first)
        first = n - 1
    return out


def _like_two(events: Sequence[Event], n: int) -> bool:
    """Whether a minor seventh is followed by the dominant a fourth above it."""
    one = events[n]
    return one.kind == ChordClass.MINOR_SEVENTH and n + 1 < len(events) and _is_two_five(one, events[n + 1])


def _is_pinned(event: Event) -> bool:
    """Whether the player gave the chord its function."""
    return event.pin is not None and event.pin.numeral is not None


def _chains(events: Sequence[Event], n: int) -> bool:
    """Whether an event begins a two-five right after another one elsewhere.

    Where the V becomes the next ii on its own root, it is rather the V of V.
    """
    if n < 2 or n + 1 >= len(events) or events[n].root == events[n - 2].root:
        return False
    if n + 2 < len(events) and events[n + 2].root == events[n + 1].root and events[n + 2].kind in _TWOS:
        return False
    return _is_two_five(events[n - 2], events[n - 1]) and _is_two_five(events[n], events[n + 1])


Path = tuple[float, list[tuple[int, int]], list[tuple[int, int]]]
"""What `cheapest` returns."""


def found_on(events: Sequence[Event], trellis: Trellis, way: Path) -> Found:
    """The cheapest reading in the terms of the events."""
    cost, path, interruptions = way
    return Found(
        cost,
        tuple((key, role_of(event, key, slot)) for event, (key, slot) in zip(events, path, strict=True)),
        tuple((Foreign(*trellis.edges[edge][:3]), key) for edge, key in interruptions),
    )
