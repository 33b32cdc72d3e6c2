"""The search: the cheapest path through the lattice, and the cheapest path through every node.

A state is a node and whether its key has come to rest yet. Steps stay in a key (the lattice's links)
or change it; an interruption is an edge from an open ii or V over a foreign cadence to the event
after it. Both passes are exact and linear in the number of events; what a node costs at best
(forward plus backward) is what shares and rivals are made from.

After Viterbi 1967; that a preparation may be left open and closed later follows Steedman 1984
and Granroth-Wilding & Steedman 2014.
"""

from collections.abc import Sequence
from typing import NamedTuple

from trainer.reading import costs
from trainer.reading.lattice import Foreign, Lattice, Node
from trainer.reading.roles import Role

INFINITE = float("inf")
Row = list[float]


class Found(NamedTuple):
    """The outcome of one search."""

    cost: float
    path: tuple[tuple[int, Role], ...]
    """Key and role of each event."""
    interruptions: tuple[tuple[Foreign, int], ...]
    """Each with the key that was awaited."""
    changes: tuple[int, ...]
    """The keys that a change of center led to, in order."""


def distance(key: int, other: int) -> float:
    """What lies between two keys: fifths between their signatures, or the change of mode."""
    if key >> 1 == other >> 1:
        return costs.PARALLEL
    a = (key >> 1) + (3 if key & 1 else 0)
    b = (other >> 1) + (3 if other & 1 else 0)
    fifths = (b - a) * 7 % 12
    return costs.DISTANCE * min(fifths, 12 - fifths)


CHANGES = [[costs.CHANGE + distance(a, b) for b in range(24)] for a in range(24)]


def is_own_chord(key: int, other: int) -> bool:
    """Whether the tonic chord of another key is a triad of this key's scale."""
    degree, minor = ((other >> 1) - (key >> 1)) % 12, other & 1
    if key & 1:
        return degree in ((0, 5, 7) if minor else (3, 8, 10))
    return degree in ((2, 4, 9) if minor else (5, 7))


def is_open(node: Node) -> bool:
    """Whether a node is a preparation that can wait behind an interruption."""
    return (node.role.letter == "P" and node.role.degree == 2) or node.role.letter == "D"


def resume_cost(a: Role, b: Role) -> float:
    """From the preparation to where it is taken up again."""
    return costs.STEPS["P"]["D"] if a.letter == "P" and b.letter == "R" else 0.0


class Search:
    """Forward and backward sums over one lattice from one home. States are numbered 2 * node + rested."""

    def __init__(self, lattice: Lattice, home: int) -> None:
        self.lattice = lattice
        self.home = home
        self._through: tuple[list[Row], dict[Foreign, float]] | None = None
        self.away = [
            [costs.AWAY_BAR * node.bars if node.key != home else 0.0 for node in row] for row in lattice.nodes
        ]
        self.places = [_by_key(nodes) for nodes in lattice.nodes]
        self.leaves = [[_leaving(node) for node in row] for row in lattice.nodes]
        self.enters = [self._entering(i) for i in range(len(lattice.nodes))]
        self.edges_to: dict[int, list[Foreign]] = {}
        self.edges_from: dict[int, list[Foreign]] = {}
        for edge in lattice.foreign:
            self.edges_to.setdefault(edge.last + 1, []).append(edge)
            self.edges_from.setdefault(edge.first - 1, []).append(edge)
        self.forward = [self._starts()]
        self.back: list[list[int]] = [[-1] * len(self.forward[0])]
        """For each state: twice the state it was reached from, plus one where the center changed; -1 is the start."""
        self.over: dict[tuple[int, int], Foreign] = {}
        """The interruption that a state (by event and number) was reached over, from the event before it."""
        for i in range(1, len(lattice.nodes)):
            row, pointers = self._forward_step(i)
            self.forward.append(row)
            self.back.append(pointers)

    def change(self, key: int, other: int) -> float:
        """What a change of center costs."""
        elsewhere = costs.GOES_ELSEWHERE if other != self.home else 0.0
        return CHANGES[key][other] + elsewhere

    def edge_cost(self, edge: Foreign, key: int) -> float:
        """What an interruption costs when this key waits behind it."""
        away = costs.AWAY_BAR * edge.bars if edge.key != self.home else 0.0
        own = costs.INTERRUPTION_BY_OWN if is_own_chord(key, edge.key) else 0.0
        return costs.INTERRUPTION + own + distance(key, edge.key) + edge.cost + away

    def _entering(self, i: int) -> Row:
        """What it costs to begin a center on each node (with the node's own cost)."""
        events, rest = self.lattice.events, self.lattice.rests[i]
        same_root = i > 0 and events[i - 1].root == events[i].root
        out: Row = []
        for node in self.lattice.nodes[i]:
            letter = node.role.letter
            cost = costs.ENTER.get(letter, INFINITE) + node.cost
            if letter == "P":
                if node.role.degree != 2:
                    cost += costs.ENTER_BY_OTHER
                elif same_root:
                    cost += costs.TURNS_MINOR
            out.append(cost - costs.UNPREPARED * rest if letter == "T" else cost)
        return out

    def _starts(self) -> Row:
        nodes, rest = self.lattice.nodes[0], self.lattice.rests[0]
        out = [INFINITE] * (2 * len(nodes))
        for n, node in enumerate(nodes):
            letter = node.role.letter
            if letter in "Rr":
                continue
            cost = node.cost + self.away[0][n]
            if node.key != self.home:
                cost += costs.STARTS_AWAY
            if letter == "T":
                out[2 * n + 1] = cost - rest * costs.UNPREPARED
            else:
                out[2 * n] = cost + costs.ENTER[letter] / 2
        return out

    def _end(self, node: Node) -> float:
        """What it costs to end here."""
        cost = costs.LEAVE.get(node.role.letter, INFINITE)
        return cost + (costs.ENDS_AWAY if node.key != self.home else 0.0)

    def _arrivals(self, i: int) -> dict[int, tuple[float, int]]:
        """For each key of an event: the cheapest change of center into it, and from which state."""
        before = self.forward[i - 1]
        left: list[tuple[float, int, int]] = []
        for key, members in self.places[i - 1].items():
            best, arg = INFINITE, -1
            for n in members:
                leave = self.leaves[i - 1][n]
                unrested = before[2 * n] + leave + costs.LEAVE_UNRESTED
                rested = before[2 * n + 1] + leave
                if unrested < best:
                    best, arg = unrested, 2 * n
                if rested < best:
                    best, arg = rested, 2 * n + 1
            if arg >= 0:
                left.append((best, key, arg))
        left.sort()
        out: dict[int, tuple[float, int]] = {}
        for key in self.places[i]:
            best, arg = INFINITE, -1
            for cost, other, state in left:
                if cost + costs.CHANGE >= best:
                    break
                if other != key and cost + CHANGES[other][key] < best:
                    best, arg = cost + CHANGES[other][key], state
            elsewhere = costs.GOES_ELSEWHERE if key != self.home else 0.0
            out[key] = (best + elsewhere, arg)
        return out

    def _forward_step(self, i: int) -> tuple[Row, list[int]]:
        before, links, enters, away = self.forward[i - 1], self.lattice.links[i], self.enters[i], self.away[i]
        arrivals = self._arrivals(i)
        edges = self.edges_to.get(i, ())
        row: Row = []
        pointers: list[int] = []
        for n, node in enumerate(self.lattice.nodes[i]):
            letter = node.role.letter
            cost_1 = INFINITE
            from_0 = from_1 = -1
            arrival, state = arrivals[node.key]
            cost_0 = arrival + enters[n]
            if cost_0 < INFINITE:
                from_0 = 2 * state + 1
            for m, price in links[n]:
                unrested, rested = before[2 * m] + price, before[2 * m + 1] + price
                if unrested <= cost_0:
                    cost_0, from_0 = unrested, 4 * m
                if rested < cost_1:
                    cost_1, from_1 = rested, 4 * m + 2
            if letter == "T":
                if cost_0 < cost_1:
                    cost_1, from_1 = cost_0, from_0
                cost_0, from_0 = INFINITE, -1
            elif edges and letter in "Rr":
                for rested_flag, (cost, state, edge) in self._over(edges, node).items():
                    if rested_flag and cost < cost_1:
                        cost_1, from_1 = cost, 2 * state
                        self.over[i, 2 * n + 1] = edge
                    elif not rested_flag and cost < cost_0:
                        cost_0, from_0 = cost, 2 * state
                        self.over[i, 2 * n] = edge
            row += (cost_0 + away[n], cost_1 + away[n])
            pointers += (from_0, from_1)
        return row, pointers

    def _over(self, edges: Sequence[Foreign], node: Node) -> dict[int, tuple[float, int, Foreign]]:
        """The cheapest ways over an interruption into a node, by whether its key has rested before."""
        best: dict[int, tuple[float, int, Foreign]] = {}
        for edge in edges:
            if edge.key == node.key:
                continue
            start = edge.first - 1
            price = self.edge_cost(edge, node.key) + node.cost
            for m in self.places[start].get(node.key, ()):
                earlier = self.lattice.nodes[start][m]
                if not is_open(earlier):
                    continue
                toward = price + resume_cost(earlier.role, node.role)
                for rested in (0, 1):
                    total = self.forward[start][2 * m + rested] + toward
                    if total < INFINITE and (rested not in best or total < best[rested][0]):
                        best[rested] = (total, 2 * m + rested, edge)
        return best

    def best(self) -> Found:
        """The cheapest path."""
        last = len(self.lattice.nodes) - 1
        nodes = self.lattice.nodes[last]
        ends = [self._end(node) for node in nodes]
        cost, state = min((cost + ends[s >> 1], s) for s, cost in enumerate(self.forward[last]))
        path: list[tuple[int, Role]] = []
        interruptions: list[tuple[Foreign, int]] = []
        changes: list[int] = []
        i = last
        while True:
            node = self.lattice.nodes[i][state >> 1]
            path.append((node.key, node.role))
            pointer = self.back[i][state]
            if pointer < 0:
                break
            if pointer & 1:
                changes.append(node.key)
            edge = self.over.get((i, state))
            state = pointer >> 1
            if edge is not None:
                path.extend((edge.key, role) for role in reversed(edge.roles))
                interruptions.append((edge, node.key))
                i = edge.first - 1
            else:
                i -= 1
        return Found(cost, tuple(reversed(path)), tuple(reversed(interruptions)), tuple(reversed(changes)))

    def through(self) -> tuple[list[Row], dict[Foreign, float]]:
        """For each event and node, and for each interruption, the cost of the cheapest path through it."""
        if self._through is not None:
            return self._through
        last = len(self.lattice.nodes) - 1
        togo: list[Row] = [[] for _ in self.lattice.nodes]
        togo[last] = [self._end(node) for node in self.lattice.nodes[last] for _ in (0, 1)]
        over: dict[Foreign, float] = {}
        for i in range(last - 1, -1, -1):
            row = self._backward_step(i, togo[i + 1])
            for edge in self.edges_from.get(i, ()):
                self._backward_edge(edge, row, togo[edge.last + 1], over)
            togo[i] = row
        sums = [
            [min(f[s] + t[s], f[s + 1] + t[s + 1]) for s in range(0, len(f), 2)]
            for f, t in zip(self.forward, togo, strict=True)
        ]
        self._through = sums, over
        return self._through

    def _backward_step(self, i: int, after: Row) -> Row:
        later, links, away = self.lattice.nodes[i + 1], self.lattice.links[i + 1], self.away[i + 1]
        enters = self.enters[i + 1]
        row = [INFINITE] * (2 * len(self.lattice.nodes[i]))
        entered: dict[int, float] = {}
        for n, node in enumerate(later):
            rests = node.role.letter == "T"
            on_0, on_1 = after[2 * n + rests] + away[n], after[2 * n + 1] + away[n]
            for m, price in links[n]:
                if price + on_0 < row[2 * m]:
                    row[2 * m] = price + on_0
                if price + on_1 < row[2 * m + 1]:
                    row[2 * m + 1] = price + on_1
            if on_0 + enters[n] < entered.get(node.key, INFINITE):
                entered[node.key] = on_0 + enters[n]
        ways = sorted((cost, key) for key, cost in entered.items())
        changed = {
            key: min(
                (cost + self.change(key, other) for cost, other in ways if other != key), default=INFINITE
            )
            for key in self.places[i]
        }
        for n, node in enumerate(self.lattice.nodes[i]):
            way = changed[node.key] + self.leaves[i][n]
            row[2 * n] = min(row[2 * n], way + costs.LEAVE_UNRESTED)
            row[2 * n + 1] = min(row[2 * n + 1], way)
        return row

    def _backward_edge(self, edge: Foreign, row: Row, after: Row, over: dict[Foreign, float]) -> None:
        start, end = edge.first - 1, edge.last + 1
        for n, node in enumerate(self.lattice.nodes[start]):
            if node.key == edge.key or not is_open(node):
                continue
            price = self.edge_cost(edge, node.key)
            for m in self.places[end].get(node.key, ()):
                later = self.lattice.nodes[end][m]
                if later.role.letter not in "Rr":
                    continue
                total = price + resume_cost(node.role, later.role) + later.cost + self.away[end][m]
                for rested in (0, 1):
                    togo = total + after[2 * m + rested]
                    row[2 * n + rested] = min(row[2 * n + rested], togo)
                    through = self.forward[start][2 * n + rested] + togo
                    over[edge] = min(over.get(edge, INFINITE), through)


def _by_key(nodes: Sequence[Node]) -> dict[int, list[int]]:
    places: dict[int, list[int]] = {}
    for n, node in enumerate(nodes):
        places.setdefault(node.key, []).append(n)
    return places


def _leaving(node: Node) -> float:
    """What it costs to give a rested center up here."""
    return costs.LEAVE.get(node.role.letter, INFINITE)
