"""Sections of a tune whose chart names none, told from what comes back.

Bars are compared by what they do (place, sounding root and class of each chord), so a fuller or barer
symbol is no other bar. The tune is cut where that describes it most briefly: new material costs its
bars, material that came before costs only the bars that differ. Cuts stand at phrases of four and eight,
elsewhere only where six bars or more come back (common practice: tunes are built of such phrases). A cut
in one playing is a cut in every other. Where nothing comes back, nothing is found; a vamp has no sections.
"""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from itertools import groupby, pairwise
from math import ceil, inf
from typing import NamedTuple

from trainer.charts.timeline import Timeline
from trainer.reading.heard import heard
from trainer.records import dataclass

PHRASES = {4: 2.0, 8: 0.0, 12: 0.5, 16: 0.5}
"""The lengths of a section in bars, and what each costs; eight is the likeliest."""
LONGEST = max(PHRASES)
ODD_LENGTH = 3.0
"""What any other length costs."""
RUN_LENGTH = 1.0
"""What a length costs that begins and ends where long runs do."""
TAG = 0.5
"""What up to three bars behind the last phrase cost."""
NEW = 3.0
"""What a section that was not heard before costs beside its bars."""
AGAIN = 1.0
"""What a section that comes back costs."""
OTHER_BAR = 1.5
"""And each bar in which it differs."""
ALIKE = 0.625
"""At least so many of its bars must be the same: five of eight; of four all but the last."""
BEGINS_ALIKE = 0.375
"""Two sections of one length that begin with so many same bars share their letter: three of eight."""
LONG_RUN = 6
"""So many bars in a row that come back may begin a section anywhere."""
MOST_RUNS = 4
"""Where more than one bar of so many begins or ends such a run, they say nothing."""
SHORTEST_TUNE = 8
SHORT_FORM = 16
"""A tune of no more bars than this may be built of phrases of four at no cost."""
LONGEST_VAMP = 4
"""A tune that turns around so few bars has no sections."""
SHORTEST_ON_AVERAGE = 4
"""Sections shorter than this on average are none."""
COMES_BACK = 1 / 3
"""At least so much of a tune must stand in sections that come back."""
LOOKED_AT = 3
"""So many earlier places are tried for one that may come back."""


class FoundSection(NamedTuple):
    """One section, by bars counted from 0."""

    first: int
    until: int
    letter: str
    """A, B, C in the order they come; the same letter where one comes back."""


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch between two cuts."""

    first: int
    until: int
    source: int | None
    """Where it was heard before; None where it is new."""


def unnamed_sections(timeline: Timeline) -> tuple[FoundSection, ...]:
    """The sections that are found where none is named; none where the chart names its own."""
    named = any(section.name is not None for section in timeline.sections)
    return () if named else found_sections(timeline)


def found_sections(timeline: Timeline) -> tuple[FoundSection, ...]:
    """The sections of a tune as played, by the place of their bars in timeline.bars; none where nothing comes back.

    A pickup belongs to the first.
    """
    if not timeline.bars:
        return ()
    pickup = 1 if timeline.bars[0].number == 0 else 0
    found = sections_of_bars(bar_numbers(timeline)[pickup:])
    moved = [FoundSection(one.first + pickup, one.until + pickup, one.letter) for one in found]
    if moved and pickup:
        moved[0] = moved[0]._replace(first=0)
    return tuple(moved)


def bar_numbers(timeline: Timeline) -> list[int]:
    """A number for each bar, the same for bars that do the same."""
    bars: list[list[object]] = [[str(bar.meter)] for bar in timeline.bars]
    first = timeline.bars[0].number
    for span in timeline.spans:
        row = bars[span.bar - first]
        if span.symbol is None:
            row.append((span.at, None))
        else:
            known = heard(span.symbol)
            row.append((span.at, known.root, known.bass, known.kind))
    known_bars: dict[tuple[object, ...], int] = {}
    return [known_bars.setdefault(tuple(row), len(known_bars)) for row in bars]


def sections_of_bars(bars: Sequence[int]) -> tuple[FoundSection, ...]:
    """The sections of a row of bars, each told by a number."""
    if len(bars) < SHORTEST_TUNE or _is_vamp(bars):
        return ()
    pieces = _cut_alike(_cheapest(bars))
    if len(pieces) * SHORTEST_ON_AVERAGE > len(bars):
        return ()
    pieces = _joined(pieces)
    if len(bars) > SHORT_FORM:
        pieces = _paired(pieces)
    letters = _letters(bars, pieces)
    count = Counter(letters)
    back = sum(one.until - one.first for one, letter in zip(pieces, letters, strict=True) if count[letter] > 1)
    if back < COMES_BACK * len(bars):
        return ()
    return tuple(FoundSection(piece.first, piece.until, letter) for piece, letter in zip(pieces, letters, strict=True))


def _is_vamp(bars: Sequence[int]) -> bool:
    """Whether a few bars come round and round, the last four apart."""
    body = bars[: max(len(bars) - LONGEST_VAMP, LONGEST_VAMP)]
    return any(body[turn:] == body[:-turn] for turn in range(1, LONGEST_VAMP + 1))


def _long_runs(bars: Sequence[int]) -> frozenset[int]:
    """Bars at which a long run that was heard before begins and ends, there and where it was heard."""
    seen: dict[tuple[int, ...], int] = {}
    starts: set[int] = set()
    for at in range(len(bars) - LONG_RUN + 1):
        run = tuple(bars[at : at + LONG_RUN])
        earlier = seen.setdefault(run, at)
        if at - earlier < LONG_RUN or len(set(run)) < 3:
            continue
        if (earlier == 0 or bars[earlier - 1] != bars[at - 1]) and not _on_phrases_soon(earlier, at):
            length = LONG_RUN
            while length < min(LONGEST, at - earlier, len(bars) - at) and bars[at + length] == bars[earlier + length]:
                length += 1
            starts |= {earlier, at, earlier + length, at + length}
    return frozenset(starts)


def _on_phrases_soon(one: int, other: int) -> bool:
    """Whether a run that begins at two bars begins better a bar or two later, on phrases of four."""
    return one % 4 == other % 4 and -one % 4 <= 2


def _cheapest(bars: Sequence[int]) -> list[_Piece]:
    """The cheapest way to cut the bars; exact over all cuts that are looked at."""
    end = len(bars)
    runs = sorted(_long_runs(bars))
    if len(runs) * MOST_RUNS > end:
        runs = []
    run_places = frozenset(runs)
    costs = [inf] * (end + 1)
    came: list[_Piece | None] = [None] * (end + 1)
    costs[0] = 0.0
    heard_at: dict[tuple[int, int, int], list[int]] = {}
    lengths = {**PHRASES, 4: 0.0} if end <= SHORT_FORM else PHRASES
    for at in range(end):
        if costs[at] == inf:
            continue
        untils = {at + length: price for length, price in lengths.items() if at + length <= end}
        odd = RUN_LENGTH if at in run_places else ODD_LENGTH
        untils |= {run: odd for run in _between(runs, at + 2, at + LONGEST) if run not in untils}
        if end - at <= LONGEST:
            untils.setdefault(end, TAG if end - at < 4 else ODD_LENGTH)
        earlier = _earlier(bars, at, heard_at)
        for until, price in untils.items():
            cost, source = _piece_cost(bars, at, until, earlier)
            if costs[at] + price + cost < costs[until]:
                costs[until], came[until] = costs[at] + price + cost, _Piece(at, until, source)
    pieces: list[_Piece] = []
    at = end
    while at:
        piece = came[at]
        assert piece is not None
        pieces.append(piece)
        at = piece.first
    pieces.reverse()
    return pieces


def _between(places: Sequence[int], low: int, high: int) -> Sequence[int]:
    return places[bisect_left(places, low) : bisect_right(places, high)]


def _earlier(bars: Sequence[int], at: int, heard_at: dict[tuple[int, int, int], list[int]]) -> list[int]:
    """Places before this one that begin alike: the same first bar, and the same second or third."""
    found: list[int] = []
    for step in (1, 2):
        if at + step < len(bars):
            places = heard_at.setdefault((step, bars[at], bars[at + step]), [])
            found += [place for place in places if place not in found]
            if len(places) < LOOKED_AT:
                places.append(at)
    return found


def _piece_cost(bars: Sequence[int], at: int, until: int, earlier: Sequence[int]) -> tuple[float, int | None]:
    """What a piece costs, and where it was heard before if that is cheaper."""
    length = until - at
    best, source = NEW + length, None
    for place in earlier:
        if place + length > at:
            continue
        other = sum(a != b for a, b in zip(bars[at:until], bars[place : place + length], strict=True))
        cost = AGAIN + OTHER_BAR * other
        if length == 4 and other and bars[at : at + 3] != bars[place : place + 3]:
            continue
        if length - other >= ALIKE * length and cost < best:
            best, source = cost, place
    return best, source


def _cut_alike(pieces: Sequence[_Piece]) -> list[_Piece]:
    """The pieces cut wherever what they repeat is cut, and the other way round."""
    links = [(piece.first, piece.until, piece.source) for piece in pieces if piece.source is not None]
    cuts = {piece.first for piece in pieces} | {pieces[-1].until}
    waiting = [source for _, _, source in links] + [source + until - first for first, until, source in links]
    waiting += cuts
    over: dict[int, list[tuple[int, int]]] = {}
    for first, until, source in links:
        for bar in range(first, until + 1):
            over.setdefault(bar, []).append((bar - first + source, until))
        for bar in range(source, source + until - first + 1):
            over.setdefault(bar, []).append((bar - source + first, until))
    done: set[int] = set()
    while waiting:
        cut = waiting.pop()
        if cut in done:
            continue
        done.add(cut)
        waiting += [other for other, _ in over.get(cut, ()) if other not in done]
    places = sorted(done)
    sources = {}
    for first, until, source in links:
        for bar in range(first, until):
            sources[bar] = bar - first + source
    return [_Piece(first, until, sources.get(first)) for first, until in pairwise(places)]


def _classes(pieces: Sequence[_Piece]) -> list[int]:
    """For each piece the first piece that it is."""
    at = {piece.first: n for n, piece in enumerate(pieces)}
    out: list[int] = []
    for n, piece in enumerate(pieces):
        source = None if piece.source is None else at.get(piece.source)
        out.append(n if source is None else out[source])
    return out


def _joined(pieces: list[_Piece]) -> list[_Piece]:
    """Pieces that never stand apart are one: new ones side by side, and short ones that always follow each other."""
    while True:
        kinds = _classes(pieces)
        count = Counter(kinds)
        after: dict[int, set[int | None]] = {}
        before: dict[int, set[int | None]] = {}
        for one, two in zip([None, *kinds], [*kinds, None], strict=True):
            if one is not None:
                after.setdefault(one, set()).add(two)
            if two is not None:
                before.setdefault(two, set()).add(one)
        joins: set[int] = set()
        taken: set[int] = set()
        for n, (one, two) in enumerate(pairwise(kinds)):
            if one == two or after[one] != {two} or before[two] != {one} or {one, two} & taken:
                continue
            lengths = [piece.until - piece.first for piece in pieces[n : n + 2]]
            if count[one] == 1 or (min(lengths) < 8 and sum(lengths) <= 16):
                joins.add(one)
                taken |= {one, two}
        if not joins:
            return pieces
        pieces = _merged(pieces, kinds, joins)


def _merged(pieces: list[_Piece], kinds: Sequence[int], joins: set[int]) -> list[_Piece]:
    """Each piece of some kinds, joined with the piece after it."""
    out: list[_Piece] = []
    for n, (piece, kind) in enumerate(zip(pieces, kinds, strict=True)):
        if n and kinds[n - 1] in joins:
            continue
        out.append(_Piece(piece.first, pieces[n + 1].until if kind in joins else piece.until, piece.source))
    return out


def _paired(pieces: list[_Piece]) -> list[_Piece]:
    """Phrases of four that only come two by two are eights."""
    rows = [list(row) for _, row in groupby(zip(pieces, _classes(pieces), strict=True), key=lambda one: one[1])]
    alone = {row[0][1] for row in rows if len(row) % 2 or any(one.until - one.first != 4 for one, _ in row)}
    out: list[_Piece] = []
    for row in rows:
        step = 1 if row[0][1] in alone else 2
        first = row[0][0].first
        for n in range(0, len(row), step):
            source = row[n][0].source if n == 0 else first
            out.append(_Piece(row[n][0].first, row[n + step - 1][0].until, source))
    return out


def _letters(bars: Sequence[int], pieces: Sequence[_Piece]) -> list[str]:
    """A letter for each piece; those that begin alike share it."""
    firsts: list[tuple[int, ...]] = []
    kinds = _classes(pieces)
    named: dict[int, int] = {}
    for piece, kind in zip(pieces, kinds, strict=True):
        length = piece.until - piece.first
        begins = (length, *bars[piece.first : piece.first + ceil(BEGINS_ALIKE * length)])
        if kind not in named:
            named[kind] = firsts.index(begins) if begins in firsts else len(firsts)
            if named[kind] == len(firsts):
                firsts.append(begins)
    return [_letter(named[kind]) for kind in kinds]


def _letter(number: int) -> str:
    """A to Z, then AA, AB and so on."""
    return chr(ord("A") + number) if number < 26 else _letter(number // 26 - 1) + _letter(number % 26)
