"""The lattice of readings: for each event the nodes (a role in a key) and the interruptions that may break in.

A key is a number: twice the tonic (semitones above the first chord's root), plus one for minor.
Keys that nothing in the tune points to are left out; the player's pins close the nodes they rule out.
"""

from dataclasses import dataclass

from trainer.harmony.numeral import AppliedNumeral
from trainer.reading import costs
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass as K
from trainer.reading.roles import Role, roles_of

DOMINANTS = (K.DOMINANT, K.SUSPENDED, K.AUGMENTED)
TWOS = (K.MINOR_SEVENTH, K.HALF_DIMINISHED, K.MINOR_TRIAD)
RESTS = (K.MAJOR, K.MAJOR_TRIAD, K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH)
MINOR_RESTS = (K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH)


@dataclass(frozen=True, slots=True)
class Node:
    """One event in one role of one key."""

    key: int
    role: Role
    cost: float


@dataclass(frozen=True, slots=True)
class Foreign:
    """A complete cadence that could be an interruption: events first to last, in its own key."""

    first: int
    last: int
    key: int
    roles: tuple[Role, ...]
    cost: float


@dataclass(frozen=True, slots=True)
class Lattice:
    """Everything the search runs over."""

    events: tuple[Event, ...]
    nodes: tuple[tuple[Node, ...], ...]
    rests: tuple[float, ...]
    """What a well prepared rest on the event is worth."""
    foreign: tuple[Foreign, ...]
    blues: int | None
    """The key heard as a blues, None where none is."""
    keys: tuple[int, ...]


def weight(event: Event) -> float:
    """How much an event's role costs for its length."""
    return min(max(event.bars, costs.DURATION_FLOOR), costs.DURATION_CAP)


def _rest(event: Event) -> float:
    return (
        costs.REST_BAR * min(event.bars, costs.REST_BARS)
        + costs.REST_STRONG * event.strong
        + costs.REST_OPENS * event.opens
        + costs.REST_CLOSES * event.closes
    )


def keys_in_question(events: tuple[Event, ...]) -> tuple[int, ...]:
    """The keys that some chord of rest, or some dominant, points to."""
    keys: set[int] = set()
    for i, event in enumerate(events):
        if event.kind in RESTS or event.kind == K.OPEN:
            keys.add(2 * event.root + (event.kind in MINOR_RESTS))
        if event.kind in DOMINANTS:
            goal = (event.root + 5) % 12
            keys.update((2 * goal, 2 * goal + 1))
            if event.kind == K.DOMINANT and (i == 0 or i + 1 == len(events) or event.bars >= 1):
                keys.add(2 * event.root)
        if event.kind == K.DIMINISHED:
            goal = (event.root + 1) % 12
            keys.update((2 * goal, 2 * goal + 1))
    return tuple(sorted(keys))


def build(events: tuple[Event, ...], pins: dict[int, int], blues: int | None) -> Lattice:
    """The lattice of a tune; `pins` holds the key pinned for an event."""
    keys = tuple(sorted({*keys_in_question(events), *pins.values()}))
    foreign = _foreign(events, pins)
    may_resume = {edge.last + 1 for edge in foreign}
    nodes: list[tuple[Node, ...]] = []
    resumed: set[int] = set()
    for i, event in enumerate(events):
        length = weight(event)
        here: list[Node] = []
        resuming = i in may_resume or i - 1 in resumed
        for key in (pins[i],) if i in pins else keys:
            tonic, minor = key >> 1, bool(key & 1)
            options = roles_of(
                event.kind, event.lean, event.six_four, (event.root - tonic) % 12, minor, key == blues
            )
            for role, cost in options:
                if not _allowed(event, role, key, pins.get(i)):
                    continue
                here.append(Node(key, role, cost * length))
                if resuming and role.letter == "D":
                    here.append(Node(key, _as(role, "R"), cost * length))
                    resumed.add(i)
                elif resuming and role.letter == "P" and role.degree == 2:
                    here.append(Node(key, _as(role, "r"), cost * length))
                    resumed.add(i)
        nodes.append(tuple(here))
    return Lattice(events, tuple(nodes), tuple(map(_rest, events)), foreign, blues, keys)


def _as(role: Role, letter: str) -> Role:
    return Role(letter, role.target, role.substitute, role.minor, role.degree, role.kind, role.lean)


def _allowed(event: Event, role: Role, key: int, pinned: int | None) -> bool:
    """Whether the player's word leaves this role open; color always stays, so that no pin closes every way."""
    if pinned is None or event.pin is None or event.pin.numeral is None:
        return True
    numeral = event.pin.numeral
    if isinstance(numeral, AppliedNumeral):
        return role.letter in "AaC"
    return role.letter not in "Aa"


def _foreign(events: tuple[Event, ...], pins: dict[int, int]) -> tuple[Foreign, ...]:
    found: list[Foreign] = []
    for last in range(2, len(events) - 1):
        goal, five = events[last], events[last - 1]
        if goal.kind not in RESTS or five.kind not in (*DOMINANTS, K.MAJOR_TRIAD):
            continue
        if (goal.root - five.root) % 12 not in (5, 11):
            continue
        key = 2 * goal.root + (goal.kind in MINOR_RESTS)
        starts = [last - 1]
        two = events[last - 2]
        if last >= 3 and two.kind in TWOS and (two.root - goal.root) % 12 in (2, 8):
            starts.append(last - 2)
        for first in starts:
            inside = events[first : last + 1]
            if sum(event.bars for event in inside) > costs.INTERRUPTION_BARS:
                continue
            if any(pins.get(i, key) != key for i in range(first, last + 1)):
                continue
            roles = _inner_roles(inside, goal.root, bool(key & 1))
            if roles is not None:
                found.append(Foreign(first, last, key, *roles))
    return tuple(found)


def _inner_roles(
    inside: tuple[Event, ...], tonic: int, minor: bool
) -> tuple[tuple[Role, ...], float] | None:
    """The roles of a foreign cadence and what it costs inside its own key."""
    wanted = "PDT"[-len(inside) :]
    roles: list[Role] = []
    cost = 0.0
    for event, letter in zip(inside, wanted, strict=True):
        options = roles_of(event.kind, event.lean, False, (event.root - tonic) % 12, minor, False)
        fitting = [(role, price) for role, price in options if role.letter == letter]
        if not fitting:
            return None
        role, price = fitting[0]
        roles.append(role)
        cost += price * weight(event)
    return tuple(roles), cost
