"""Cadences of the table, recognised along the path that the search found.

A row's formula is turned into chords, these into classes and roots; the same classes on the same
degrees of one center, in the functions that the row tells, are the cadence. Held and merely
recolored chords (G7sus4 to G7) count once. Some rows change center on their way; these are
compared by their roots from their first tonic on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache, lru_cache
from typing import NamedTuple

from trainer.charts.timeline import Place, Timeline
from trainer.harmony.cadence import CADENCES, formula_for, functions_for
from trainer.harmony.function import FUNCTIONS
from trainer.harmony.key import Key, parse_key
from trainer.harmony.numeral import Degree, chord_of_any, parse_any, read_degree
from trainer.reading.functions import FUNCTION_OF
from trainer.reading.heard import ChordClass as K
from trainer.reading.heard import Heard, heard
from trainer.reading.reasons import Seen
from trainer.reading.values import FoundCadence, Interruption
from trainer.records import dataclass

ACROSS_CENTERS = frozenset({"tonic-turns-minor", "major-third-cycle", "two-five-chain"})
"""Rows whose chords live in more than one center."""

LAST_FOUR = frozenset({"blues-last-four", "minor-blues-last-four"})
LAST_FOUR_LEAST_BARS = 2.5
"""The last four bars of a blues, written as they may be, take no less; shorter is a turnaround."""

STANDS_FOR: dict[K, frozenset[K]] = {
    K.MAJOR: frozenset({K.MAJOR, K.MAJOR_TRIAD, K.OPEN}),
    K.MAJOR_TRIAD: frozenset({K.MAJOR, K.MAJOR_TRIAD, K.OPEN}),
    K.MINOR_REST: frozenset({K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH}),
    K.MINOR_TRIAD: frozenset({K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH}),
    K.MINOR_SEVENTH: frozenset({K.MINOR_TRIAD, K.MINOR_SEVENTH, K.MINOR_REST}),
    K.HALF_DIMINISHED: frozenset({K.HALF_DIMINISHED}),
    K.DOMINANT: frozenset({K.DOMINANT, K.SUSPENDED, K.AUGMENTED}),
    K.SUSPENDED: frozenset({K.SUSPENDED}),
    K.DIMINISHED: frozenset({K.DIMINISHED}),
    K.AUGMENTED: frozenset({K.AUGMENTED, K.DOMINANT}),
    K.OPEN: frozenset({K.OPEN}),
}
"""For a class in a formula: the classes that stand for it in a tune."""

_ACCEPTED = {
    "dominant": frozenset({"dominant"}),
    "plagal": frozenset({"plagal", "predominant"}),
    "tonic": frozenset({"tonic", "predominant", "plagal"}),
    "predominant": frozenset({"predominant", "tonic", "plagal", "dominant"}),
    "passing": frozenset({"passing", "dominant", "predominant", "tonic", "color"}),
    "color": frozenset({"color", "tonic", "passing", "predominant"}),
}
"""For a function in the table: how the tune's chord may be read; whether home is reached is asked apart."""


class _Token(NamedTuple):
    degree: int
    kinds: int
    """The classes that the formula and its variants name, a bit each."""
    accepts: int
    """The classes that fit, a bit each."""
    functions: int
    """The functions that fit, a bit each."""


class _Read(NamedTuple):
    """One event as the patterns are held against it."""

    root: int
    kind_bit: int
    function_bit: int
    letter: str
    key: int
    """Events of one center have one number."""


_BIT: dict[str, int] = {name: 1 << n for n, name in enumerate(FUNCTIONS)}


def _bits(kinds: frozenset[K]) -> int:
    return sum(1 << kind for kind in kinds)


@dataclass(frozen=True, slots=True)
class _Pattern:
    type: str
    minor: bool
    rests: bool
    degree: Degree | None
    tokens: tuple[_Token, ...]
    across: bool
    """Its chords may live in more than one center."""


class _Match(NamedTuple):
    pattern: _Pattern
    events: tuple[int, ...]
    exact: int


@lru_cache(maxsize=1)
def _patterns() -> dict[tuple[int, ...], tuple[_Pattern, ...]]:
    """All formulas of the table as tokens: by mode (minor is 1) and the first two degrees, and again by three.

    Under three degrees stand the formulas of two chords as well.
    """
    out: dict[tuple[int, ...], list[_Pattern]] = {}
    alike: dict[tuple[object, ...], _Pattern] = {}
    """Variants that the same chords fit are one."""
    for row in CADENCES:
        if row.shapes:
            continue
        for degree in row.degrees or (None,):
            for variant in (None, *range(len(row.variants))):
                formula = formula_for(row, degree, variant)
                tokens = []
                for text, function in zip(formula, functions_for(row, degree, variant), strict=True):
                    known = _told_in(text, row.mode)
                    accepts = STANDS_FOR[known.kind]
                    if known.kind == K.DOMINANT and function == "dominant":
                        accepts |= {K.MAJOR_TRIAD}
                    functions = sum(_BIT[name] for name in _ACCEPTED[function])
                    tokens.append(_Token(known.root, 1 << known.kind, _bits(accepts), functions))
                target = None if degree is None else read_degree(degree)[0]
                across = row.id in ACROSS_CENTERS
                pattern = _Pattern(row.id, row.mode == "minor", row.rests, target, tuple(tokens), across)
                if len(tokens) > 1:
                    told = (row.id, target, *((token.degree, token.accepts, token.functions) for token in tokens))
                    other = alike.get(told)
                    alike[told] = pattern if other is None else _either(other, pattern)
    for pattern in alike.values():
        tokens = list(pattern.tokens)
        place = (int(pattern.minor), tokens[0].degree, tokens[1].degree)
        out.setdefault(place, []).append(pattern)
        for third in range(12) if len(tokens) == 2 else (tokens[2].degree,):
            out.setdefault((*place, third), []).append(pattern)
    return {place: tuple(patterns) for place, patterns in out.items()}


@cache
def _told_in(numeral: str, mode: str) -> Heard:
    """What a formula's chord is heard as; most come back in many formulas."""
    return heard(chord_of_any(parse_any(numeral), parse_key("C" if mode == "major" else "c")))


def _either(one: _Pattern, other: _Pattern) -> _Pattern:
    """Two variants that accept the same chords, as one that names the classes of both."""
    pairs = zip(one.tokens, other.tokens, strict=True)
    return replace(one, tokens=tuple(a._replace(kinds=a.kinds | b.kinds) for a, b in pairs))


def find_cadences(
    timeline: Timeline, seen: tuple[Seen, ...], closed: int, interruptions: Sequence[Interruption]
) -> tuple[FoundCadence, ...]:
    """Every cadence, by its start, the longer first; events from `closed` on are the tune's start again."""
    read = _as_read(seen)
    matches = _sifted([match for n in range(closed) for match in _matches(seen, read, n, closed)])
    found = [_found(timeline, seen, match, closed) for match in matches]
    # A preparation that waits behind an interruption does land.
    waiting = {one.prepared for one in interruptions}
    found = [one for one in found if one.type != "unfinished-two-five" or one.chords not in waiting]
    found += [_interrupted(timeline, seen, one) for one in interruptions]
    found.sort(key=lambda cadence: (cadence.chords[0], -len(cadence.chords), cadence.type))
    holding: dict[int, list[int]] = {}
    for n, cadence in enumerate(found):
        for chord in cadence.chords:
            holding.setdefault(chord, []).append(n)
    holders = [_within(found, n, holding[cadence.chords[0]]) for n, cadence in enumerate(found)]
    return tuple(
        one if within is None else replace(one, within=within) for one, within in zip(found, holders, strict=True)
    )


def _as_read(seen: tuple[Seen, ...]) -> list[_Read]:
    keys: dict[Key, int] = {}
    return [
        _Read(
            one.event.root, 1 << one.event.kind, _BIT[FUNCTION_OF[one.role.letter]],
            one.role.letter, keys.setdefault(one.key, len(keys)),
        )
        for one in seen
    ]  # fmt: skip


def _matches(seen: tuple[Seen, ...], read: list[_Read], n: int, closed: int) -> Iterator[_Match]:
    first = seen[n]
    tonic = (first.event.root - first.role.degree) % 12
    minor = int(first.key.mode == "minor")
    patterns = _patterns()
    _, bit, _, _, key = read[n]
    for degrees in _next_degrees(read, n, tonic):
        for pattern in patterns.get((minor, first.role.degree, *degrees), ()):
            if not bit & pattern.tokens[0].accepts or (not pattern.across and read[n + 1].key != key):
                continue
            match = _match(read, n, tonic, pattern)
            if match is not None and match.events[-2] < closed and _stands(seen, match):
                yield match


def _next_degrees(read: list[_Read], n: int, tonic: int) -> set[tuple[int, ...]]:
    """The degrees that may follow: the next chord's, and where that only recolors this one, the next root's.

    Where nothing is recolored, the next two.
    """
    out: set[tuple[int, ...]] = set()
    root = read[n].root
    if n + 2 < len(read) and root != read[n + 1].root != read[n + 2].root:
        return {((read[n + 1].root - tonic) % 12, (read[n + 2].root - tonic) % 12)}
    for place in range(n + 1, len(read)):
        other = read[place].root
        out.add(((other - tonic) % 12,))
        if other != root:
            break
    return out


def _match(read: list[_Read], n: int, tonic: int, pattern: _Pattern) -> _Match | None:
    events: list[int] = []
    exact, place, size = 0, n, len(read)
    across, key = pattern.across, read[n].key
    for degree, kinds, accepts, functions in pattern.tokens:
        root = (degree + tonic) % 12
        while True:
            if place >= size:
                return None
            one = read[place]
            inside = across or one.key == key
            if inside and one.root == root and one.kind_bit & accepts and (across or one.function_bit & functions):
                break
            if not events or not inside:
                return None
            last = read[events[-1]]
            if one.root != last.root or one.letter != last.letter:
                return None
            events.append(place)
            place += 1
        events.append(place)
        exact += one.kind_bit & kinds != 0
        place += 1
    return _Match(pattern, tuple(events), exact)


def _stands(seen: tuple[Seen, ...], match: _Match) -> bool:
    """What a row asks beyond its chords: a rest that is one, a section that ends, a home that doesn't come."""
    last = seen[match.events[-1]]
    after = seen[match.events[-1] + 1] if match.events[-1] + 1 < len(seen) else None
    same_after = after is not None and after.key == last.key
    if match.pattern.type == "half":
        return last.event.closes and not (same_after and after is not None and after.role.letter in "TtD")
    if match.pattern.type == "unfinished-two-five":
        return last.role.letter == "D" and not (same_after and after is not None and after.role.letter in "TtD")
    if match.pattern.type in LAST_FOUR:
        return sum(seen[n].event.bars for n in match.events) >= LAST_FOUR_LEAST_BARS
    if match.pattern.type == "tonic-turns-minor":
        return last.key != seen[match.events[0]].key
    if match.pattern.rests and match.pattern.degree is None and not match.pattern.across:
        return last.role.letter == "T"
    return True


def _sifted(matches: list[_Match]) -> list[_Match]:
    """One match for one stretch; a bare five–one inside a longer way to the same rest says nothing more."""
    best: dict[tuple[int, ...], _Match] = {}
    for match in matches:
        other = best.get(match.events)
        if other is None or (match.exact, -len(match.pattern.tokens)) > (other.exact, -len(other.pattern.tokens)):
            best[match.events] = match
    longest: dict[tuple[str, int], _Match] = {}
    for match in best.values():
        place = (match.pattern.type, match.events[0])
        if place not in longest or len(match.events) > len(longest[place].events):
            longest[place] = match
    out = []
    at: dict[int, list[_Match]] = {}
    for match in longest.values():
        for n in match.events:
            at.setdefault(n, []).append(match)
    for match in longest.values():
        size = len(match.pattern.tokens)
        near = [other for other in at[match.events[-1]] if len(other.events) > len(match.events)]
        swallowed = size == 2 and any(other.events[-size:] == match.events[-size:] for other in near)
        same = any(other.pattern.type == match.pattern.type and set(match.events) < set(other.events) for other in near)
        if not swallowed and not same:
            out.append(match)
    return out


def _found(timeline: Timeline, seen: tuple[Seen, ...], match: _Match, closed: int) -> FoundCadence:
    wraps = match.events[-1] >= closed
    inner = [n for n in match.events if n < closed]
    chords = [index for n in inner for index in seen[n].event.spans]
    if wraps:
        chords += seen[0].event.spans
    return FoundCadence(
        type=match.pattern.type,
        center=seen[match.events[0]].key,
        from_=timeline.spans[seen[inner[0]].event.spans[0]].place,
        until=_after(timeline, seen[inner[-1]].event.spans[-1]),
        chords=tuple(chords),
        complete=match.pattern.type != "unfinished-two-five",
        within=None,
        wraps=wraps,
        degree=match.pattern.degree,
    )


def _interrupted(timeline: Timeline, seen: tuple[Seen, ...], one: Interruption) -> FoundCadence:
    chords = (*one.prepared, *one.chords, *one.resumed)
    return FoundCadence(
        type=f"interrupted-{one.shape}",
        center=one.awaited,
        from_=timeline.spans[chords[0]].place,
        until=_after(timeline, max(chords)),
        chords=chords,
        complete=True,
        within=None,
        wraps=False,
    )


def _after(timeline: Timeline, span: int) -> Place:
    if span + 1 < len(timeline.spans):
        return timeline.spans[span + 1].place
    return Place(timeline.bars[-1].number + 1, Fraction(1))


def _within(found: Sequence[FoundCadence], n: int, near: Sequence[int]) -> int | None:
    """The smallest other cadence that holds all chords of this one; `near` are those that hold its first."""
    mine = set(found[n].chords)
    holders = [m for m in near if m != n and mine < set(found[m].chords)]
    return min(holders, key=lambda m: (len(found[m].chords), m), default=None)
