"""The lattice of readings: for each event the nodes (a role in a key) and the interruptions that may break in.

A key is a number: twice the tonic (semitones above the first chord's root), plus one for minor.
A key is open where a chord nearby points to it, and everywhere if it is among those that most of the
tune points to; the player's pins close the nodes they rule out.
"""

from collections.abc import Sequence
from typing import NamedTuple

from trainer.harmony.numeral import AppliedNumeral
from trainer.reading import costs
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass as K
from trainer.reading.roles import Role, roles_of, step, taken_up

DOMINANTS = (K.DOMINANT, K.SUSPENDED, K.AUGMENTED)
TWOS = (K.MINOR_SEVENTH, K.HALF_DIMINISHED, K.MINOR_TRIAD)
RESTS = (K.MAJOR, K.MAJOR_TRIAD, K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH)
MINOR_RESTS = (K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH)

Links = tuple[tuple[tuple[int, float], ...], ...]
"""For each node of an event: the nodes of the event before in the same key, with the cost of step and node."""


class Node(NamedTuple):
    """One event in one role of one key."""

    key: int
    role: Role
    cost: float
    bars: float


class Foreign(NamedTuple):
    """A complete cadence that could be an interruption: events first to last, in its own key."""

    first: int
    last: int
    key: int
    roles: tuple[Role, ...]
    cost: float
    bars: float


class Lattice(NamedTuple):
    """Everything the search runs over."""

    events: tuple[Event, ...]
    nodes: tuple[tuple[Node, ...], ...]
    links: tuple[Links, ...]
    """For each event but the first (whose links are empty)."""
    rests: tuple[float, ...]
    """What a well prepared rest on the event is worth."""
    foreign: tuple[Foreign, ...]


def weight(event: Event) -> float:
    """How much an event's role costs for its length."""
    return min(max(event.bars, costs.DURATION_FLOOR), costs.DURATION_CAP)


def _price(role: Role, cost: float, event: Event) -> float:
    """What an event costs in a role, by its length: what only passes or colors gets dearer as it stays.

    A major IV of half a bar is a neighbor of the tonic rather than a way home.
    """
    price = cost * weight(event)
    if role.letter == "X":
        price += costs.PASSING_STAYS * max(0.0, event.bars - 1.0)
    elif role.letter == "C":
        price = cost * max(weight(event), event.bars)
    major = event.kind in (K.MAJOR, K.MAJOR_TRIAD)
    if major and role.letter == "L" and role.degree == 5 and event.bars <= 0.5:
        price += costs.BRIEF_FOUR
    if major and role.letter == "T" and role.minor and event.ends:
        price += costs.PICARDY
    if event.kind == K.MAJOR and role.letter != "T" and (event.opens or event.closes):
        price += costs.REST_OVERHEARD
    return price


def rest_worth(event: Event) -> float:
    """What a well prepared rest on an event is worth."""
    return (
        costs.REST_BAR * min(event.bars, costs.REST_BARS)
        + costs.REST_STRONG * event.strong
        + costs.REST_OPENS * event.opens
        + costs.REST_CLOSES * event.closes
    )


def _points_to(event: Event) -> tuple[int, ...]:
    """The keys that a chord points to: as their rest, as their dominant, as a minor key's ii."""
    root = event.root
    if event.kind in RESTS or event.kind == K.OPEN:
        return (2 * root + (event.kind in MINOR_RESTS),)
    if event.kind == K.DIMINISHED:
        goal = (root + 1) % 12
    elif event.kind == K.HALF_DIMINISHED:
        return (2 * ((root + 10) % 12) + 1,)
    else:
        goal = (root + 5) % 12
    itself = (2 * root,) if event.kind == K.DOMINANT and event.bars >= 1 else ()
    return (2 * goal, 2 * goal + 1, *itself)


def keys_in_question(events: Sequence[Event], kept: Sequence[int]) -> list[tuple[int, ...]]:
    """For each event the keys open there: those that a chord near it points to, those that lead the tune, `kept`."""
    pointed = [_points_to(event) for event in events]
    said: dict[int, float] = {}
    for event, keys in zip(events, pointed, strict=True):
        for key in keys:
            said[key] = said.get(key, 0.0) + event.bars / len(keys)
    leading = sorted(said, key=lambda key: (-said[key], key))[: costs.LEADING_KEYS]
    always = {*leading, *kept}
    near = costs.KEYS_NEAR
    return [
        tuple(sorted(always.union(*pointed[max(0, i - near) : i + near + 1]))) for i in range(len(events))
    ]


def build(events: tuple[Event, ...], pins: dict[int, int], blues: int | None) -> Lattice:
    """The lattice of a tune; `pins` holds the key pinned for an event."""
    keys = keys_in_question(events, (*pins.values(), *(() if blues is None else (blues,))))
    foreign = _foreign(events, pins)
    may_resume = {edge.last + 1 for edge in foreign}
    nodes: list[tuple[Node, ...]] = []
    known_nodes: dict[tuple[object, ...], tuple[Node, ...]] = {}
    resuming = False
    for i, event in enumerate(events):
        # A dominant or a ii is taken up again right after an interruption, or after the ii taken up there.
        resuming = i in may_resume or (resuming and event.kind in (*DOMINANTS, *TWOS))
        open_keys = (pins[i],) if i in pins else keys[i]
        place = (event.bars, event.opens, event.closes, event.ends, event.pin)
        mark = (event.root, event.bass, event.symbol.quality, place, open_keys, resuming)
        if mark not in known_nodes:
            known_nodes[mark] = _nodes(event, open_keys, blues, resuming)
        nodes.append(known_nodes[mark])
    rests = tuple(map(rest_worth, events))
    links: list[Links] = [()]
    known_links: dict[tuple[int, int, float], Links] = {}
    for i in range(1, len(events)):
        pair = (id(nodes[i - 1]), id(nodes[i]), rests[i])
        if pair not in known_links:
            known_links[pair] = _links(nodes[i - 1], nodes[i], rests[i])
        links.append(known_links[pair])
    return Lattice(events, tuple(nodes), tuple(links), rests, foreign)


def _nodes(event: Event, keys: Sequence[int], blues: int | None, resuming: bool) -> tuple[Node, ...]:
    here: list[Node] = []
    for key in keys:
        tonic, minor = key >> 1, bool(key & 1)
        options = roles_of(
            event.kind,
            event.lean,
            event.six_four,
            (event.root - tonic) % 12,
            (event.bass - tonic) % 12,
            minor,
            key == blues,
        )
        for role, cost in options:
            if not _allowed(event, role):
                continue
            price = _price(role, cost, event)
            here.append(Node(key, role, price, event.bars))
            if (resuming and role.letter == "D") or (resuming and role.letter == "P" and role.degree == 2):
                here.append(Node(key, taken_up(role), price, event.bars))
    return tuple(here)


def _links(before: Sequence[Node], nodes: Sequence[Node], rest: float) -> Links:
    by_key: dict[int, list[tuple[int, Role]]] = {}
    for m, node in enumerate(before):
        by_key.setdefault(node.key, []).append((m, node.role))
    out: list[tuple[tuple[int, float], ...]] = []
    for key, role, cost, _ in nodes:
        found: list[tuple[int, float]] = []
        for m, earlier in by_key.get(key, ()):
            pair = (id(earlier), id(role))
            known = _STEPS.get(pair)
            if known is None:
                known = _STEPS[pair] = step(earlier, role)
            price, prepared = known
            if price < costs.NEVER:
                found.append((m, price + cost - prepared * rest))
        out.append(tuple(found))
    return tuple(out)


_STEPS: dict[tuple[int, int], tuple[float, float]] = {}
"""Steps by the identity of their roles, which `roles_of` and `taken_up` keep for good."""


def thinned(lattice: Lattice, keep: Sequence[Sequence[int]]) -> Lattice:
    """The lattice with some of its nodes only, given by their places."""
    nodes = tuple(tuple(here[n] for n in kept) for here, kept in zip(lattice.nodes, keep, strict=True))
    links: list[Links] = [()]
    for i in range(1, len(nodes)):
        places = {old: new for new, old in enumerate(keep[i - 1])}
        links.append(
            tuple(
                tuple((places[m], price) for m, price in lattice.links[i][n] if m in places) for n in keep[i]
            )
        )
    return lattice._replace(nodes=nodes, links=tuple(links))


def _allowed(event: Event, role: Role) -> bool:
    """Whether the player's word on a function leaves this role open; color always stays open."""
    if event.pin is None or event.pin.numeral is None:
        return True
    if isinstance(event.pin.numeral, AppliedNumeral):
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
            bars = sum(event.bars for event in inside)
            if bars > costs.INTERRUPTION_BARS or any(pins.get(i, key) != key for i in range(first, last + 1)):
                continue
            roles = _inner_roles(inside, goal.root, bool(key & 1))
            if roles is not None:
                found.append(Foreign(first, last, key, *roles, bars))
    return tuple(found)


def _inner_roles(
    inside: tuple[Event, ...], tonic: int, minor: bool
) -> tuple[tuple[Role, ...], float] | None:
    """The roles of a foreign cadence and what they and the steps between them cost in its own key."""
    roles: list[Role] = []
    cost = 0.0
    for event, letter in zip(inside, "PDT"[-len(inside) :], strict=True):
        places = (event.root - tonic) % 12, (event.bass - tonic) % 12
        options = roles_of(event.kind, event.lean, False, *places, minor, False)
        fitting = [(role, price) for role, price in options if role.letter == letter]
        if not fitting:
            return None
        role, price = fitting[0]
        cost += price * weight(event)
        if roles:
            toward, prepared = step(roles[-1], role)
            cost += toward - prepared * rest_worth(event)
        roles.append(role)
    return tuple(roles), cost
