# cython: language_level=3, boundscheck=False, wraparound=False, cdivision=True, annotation_typing=False
# cython: initializedcheck=False, cpow=True
"""The cheapest path through the trellis, from a home (Viterbi 1967).

A state is a node and whether its key has come to rest: twice the node's place, plus one.
"""

from array import array

from trainer.reading.slots import CHAIN, FIELDS, INFINITE, KEYS, NEVER, R_TWO, D, P, R, T
from trainer.reading.trellis import nodes


def cheapest(t: "nodes.Trellis", home: int) -> "tuple[float, list[tuple[int, int]], list[tuple[int, int]]]":
    """The cheapest reading from a home.

    Returns its cost; key and slot of each event; each interruption's place among the edges with the key that waits.
    """
    size = t.size
    place = t.place
    sums = array("d", [INFINITE]) * (2 * place[size])
    back = array("i", [-1]) * (2 * place[size])
    """The state before; -1 is the start."""
    over: dict[int, int] = {}
    start = t.node_start[t.mark[0]]
    for n in range(place[1]):
        cost = t.starting(start + n, home)
        if cost < NEVER:
            sums[2 * n + (1 if t.node_slot[start + n] == T else 0)] = cost
    left = array("d", [INFINITE]) * (2 * KEYS)
    """The cheapest way to leave each key; and, on a dominant, with nothing asked for leaving it: a chain goes on."""
    left_from = array("i", [-1]) * (2 * KEYS)
    for i in range(1, size):
        _forward(t, i, home, sums, back, place, over, left, left_from)
    return _trace(t, home, sums, back, place, over)


def _forward(
    t: "nodes.Trellis",
    i: int,
    home: int,
    sums: "array[float]",
    back: "array[int]",
    place: "array[int]",
    over: dict[int, int],
    left: "array[float]",
    left_from: "array[int]",
) -> None:
    w = t.w
    a = t.mark[i - 1]
    b = t.mark[i]
    start_a = t.node_start[a]
    start_b = t.node_start[b]
    for key in range(2 * KEYS):
        left[key] = INFINITE
        left_from[key] = -1
    at = place[i - 1]
    to = place[i]
    chains = t.told[FIELDS * i + CHAIN]
    for n in range(t.node_start[a + 1] - start_a):
        leave = w.leave[t.node_slot[start_a + n]]
        if leave >= NEVER:
            continue
        key = t.node_key[start_a + n]
        cost = sums[2 * (at + n)] + leave + w.leave_unrested
        if cost < left[key]:
            left[key] = cost
            left_from[key] = 2 * (at + n)
        cost = sums[2 * (at + n) + 1] + leave
        if cost < left[key]:
            left[key] = cost
            left_from[key] = 2 * (at + n) + 1
        if chains and t.node_slot[start_a + n] == D:
            for state in range(2 * (at + n), 2 * (at + n) + 2):
                if sums[state] < left[KEYS + key]:
                    left[KEYS + key] = sums[state]
                    left_from[KEYS + key] = state
    bars = t.bars[i]
    row = t.pair_start[t.pair[i]]
    for key in range(KEYS):
        first = t.key_start[b * (KEYS + 1) + key]
        until = t.key_start[b * (KEYS + 1) + key + 1]
        if first == until:
            continue
        arrival = INFINITE
        state = -1
        for other in range(KEYS):
            if other != key:
                cost = left[other] + w.change + w.distances[KEYS * other + key]
                if cost < arrival:
                    arrival = cost
                    state = left_from[other]
        away = 0.0
        if key != home:
            arrival += w.goes_elsewhere
            away = w.away_bar * bars
        for n in range(first, until):
            slot = t.node_slot[start_b + n]
            low = arrival + t.entering(i, start_b + n)
            from_low = state
            high = INFINITE
            from_high = -1
            if chains and t.goes_on(i, start_b + n):
                for other in range(KEYS):
                    if other != key:
                        cost = left[KEYS + other] + w.chain + w.distances[KEYS * other + key] + t.node_cost[start_b + n]
                        if key != home:
                            cost += w.goes_elsewhere
                        if cost < low:
                            low = cost
                            from_low = left_from[KEYS + other]
            for link in range(t.link_start[row + n], t.link_start[row + n + 1]):
                before = 2 * (at + t.link_from[link])
                cost = sums[before] + t.link_price[link]
                if cost <= low:
                    low = cost
                    from_low = before
                cost = sums[before + 1] + t.link_price[link]
                if cost < high:
                    high = cost
                    from_high = before + 1
            now = 2 * (to + n)
            if slot == T:
                if low < high:
                    high = low
                    from_high = from_low
                low = INFINITE
            sums[now] = low + away
            back[now] = from_low
            sums[now + 1] = high + away
            back[now + 1] = from_high
    edge = t.edges_to[i]
    while 0 <= edge < t.edge_count and t.edge_last[edge] + 1 == i:
        _forward_edge(t, edge, home, sums, back, place, over)
        edge += 1


def _forward_edge(
    t: "nodes.Trellis",
    edge: int,
    home: int,
    sums: "array[float]",
    back: "array[int]",
    place: "array[int]",
    over: dict[int, int],
) -> None:
    """Let an interruption lead from what waits to where it is taken up again."""
    start = t.edge_first[edge] - 1
    end = t.edge_last[edge] + 1
    a = t.node_start[t.mark[start]]
    b = t.node_start[t.mark[end]]
    for n in range(place[end + 1] - place[end]):
        slot = t.node_slot[b + n]
        key = t.node_key[b + n]
        if (slot != R and slot != R_TWO) or key == t.edge_key[edge]:
            continue
        price = t.over(edge, key, home) + t.node_cost[b + n]
        if key != home:
            price += t.w.away_bar * t.bars[end]
        row = t.mark[start] * (KEYS + 1) + key
        for m in range(t.key_start[row], t.key_start[row + 1]):
            if not t.is_open(start, a + m):
                continue
            toward = price + t.taking_up(t.node_slot[a + m], slot)
            for rested in range(2):
                before = 2 * (place[start] + m) + rested
                now = 2 * (place[end] + n) + rested
                cost = sums[before] + toward
                if cost < NEVER and cost < sums[now]:
                    sums[now] = cost
                    back[now] = before
                    over[now] = edge


def _trace(
    t: "nodes.Trellis",
    home: int,
    sums: "array[float]",
    back: "array[int]",
    place: "array[int]",
    over: dict[int, int],
) -> "tuple[float, list[tuple[int, int]], list[tuple[int, int]]]":
    last = t.size - 1
    start = t.node_start[t.mark[last]]
    best = INFINITE
    state = -1
    for n in range(place[last + 1] - place[last]):
        for rested in range(2):
            end = t.ending(start + n, rested, home)
            cost = sums[2 * (place[last] + n) + rested] + end
            if cost < best:
                best = cost
                state = 2 * (place[last] + n) + rested
    path: list[tuple[int, int]] = []
    found: list[tuple[int, int]] = []
    i = last
    while True:
        node = t.node_start[t.mark[i]] + (state >> 1) - place[i]
        key = t.node_key[node]
        path.append((key, t.node_slot[node]))
        pointer = back[state]
        if pointer < 0:
            break
        edge = over.get(state, -1)
        state = pointer
        if edge >= 0:
            found.append((edge, key))
            inner = t.edge_last[edge]
            while inner >= t.edge_first[edge]:
                slot = T if inner >= t.edge_rest[edge] else D if inner >= t.edge_five[edge] else P
                path.append((t.edge_key[edge], slot))
                inner -= 1
            i = inner
        else:
            i -= 1
    path.reverse()
    found.reverse()
    return best, path, found
