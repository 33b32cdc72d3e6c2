"""The search: the cheapest path through the lattice, and the cheapest path through every node.

A state is a node and whether its key has come to rest yet. Steps stay in a key (roles.step) or
change it; an interruption is an edge from an open ii or V over a foreign cadence to the event
after it. Both passes are exact and linear in the number of events; what a node costs at best
(forward plus backward) is what shares and rivals are made from.

After Viterbi 1967; that a preparation may be left open and closed later follows Steedman 1984
and Granroth-Wilding & Steedman 2014.
"""

from dataclasses import dataclass

from trainer.reading import costs
from trainer.reading.lattice import Foreign, Lattice, Node
from trainer.reading.roles import Role, step

INFINITE = float("inf")


@dataclass(frozen=True, slots=True)
class Home:
    """A home to weigh the tune from; None weighs it from no home at all."""

    key: int | None
    blues: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """The outcome of one search."""

    cost: float
    path: tuple[tuple[int, Role], ...]
    """Key and role of each event."""
    interruptions: tuple[tuple[Foreign, int], ...]
    """Each with the key that was awaited."""


def distance(key: int, other: int) -> float:
    """What lies between two keys: fifths between their signatures, and the change of mode."""
    a = (key >> 1) + (3 if key & 1 else 0)
    b = (other >> 1) + (3 if other & 1 else 0)
    fifths = (b - a) * 7 % 12
    fifths = min(fifths, 12 - fifths)
    parallel = costs.PARALLEL if key >> 1 == other >> 1 else costs.DISTANCE * fifths
    return parallel


class Search:
    """Forward and backward sums over one lattice from one home."""

    def __init__(self, lattice: Lattice, home: Home) -> None:
        self.lattice = lattice
        self.home = home
        self.distances = {
            (a, b): costs.CHANGE
            + distance(a, b)
            + (costs.COMES_HOME if b == home.key else 0.0)
            for a in lattice.keys
            for b in lattice.keys
            if a != b
        }
        self.places = [self._by_key(nodes) for nodes in lattice.nodes]
        self.edges_from: dict[int, list[Foreign]] = {}
        for edge in lattice.foreign:
            self.edges_from.setdefault(edge.last + 1, []).append(edge)
        away = costs.AWAY_BAR if home.key is not None else 0.0
        self.node_costs = [
            [node.cost + (away * event.bars if node.key != home.key else 0.0) for node in nodes]
            for event, nodes in zip(lattice.events, lattice.nodes, strict=True)
        ]
        self.forward, self.back = self._run_forward()

    @staticmethod
    def _by_key(nodes: tuple[Node, ...]) -> dict[int, list[int]]:
        places: dict[int, list[int]] = {}
        for n, node in enumerate(nodes):
            places.setdefault(node.key, []).append(n)
        return places

    # States are numbered 2 * node + rested; back pointers are (event, state) or an edge in between.

    def _starts(self) -> list[float]:
        nodes, costs_here, rest = self.lattice.nodes[0], self.node_costs[0], self.lattice.rests[0]
        out = [INFINITE] * (2 * len(nodes))
        for n, node in enumerate(nodes):
            letter = node.role.letter
            if letter in "Rr":
                continue
            start = costs.ENTER[letter] / 2
            if self.home.key is not None and node.key != self.home.key:
                start += costs.STARTS_AWAY
            if letter == "T":
                out[2 * n + 1] = costs_here[n] - rest * costs.UNPREPARED
            else:
                out[2 * n] = costs_here[n] + start
        return out

    def _end(self, node: Node) -> float:
        """What it costs to end here."""
        letter = node.role.letter
        if letter in "Rr":
            return INFINITE
        cost = costs.LEAVE[letter]
        if self.home.key is not None and node.key != self.home.key:
            cost += costs.ENDS_AWAY
        return cost

    def leaving(self, node: Node, rested: int) -> float:
        """What it costs to give a center up here."""
        if node.role.letter in "Rr":
            return INFINITE
        return costs.LEAVE[node.role.letter] + (0.0 if rested else costs.LEAVE_UNRESTED)

    def entering(self, i: int, node: Node) -> float:
        """What it costs to begin a center here (a rest's worth apart)."""
        letter = node.role.letter
        if letter in "Rr":
            return INFINITE
        cost = costs.ENTER[letter]
        if letter == "P" and node.role.degree == 2 and i:
            if self.lattice.events[i - 1].root == self.lattice.events[i].root:
                cost += costs.TURNS_MINOR
        if letter == "T":
            cost -= costs.UNPREPARED * self.lattice.rests[i]
        return cost

    def _run_forward(self) -> tuple[list[list[float]], list[list[object]]]:
        forward = [self._starts()]
        back: list[list[object]] = [[None] * len(forward[0])]
        for i in range(1, len(self.lattice.events)):
            row, pointers = self._forward_step(i, forward)
            forward.append(row)
            back.append(pointers)
        return forward, back

    def _forward_step(self, i: int, forward: list[list[float]]) -> tuple[list[float], list[object]]:
        nodes, before = self.lattice.nodes[i], self.lattice.nodes[i - 1]
        places, previous, rest = self.places[i - 1], forward[i - 1], self.lattice.rests[i]
        # The cheapest way to leave each key.
        left: list[tuple[float, int, int]] = []
        for key, members in places.items():
            best, arg = INFINITE, -1
            for n in members:
                for rested in (0, 1):
                    cost = previous[2 * n + rested]
                    if cost < INFINITE:
                        cost += self.leaving(before[n], rested)
                        if cost < best:
                            best, arg = cost, 2 * n + rested
            if arg >= 0:
                left.append((best, key, arg))
        row = [INFINITE] * (2 * len(nodes))
        pointers: list[object] = [None] * len(row)
        arrivals: dict[int, tuple[float, int]] = {}
        for key in self.places[i]:
            best, arg = INFINITE, -1
            for cost, other, state in left:
                if other != key:
                    total = cost + self.distances[other, key]
                    if total < best:
                        best, arg = total, state
            arrivals[key] = (best, arg)
        edges = self.edges_from.get(i, ())
        for n, node in enumerate(nodes):
            role, here = node.role, self.node_costs[i][n]
            rests = role.letter == "T"
            cost_0 = cost_1 = INFINITE
            from_0: object = None
            from_1: object = None
            for m in places.get(node.key, ()):
                price, prepared = step(before[m].role, role)
                price -= prepared * rest
                total = previous[2 * m] + price
                if total < cost_0:
                    cost_0, from_0 = total, 2 * m
                total = previous[2 * m + 1] + price
                if total < cost_1:
                    cost_1, from_1 = total, 2 * m + 1
            arrival, state = arrivals[node.key]
            if state >= 0:
                total = arrival + self.entering(i, node)
                if total < cost_0:
                    cost_0, from_0 = total, state
            if role.letter in "Rr":
                for edge in edges:
                    for price, rested, m in self._over(edge, node, forward):
                        if rested and price < cost_1:
                            cost_1, from_1 = price, (edge, 2 * m + 1)
                        elif not rested and price < cost_0:
                            cost_0, from_0 = price, (edge, 2 * m)
            if rests:
                if cost_0 < cost_1:
                    cost_1, from_1 = cost_0, from_0
                cost_0, from_0 = INFINITE, None
            row[2 * n], pointers[2 * n] = cost_0 + here, from_0
            row[2 * n + 1], pointers[2 * n + 1] = cost_1 + here, from_1
        return row, pointers

    def edge_cost(self, edge: Foreign, key: int) -> float:
        """What an interruption costs when this key waits behind it."""
        away = costs.AWAY_BAR if self.home.key is not None and edge.key != self.home.key else 0.0
        bars = sum(self.lattice.events[j].bars for j in range(edge.first, edge.last + 1))
        inner = -1.6 - self.lattice.rests[edge.last] + (-0.7 if len(edge.roles) == 3 else 0.0)
        return costs.INTERRUPTION + distance(key, edge.key) + edge.cost + inner + away * bars

    def _open(self, edge: Foreign, node: Node) -> bool:
        """Whether a node right before an interruption is a preparation that waits."""
        return node.key != edge.key and (
            (node.role.letter == "P" and node.role.degree == 2) or node.role.letter == "D"
        )

    @staticmethod
    def resume_cost(a: Role, b: Role) -> float:
        """From the preparation to where it is taken up again."""
        if b.letter == "R":
            return costs.STEPS["P"]["D"] if a.letter == "P" else 0.0
        return 0.0

    def _over(self, edge: Foreign, node: Node, forward: list[list[float]]) -> list[tuple[float, int, int]]:
        out = []
        start = edge.first - 1
        price = self.edge_cost(edge, node.key)
        for m in self.places[start].get(node.key, ()):
            earlier = self.lattice.nodes[start][m]
            if self._open(edge, earlier):
                for rested in (0, 1):
                    total = forward[start][2 * m + rested]
                    if total < INFINITE:
                        out.append((total + price + self.resume_cost(earlier.role, node.role), rested, m))
        return out

    def best(self) -> Found:
        """The cheapest path."""
        last = len(self.lattice.events) - 1
        nodes = self.lattice.nodes[last]
        cost, state = min(
            (self.forward[last][s] + self._end(nodes[s >> 1]), s) for s in range(2 * len(nodes))
        )
        path: list[tuple[int, Role]] = []
        interruptions: list[tuple[Foreign, int]] = []
        i = last
        while True:
            node = self.lattice.nodes[i][state >> 1]
            path.append((node.key, node.role))
            pointer = self.back[i][state]
            if pointer is None:
                break
            if isinstance(pointer, tuple):
                edge, state = pointer
                path.extend((edge.key, role) for role in reversed(edge.roles))
                interruptions.append((edge, node.key))
                i = edge.first - 1
            else:
                assert isinstance(pointer, int)
                state = pointer
                i -= 1
        return Found(cost, tuple(reversed(path)), tuple(reversed(interruptions)))

    def through(self) -> tuple[list[list[float]], dict[Foreign, float]]:
        """For each event and node, and for each interruption, the cost of the cheapest path through it."""
        events = self.lattice.events
        last = len(events) - 1
        ends = [self._end(node) for node in self.lattice.nodes[last]]
        togo: list[list[float]] = [[] for _ in events]
        togo[last] = [ends[s >> 1] for s in range(2 * len(ends))]
        waiting: dict[int, list[list[float]]] = {}
        over: dict[Foreign, float] = {}
        edges_at: dict[int, list[Foreign]] = {}
        for edge in self.lattice.foreign:
            edges_at.setdefault(edge.first - 1, []).append(edge)
        for i in range(last - 1, -1, -1):
            row = self._backward_step(i, togo[i + 1])
            for edge in edges_at.get(i, ()):
                self._backward_edge(edge, row, togo[edge.last + 1], over)
            togo[i] = row
        del waiting
        sums = [
            [min(f[2 * n] + t[2 * n], f[2 * n + 1] + t[2 * n + 1]) for n in range(len(f) // 2)]
            for f, t in zip(self.forward, togo, strict=True)
        ]
        return sums, over

    def _backward_step(self, i: int, after: list[float]) -> list[float]:
        nodes, later = self.lattice.nodes[i], self.lattice.nodes[i + 1]
        here, rest = self.node_costs[i + 1], self.lattice.rests[i + 1]
        places = self.places[i + 1]
        entered: list[tuple[float, int]] = []
        for key, members in places.items():
            best = INFINITE
            for n in members:
                rests = later[n].role.letter == "T"
                total = after[2 * n + rests] + here[n] + self.entering(i + 1, later[n])
                best = min(best, total)
            entered.append((best, key))
        changed = {
            key: min((cost + self.distances[key, other] for cost, other in entered if other != key), default=INFINITE)
            for key in self.places[i]
        }
        row = [INFINITE] * (2 * len(nodes))
        for n, node in enumerate(nodes):
            cost_0 = changed[node.key] + self.leaving(node, 0)
            cost_1 = changed[node.key] + self.leaving(node, 1)
            for m in places.get(node.key, ()):
                price, prepared = step(node.role, later[m].role)
                price += here[m] - prepared * rest
                if later[m].role.letter == "T":
                    total = price + after[2 * m + 1]
                    cost_0, cost_1 = min(cost_0, total), min(cost_1, total)
                else:
                    cost_0 = min(cost_0, price + after[2 * m])
                    cost_1 = min(cost_1, price + after[2 * m + 1])
            row[2 * n], row[2 * n + 1] = cost_0, cost_1
        return row

    def _backward_edge(
        self, edge: Foreign, row: list[float], after: list[float], over: dict[Foreign, float]
    ) -> None:
        start, end = edge.first - 1, edge.last + 1
        for n, node in enumerate(self.lattice.nodes[start]):
            if not self._open(edge, node):
                continue
            price = self.edge_cost(edge, node.key)
            for m in self.places[end].get(node.key, ()):
                later = self.lattice.nodes[end][m]
                if later.role.letter not in "Rr":
                    continue
                total = price + self.resume_cost(node.role, later.role) + self.node_costs[end][m]
                for rested in (0, 1):
                    togo = total + after[2 * m + rested]
                    row[2 * n + rested] = min(row[2 * n + rested], togo)
                    through = self.forward[start][2 * n + rested] + togo
                    over[edge] = min(over.get(edge, INFINITE), through)
