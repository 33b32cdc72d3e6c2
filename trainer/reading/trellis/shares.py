# cython: language_level=3, boundscheck=False, wraparound=False, cdivision=True, annotation_typing=False
# cython: initializedcheck=False, cpow=True
"""How the weight of all readings is spread: sums over every path, forward and backward (Baum & al. 1970).

A path weighs exp(-cost / temperature).
"""

from array import array
from math import exp, log

from trainer.reading.slots import (
    A_TWO,
    CHAIN,
    FIELDS,
    FUNCTIONS,
    KEYS,
    NEVER,
    R_TWO,
    SLOTS,
    T_PLACE,
    C,
    D,
    L,
    P,
    R,
    T,
    X,
)
from trainer.reading.trellis import nodes

globals().setdefault("c_exp", exp)
"""C's own where this is compiled (shares.pxd), Python's elsewhere."""


def _exp(x: float) -> float:
    """The exponential."""
    return c_exp(x)  # type: ignore[name-defined] # noqa: F821


def shares(t: "nodes.Trellis", home: int, temperature: float) -> "tuple[float, array[float]]":
    """How the weight of all readings from a home is spread.

    Returns the logarithm of that weight, and for each event, key and function (tonic, predominant,
    dominant, plagal, passing, color) the share of it, KEYS * FUNCTIONS numbers an event.
    """
    size = t.size
    place = t.place
    weights, entries, leaves = _weights_at(t, temperature, place)
    changes = array("d", [0.0]) * (KEYS * KEYS)
    for key in range(KEYS):
        for other in range(KEYS):
            if key != other:
                cost = t.w.change + t.w.distances[KEYS * key + other]
                if other != home:
                    cost += t.w.goes_elsewhere
                changes[KEYS * key + other] = _exp(-cost / temperature)
    scratch = array("d", [0.0]) * (3 * KEYS)
    """For each key: what leaves or enters it; the same on an open dominant (a chain); what goes on from it."""
    ahead = array("d", [0.0]) * (2 * place[size])
    ahead_log = array("d", [0.0]) * size
    for i in range(size):
        _sum_ahead(t, i, home, temperature, ahead, ahead_log, weights, leaves, changes, entries, place, scratch)
    back = array("d", [0.0]) * (2 * place[size])
    back_log = array("d", [0.0]) * size
    for i in range(size - 1, -1, -1):
        _sum_back(t, i, home, temperature, back, back_log, weights, leaves, changes, entries, place, scratch)
    last = size - 1
    total = 0.0
    for state in range(2 * place[last], 2 * place[last + 1]):
        total += ahead[state] * back[state]
    whole = log(total) + ahead_log[last] + back_log[last]
    out = array("d", [0.0]) * (size * KEYS * FUNCTIONS)
    spread = out
    for i in range(size):
        factor = _exp(ahead_log[i] + back_log[i] - whole)
        start = t.node_start[t.mark[i]]
        for n in range(place[i + 1] - place[i]):
            state = 2 * (place[i] + n)
            part = (ahead[state] * back[state] + ahead[state + 1] * back[state + 1]) * factor
            key = t.node_key[start + n]
            spread[(i * KEYS + key) * FUNCTIONS + _function(t.node_slot[start + n])] += part
    for edge in range(t.edge_count):
        _share_edge(t, edge, home, temperature, ahead, ahead_log, back, back_log, place, whole, spread)
    return whole, out


def _weights_at(
    t: "nodes.Trellis", temperature: float, place: "array[int]"
) -> "tuple[array[float], array[float], array[float]]":
    """The weight of each link, of beginning a center on each node, of leaving one in each slot: for any home."""
    known = t.weights_at.get(temperature)
    if known is not None:
        return known
    weights = array("d", [0.0]) * (t.links + 1)
    links = weights
    for link in range(t.links):
        links[link] = _exp(-t.link_price[link] / temperature)
    entries = array("d", [0.0]) * place[t.size]
    enters = entries
    for i in range(1, t.size):
        start = t.node_start[t.mark[i]]
        for n in range(place[i + 1] - place[i]):
            cost = t.entering(i, start + n)
            enters[place[i] + n] = _exp(-cost / temperature) if cost < NEVER else 0.0
    leaves = array("d", [0.0]) * SLOTS
    for n in range(SLOTS):
        leaves[n] = _exp(-t.w.leave[n] / temperature) if t.w.leave[n] < NEVER else 0.0
    t.weights_at[temperature] = weights, entries, leaves
    return weights, entries, leaves


def _edge_weight(t: "nodes.Trellis", edge: int, home: int, temperature: float, m: int, n: int) -> float:
    """The weight of an interruption between a node that waits and one that takes it up again; 0 if it can't."""
    start = t.edge_first[edge] - 1
    end = t.edge_last[edge] + 1
    slot = t.node_slot[n]
    key = t.node_key[n]
    if (slot != R and slot != R_TWO) or key == t.edge_key[edge]:
        return 0.0
    if t.node_key[m] != key or not t.is_open(start, m):
        return 0.0
    cost = t.over(edge, key, home) + t.node_cost[n] + t.taking_up(t.node_slot[m], slot)
    if key != home:
        cost += t.w.away_bar * t.bars[end]
    return _exp(-cost / temperature)


def _sum_ahead(
    t: "nodes.Trellis",
    i: int,
    home: int,
    temperature: float,
    ahead: "array[float]",
    ahead_log: "array[float]",
    weights: "array[float]",
    leaves: "array[float]",
    changes: "array[float]",
    entries: "array[float]",
    place: "array[int]",
    scratch: "array[float]",
) -> None:
    b = t.mark[i]
    start_b = t.node_start[b]
    to = place[i]
    before_log = 0.0
    if i == 0:
        for n in range(place[1]):
            state = 2 * n + (1 if t.node_slot[start_b + n] == T else 0)
            cost = t.starting(start_b + n, home)
            ahead[state] = _exp(-cost / temperature) if cost < NEVER else 0.0
    else:
        before_log = ahead_log[i - 1]
        a = t.mark[i - 1]
        start_a = t.node_start[a]
        at = place[i - 1]
        for key in range(2 * KEYS):
            scratch[key] = 0.0
        chains = t.told[FIELDS * i + CHAIN]
        chain = _exp(-(t.w.chain - t.w.change) / temperature)
        unrested = _exp(-t.w.leave_unrested / temperature)
        for n in range(place[i] - at):
            leave = leaves[t.node_slot[start_a + n]]
            scratch[t.node_key[start_a + n]] += leave * (ahead[2 * (at + n)] * unrested + ahead[2 * (at + n) + 1])
            if chains and t.node_slot[start_a + n] == D:
                scratch[KEYS + t.node_key[start_a + n]] += ahead[2 * (at + n)] + ahead[2 * (at + n) + 1]
        away_weight = _exp(-t.w.away_bar * t.bars[i] / temperature)
        row = t.pair_start[t.pair[i]]
        for key in range(KEYS):
            first = t.key_start[b * (KEYS + 1) + key]
            until = t.key_start[b * (KEYS + 1) + key + 1]
            if first == until:
                continue
            arrival = 0.0
            for other in range(KEYS):
                arrival += scratch[other] * changes[KEYS * other + key]
            away = 1.0 if key == home else away_weight
            for n in range(first, until):
                low = arrival * entries[to + n]
                high = 0.0
                if chains and t.goes_on(i, start_b + n):
                    part = chain * _exp(-t.node_cost[start_b + n] / temperature)
                    for other in range(KEYS):
                        low += scratch[KEYS + other] * changes[KEYS * other + key] * part
                for link in range(t.link_start[row + n], t.link_start[row + n + 1]):
                    state = 2 * (at + t.link_from[link])
                    low += ahead[state] * weights[link]
                    high += ahead[state + 1] * weights[link]
                state = 2 * (to + n)
                if t.node_slot[start_b + n] == T:
                    high += low
                    low = 0.0
                ahead[state] = low * away
                ahead[state + 1] = high * away
        edge = t.edges_to[i]
        while 0 <= edge < t.edge_count and t.edge_last[edge] + 1 == i:
            first = t.edge_first[edge] - 1
            scale = _exp(ahead_log[first] - before_log)
            start_a = t.node_start[t.mark[first]]
            for n in range(place[i + 1] - to):
                if t.node_slot[start_b + n] < R:
                    continue
                row = t.mark[first] * (KEYS + 1) + t.node_key[start_b + n]
                for m in range(t.key_start[row], t.key_start[row + 1]):
                    part = scale * _edge_weight(t, edge, home, temperature, start_a + m, start_b + n)
                    ahead[2 * (to + n)] += part * ahead[2 * (place[first] + m)]
                    ahead[2 * (to + n) + 1] += part * ahead[2 * (place[first] + m) + 1]
            edge += 1
    total = 0.0
    for state in range(2 * to, 2 * place[i + 1]):
        total += ahead[state]
    for state in range(2 * to, 2 * place[i + 1]):
        ahead[state] /= total
    ahead_log[i] = before_log + log(total)


def _sum_back(
    t: "nodes.Trellis",
    i: int,
    home: int,
    temperature: float,
    back: "array[float]",
    back_log: "array[float]",
    weights: "array[float]",
    leaves: "array[float]",
    changes: "array[float]",
    entries: "array[float]",
    place: "array[int]",
    scratch: "array[float]",
) -> None:
    a = t.mark[i]
    start_a = t.node_start[a]
    at = place[i]
    after_log = 0.0
    if i == t.size - 1:
        for n in range(place[i + 1] - at):
            for rested in range(2):
                end = t.ending(start_a + n, rested, home)
                back[2 * (at + n) + rested] = _exp(-end / temperature) if end < NEVER else 0.0
    else:
        after_log = back_log[i + 1]
        b = t.mark[i + 1]
        start_b = t.node_start[b]
        to = place[i + 1]
        for key in range(3 * KEYS):
            scratch[key] = 0.0
        chains = t.told[FIELDS * (i + 1) + CHAIN]
        chain = _exp(-(t.w.chain - t.w.change) / temperature)
        row = t.pair_start[t.pair[i + 1]]
        away_weight = _exp(-t.w.away_bar * t.bars[i + 1] / temperature)
        for n in range(place[i + 2] - to):
            key = t.node_key[start_b + n]
            away = 1.0 if key == home else away_weight
            high = back[2 * (to + n) + 1] * away
            low = high if t.node_slot[start_b + n] == T else back[2 * (to + n)] * away
            for link in range(t.link_start[row + n], t.link_start[row + n + 1]):
                state = 2 * (at + t.link_from[link])
                back[state] += low * weights[link]
                back[state + 1] += high * weights[link]
            scratch[key] += low * entries[to + n]
            if chains and t.goes_on(i + 1, start_b + n):
                scratch[KEYS + key] += low * chain * _exp(-t.node_cost[start_b + n] / temperature)
        unrested = _exp(-t.w.leave_unrested / temperature)
        for key in range(KEYS):
            way = 0.0
            for other in range(KEYS):
                way += scratch[other] * changes[KEYS * key + other]
            scratch[2 * KEYS + key] = way
        for n in range(to - at):
            way = scratch[2 * KEYS + t.node_key[start_a + n]] * leaves[t.node_slot[start_a + n]]
            back[2 * (at + n)] += way * unrested
            back[2 * (at + n) + 1] += way
            if chains and t.node_slot[start_a + n] == D:
                way = 0.0
                for other in range(KEYS):
                    way += scratch[KEYS + other] * changes[KEYS * t.node_key[start_a + n] + other]
                back[2 * (at + n)] += way
                back[2 * (at + n) + 1] += way
        for edge in t.edges_from.get(i, ()):
            end_event = t.edge_last[edge] + 1
            scale = _exp(back_log[end_event] - after_log)
            start_b = t.node_start[t.mark[end_event]]
            for n in range(place[end_event + 1] - place[end_event]):
                if t.node_slot[start_b + n] < R:
                    continue
                row = a * (KEYS + 1) + t.node_key[start_b + n]
                for m in range(t.key_start[row], t.key_start[row + 1]):
                    part = scale * _edge_weight(t, edge, home, temperature, start_a + m, start_b + n)
                    back[2 * (at + m)] += part * back[2 * (place[end_event] + n)]
                    back[2 * (at + m) + 1] += part * back[2 * (place[end_event] + n) + 1]
    total = 0.0
    for state in range(2 * at, 2 * place[i + 1]):
        total += back[state]
    for state in range(2 * at, 2 * place[i + 1]):
        back[state] /= total
    back_log[i] = after_log + log(total)


def _share_edge(
    t: "nodes.Trellis",
    edge: int,
    home: int,
    temperature: float,
    ahead: "array[float]",
    ahead_log: "array[float]",
    back: "array[float]",
    back_log: "array[float]",
    place: "array[int]",
    whole: float,
    out: "array[float]",
) -> None:
    """Give the weight that goes over an interruption to the events inside it."""
    start = t.edge_first[edge] - 1
    end = t.edge_last[edge] + 1
    a = t.node_start[t.mark[start]]
    b = t.node_start[t.mark[end]]
    share = 0.0
    for n in range(place[end + 1] - place[end]):
        if t.node_slot[b + n] < R:
            continue
        row = t.mark[start] * (KEYS + 1) + t.node_key[b + n]
        for m in range(t.key_start[row], t.key_start[row + 1]):
            part = _edge_weight(t, edge, home, temperature, a + m, b + n)
            if part > 0.0:
                before = 2 * (place[start] + m)
                after = 2 * (place[end] + n)
                share += part * (ahead[before] * back[after] + ahead[before + 1] * back[after + 1])
    share *= _exp(ahead_log[start] + back_log[end] - whole)
    for i in range(start + 1, end):
        slot = T if i >= t.edge_rest[edge] else D if i >= t.edge_five[edge] else P
        out[(i * KEYS + t.edge_key[edge]) * FUNCTIONS + _function(slot)] += share


def blend(spreads: "list[array[float]]", parts: list[float]) -> "array[float]":
    """The shares of several homes as one, each counted by its part."""
    size = len(spreads[0])
    out = array("d", [0.0]) * size
    mixed = out
    for n in range(len(parts)):
        spread = spreads[n]
        part = parts[n]
        for i in range(size):
            mixed[i] += part * spread[i]
    return out


def told(
    spread: "array[float]", own: "list[int]", most: int, least: float
) -> "list[tuple[float, list[tuple[int, float]]]]":
    """For each event the share of its own reading and the weightiest others, as places in its row with shares.

    `own` holds the place of each event's reading; at most `most` others are told, none under `least`.
    """
    out = []
    size = KEYS * FUNCTIONS
    for n in range(len(own)):
        whole = 0.0
        for i in range(n * size, (n + 1) * size):
            whole += spread[i]
        rivals: list[tuple[int, float]] = []
        limit = 2.0
        last = -1
        mine = own[n]
        while len(rivals) < most:
            best = least
            found = -1
            for i in range(size):
                share = spread[n * size + i] / whole
                if i == mine or share > limit or (share == limit and i <= last):
                    continue
                if share > best or (found < 0 and share >= best):
                    best = share
                    found = i
            if found < 0:
                break
            rivals.append((found, best))
            limit = best
            last = found
        out.append((spread[n * size + mine] / whole, rivals))
    return out


def _function(slot: int) -> int:
    """The place of a slot's function among tonic, predominant, dominant, plagal, passing, color."""
    if slot == T or slot == T_PLACE:
        return 0
    if slot == P or slot == A_TWO or slot == R_TWO:
        return 1
    if slot == L:
        return 3
    if slot == X:
        return 4
    if slot == C:
        return 5
    return 2
