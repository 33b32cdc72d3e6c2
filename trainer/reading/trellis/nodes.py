# cython: language_level=3, boundscheck=False, wraparound=False, cdivision=True, annotation_typing=False
# cython: initializedcheck=False, cpow=True
"""The trellis: every role that each event can have in each key, the steps between them, the interruptions."""

from array import array

from trainer.reading.slots import (
    A_TWO,
    CHAIN,
    DIMINISHED,
    DOMINANT,
    FIELDS,
    INFINITE,
    KEYS,
    KIND,
    MAJOR_TRIAD,
    MINOR_SEVENTH,
    MINOR_TRIAD,
    NEVER,
    OPENS,
    PIN_KEY,
    PINNED,
    R_TWO,
    ROOT,
    SIX_FOUR,
    SLOTS,
    A,
    C,
    D,
    L,
    P,
    R,
    S,
    T,
    X,
)
from trainer.reading.trellis import steps, weights


class Trellis:
    """The nodes, steps and interruptions of one tune.

    `scale` tells how much longer than real its bars count; where it `wraps`, its last event is the first once more.
    """

    def __init__(self, tune: "steps.Steps", scale: float, wraps: bool) -> None:
        self.tune = tune
        self.w = tune.w
        self.told = tune.told
        self.bars = tune.bars
        self.size = len(tune.bars)
        self.scale = scale
        self.wraps = wraps
        self.weights_at: dict[float, tuple[array[float], array[float], array[float]]] = {}
        """Kept by `shares`, for each temperature."""
        self._find_edges()
        self._sort_marks()
        self._fill_nodes()
        self._fill_links()

    def _find_edges(self) -> None:
        """Every complete foreign cadence that could break in: V I or ii V I, no longer than the limit."""
        found: list[tuple[int, int, int, int, int, float, float]] = []
        told = self.told
        for last in range(1, self.size - 1):
            kind = told[FIELDS * last + KIND]
            if not self.tune.may_rest(kind):
                continue
            goal = told[FIELDS * last + ROOT]
            minor = 1 if self.tune.is_minor(kind) else 0
            after = told[FIELDS * (last + 1) + KIND]
            stays = told[FIELDS * (last + 1) + ROOT] == goal and self.tune.may_rest(after)
            if stays and self.tune.is_minor(after) == minor:
                continue
            rest = last
            while rest > 0 and told[FIELDS * (rest - 1) + ROOT] == goal:
                kind = told[FIELDS * (rest - 1) + KIND]
                if not self.tune.may_rest(kind) or self.tune.is_minor(kind) != minor:
                    break
                rest -= 1
            five = self._first_of(rest - 1, 5, goal)
            if five < 1:
                continue
            self._add_edge(found, five, five, rest, last, 2 * goal + minor)
            two = self._first_of(five - 1, 2, goal)
            if two >= 1:
                self._add_edge(found, two, five, rest, last, 2 * goal + minor)
        self.edges = found
        count = len(found)
        self.edge_first = array("i", [edge[0] for edge in found])
        self.edge_last = array("i", [edge[1] for edge in found])
        self.edge_key = array("i", [edge[2] for edge in found])
        self.edge_five = array("i", [edge[3] for edge in found])
        self.edge_rest = array("i", [edge[4] for edge in found])
        self.edge_cost = array("d", [edge[5] for edge in found])
        self.edge_bars = array("d", [edge[6] for edge in found])
        self.edge_count = count
        self.edges_to = array("i", [-1]) * (self.size + 1)
        """For each event the first edge that leads to it; edges are sorted by their last event."""
        for n in range(count - 1, -1, -1):
            self.edges_to[found[n][1] + 1] = n
        self.edges_from: dict[int, list[int]] = {}
        for n in range(count):
            self.edges_from.setdefault(found[n][0] - 1, []).append(n)

    def _first_of(self, i: int, kinds: int, goal: int) -> int:
        """Where the run of dominants (5) or of ii's (2) of a goal that ends at an event begins; -1 for none."""
        first = i + 1
        while first > 0:
            at = FIELDS * (first - 1)
            kind = self.told[at + KIND]
            motion = (goal - self.told[at + ROOT] + 12) % 12
            if first <= i and self.told[at + ROOT] != self.told[FIELDS * i + ROOT]:
                break
            if kinds == 5:
                fits = (motion == 5 or motion == 11) and (self.tune.leads(kind) or kind == MAJOR_TRIAD)
            else:
                fits = (motion == 10 or motion == 4) and self.tune.prepares(kind)
            if not fits:
                break
            first -= 1
        return first if first <= i else -1

    def _add_edge(
        self,
        found: list[tuple[int, int, int, int, int, float, float]],
        first: int,
        five: int,
        rest: int,
        last: int,
        key: int,
    ) -> None:
        """A foreign cadence: ii's from `first`, dominants from `five`, rests from `rest` to `last`."""
        bars = 0.0
        for i in range(first, last + 1):
            bars += self.bars[i]
            pinned = self.told[FIELDS * i + PIN_KEY]
            if pinned >= 0 and pinned != key:
                return
        if bars > self.w.interruption_bars * self.scale:
            return
        cost = 0.0
        before = -1
        for i in range(first, last + 1):
            slot = T if i >= rest else D if i >= five else P
            own = self.tune.role_cost(i, key, slot)
            if own >= NEVER:
                return
            cost += own * self.tune.weight(i)
            if before >= 0:
                cost += self.tune.step(i - 1, i, key, before, slot)
                if slot == T:
                    cost -= self.tune.prepared(i - 1, i, key, before) * self.tune.rest(i)
            before = slot
        found.append((first, last, key, five, rest, cost, bars))

    def _sort_marks(self) -> None:
        """Number the events by all that their nodes depend on; events of one number share them."""
        may_resume = {edge[1] + 1 for edge in self.edges}
        numbers: dict[tuple[object, ...], int] = {}
        self.mark = array("i", [0]) * self.size
        self.mark_event = array("i")
        self.mark_resumes = array("i")
        raw = bytes(self.told)
        step = FIELDS * self.told.itemsize
        resuming = False
        for i in range(self.size):
            kind = self.told[FIELDS * i + KIND]
            opens = self.tune.leads(kind) or self.tune.prepares(kind) or kind == MAJOR_TRIAD
            resuming = i in may_resume or (resuming and opens)
            mark = (resuming, self.bars[i], raw[step * i : step * (i + 1)])
            number = numbers.get(mark)
            if number is None:
                number = numbers[mark] = len(numbers)
                self.mark_event.append(i)
                self.mark_resumes.append(1 if resuming else 0)
            self.mark[i] = number
        self.marks = len(numbers)

    def _fill_nodes(self) -> None:
        marks = self.marks
        dense = array("d", [INFINITE]) * (marks * KEYS * SLOTS)
        total = 0
        self.node_start = array("i", [0]) * (marks + 1)
        self.key_start = array("i", [0]) * (marks * (KEYS + 1))
        """Within a mark: where the nodes of each key begin."""
        for m in range(marks):
            self.node_start[m] = total
            self._open_roles(self.mark_event[m], self.mark_resumes[m], dense, m * KEYS * SLOTS)
            count = 0
            for key in range(KEYS):
                self.key_start[m * (KEYS + 1) + key] = count
                for slot in range(SLOTS):
                    if dense[(m * KEYS + key) * SLOTS + slot] < NEVER:
                        count += 1
            self.key_start[m * (KEYS + 1) + KEYS] = count
            total += count
        self.node_start[marks] = total
        self.place = array("i", [0]) * (self.size + 1)
        """Where the nodes of each event begin among those of all events."""
        for i in range(self.size):
            m = self.mark[i]
            self.place[i + 1] = self.place[i] + self.node_start[m + 1] - self.node_start[m]
        self.node_key = array("i", [0]) * total
        self.node_slot = array("i", [0]) * total
        self.node_cost = array("d", [0.0]) * total
        n = 0
        for m in range(marks):
            for key in range(KEYS):
                for slot in range(SLOTS):
                    cost = dense[(m * KEYS + key) * SLOTS + slot]
                    if cost < NEVER:
                        self.node_key[n] = key
                        self.node_slot[n] = slot
                        self.node_cost[n] = cost
                        n += 1

    def _open_roles(self, i: int, resumes: int, dense: "array[float]", at: int) -> None:
        """The price of every role that an event may have, in every key open to it."""
        w = self.w
        place = FIELDS * i
        kind = self.told[place + KIND]
        root = self.told[place + ROOT]
        pinned = self.told[place + PIN_KEY]
        pinned_role = self.told[place + PINNED]
        for key in range(KEYS):
            if pinned >= 0 and pinned != key:
                continue
            row = at + key * SLOTS
            minor = key & 1
            degree = (root - (key >> 1) + 12) % 12
            for slot in range(SLOTS):
                cost = self.tune.role_cost(i, key, slot)
                if cost < NEVER:
                    dense[row + slot] = cost
            if self.told[place + SIX_FOUR] and degree == 0 and w.six_four < dense[row + P]:
                dense[row + P] = w.six_four
            base = w.applied_by[kind]
            if base < NEVER:
                target = (degree + (1 if kind == DIMINISHED else 5)) % 12
                if target != 0:
                    dense[row + A] = base + w.near[12 * minor + target]
                target = (degree + 11) % 12
                if kind == DOMINANT and target != 0:
                    dense[row + S] = base + w.near[12 * minor + target] + w.substitute
            if self.tune.prepares(kind):
                target = (degree + 10) % 12
                if target != 0:
                    dense[row + A_TWO] = w.applied_two + w.near[12 * minor + target]
                    if kind == MINOR_TRIAD:
                        dense[row + A_TWO] += w.applied_two_triad
            if w.passing[kind] < NEVER and dense[row + X] >= NEVER:
                dense[row + X] = w.passing[kind]
            if dense[row + C] >= NEVER:
                dense[row + C] = w.color_cost
            plain = False
            for slot in range(R):
                if slot <= L and dense[row + slot] < NEVER:
                    plain = True
                if plain and pinned_role and (slot == A or slot == S or slot == A_TWO):
                    dense[row + slot] = INFINITE
                elif dense[row + slot] < NEVER:
                    dense[row + slot] = self.tune.price(i, key, slot, dense[row + slot])
            if resumes:
                opens = w.opens_open if self.told[place + OPENS] else 0.0
                dense[row + R] = dense[row + D] - opens
                if degree == 2:
                    dense[row + R_TWO] = dense[row + P] - opens

    def _fill_links(self) -> None:
        """For each pair of neighbors, and each node of the second: the nodes before it in its key, with prices."""
        pairs: dict[int, int] = {}
        self.pair = array("i", [0]) * self.size
        firsts = array("i", [0])
        total = nodes = 0
        for i in range(1, self.size):
            a = self.mark[i - 1]
            b = self.mark[i]
            known = pairs.get(a * self.marks + b)
            if known is None:
                known = len(pairs) + 1
                pairs[a * self.marks + b] = known
                firsts.append(i)
                nodes += self.node_start[b + 1] - self.node_start[b] + 1
                for key in range(KEYS):
                    at = a * (KEYS + 1) + key
                    to = b * (KEYS + 1) + key
                    total += (self.key_start[at + 1] - self.key_start[at]) * (
                        self.key_start[to + 1] - self.key_start[to]
                    )
            self.pair[i] = known
        count = len(pairs) + 1
        self.pair_start = array("i", [0]) * (count + 1)
        """For each pair: where its row of `link_start` begins."""
        self.link_start = array("i", [0]) * (nodes + 1)
        self.link_from = array("i", [0]) * (total + 1)
        self.link_price = array("d", [0.0]) * (total + 1)
        place = 0
        used = 0
        for pair in range(1, count):
            i = firsts[pair]
            a = self.mark[i - 1]
            b = self.mark[i]
            self.pair_start[pair] = place
            rest = self.tune.rest(i)
            for key in range(KEYS):
                at = a * (KEYS + 1) + key
                to = b * (KEYS + 1) + key
                for n in range(self.key_start[to], self.key_start[to + 1]):
                    slot = self.node_slot[self.node_start[b] + n]
                    cost = self.node_cost[self.node_start[b] + n]
                    self.link_start[place] = used
                    place += 1
                    for m in range(self.key_start[at], self.key_start[at + 1]):
                        before = self.node_slot[self.node_start[a] + m]
                        price = self.tune.step(i - 1, i, key, before, slot)
                        if price >= NEVER:
                            continue
                        if slot == T:
                            price -= self.tune.prepared(i - 1, i, key, before) * rest
                        self.link_from[used] = m
                        self.link_price[used] = price + cost
                        used += 1
            self.link_start[place] = used
            place += 1
        self.links = used

    def entering(self, i: int, n: int) -> float:
        """What it costs to begin a center on a node (by its number among all), its own cost counted."""
        w = self.w
        slot = self.node_slot[n]
        cost = w.enter[slot] + self.node_cost[n]
        if slot == P:
            if (self.told[FIELDS * i + ROOT] - (self.node_key[n] >> 1) + 12) % 12 != 2:
                cost += w.enter_by_other
            elif i > 0 and self.told[FIELDS * (i - 1) + ROOT] == self.told[FIELDS * i + ROOT]:
                cost += w.turns_minor
        elif slot == T:
            cost -= w.unprepared * self.tune.rest(i)
        return cost

    def starting(self, n: int, home: int) -> float:
        """What it costs to begin the tune on a node."""
        w = self.w
        slot = self.node_slot[n]
        if slot == R or slot == R_TWO:
            return INFINITE
        cost = self.node_cost[n]
        if self.node_key[n] != home:
            cost += w.away_bar * self.bars[0] + w.starts_away
        if slot == T:
            return cost - self.tune.rest(0) * w.unprepared
        return cost + w.enter[slot] / 2

    def ending(self, n: int, rested: int, home: int) -> float:
        """What it costs to end the tune on a node whose key has come to rest, or has not."""
        cost = self.w.leave[self.node_slot[n]]
        if self.wraps and self.node_slot[n] <= D:
            cost = 0.0
        elif self.node_slot[n] == C:
            cost += self.w.ends_beside
        if not rested:
            cost += self.w.ends_unrested
        key = self.node_key[n]
        if key == home:
            return cost
        return cost + (self.w.ends_parallel if key >> 1 == home >> 1 else self.w.ends_away)

    def goes_on(self, i: int, n: int) -> bool:
        """Whether a node is the ii of the next two-five in a chain of them."""
        degree = (self.told[FIELDS * i + ROOT] - (self.node_key[n] >> 1) + 12) % 12
        return self.told[FIELDS * i + CHAIN] == 1 and self.node_slot[n] == P and degree == 2

    def over(self, edge: int, key: int, home: int) -> float:
        """What an interruption costs when a key waits behind it."""
        w = self.w
        heard = self.edge_key[edge]
        if key >> 1 == heard >> 1:
            return INFINITE
        cost = self.edge_cost[edge] + w.interruption + w.distances[KEYS * key + heard]
        if weights.is_own_chord(key, heard):
            if self.told[FIELDS * self.edge_last[edge] + KIND] == MINOR_SEVENTH:
                return INFINITE
            cost += w.interruption_by_own
        if heard != home:
            cost += w.away_bar * self.edge_bars[edge]
        return cost

    def is_open(self, i: int, n: int) -> bool:
        """Whether a node is a preparation that can wait behind an interruption."""
        slot = self.node_slot[n]
        degree = (self.told[FIELDS * i + ROOT] - (self.node_key[n] >> 1) + 12) % 12
        return (slot == D and degree == 7) or (slot == P and degree == 2)

    def taking_up(self, before: int, slot: int) -> float:
        """From the preparation to where it is taken up again."""
        if before != P:
            return 0.0
        return self.w.steps[SLOTS * P + D] if slot == R else self.w.taken_up_again
