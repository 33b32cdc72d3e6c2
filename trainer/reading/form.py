"""Sections of the tune as played, written or found, and which of them are the same again."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction

from trainer.charts.timeline import Place, Timeline
from trainer.reading.sections_found import FoundSection, unnamed_sections
from trainer.reading.values import Analysis, SectionReading
from trainer.records import dataclass

SAME_FROM = 0.5
"""So much of a section, counted in bars from its start, must be the same before it is called the same."""

LIKE_FROM = 0.5
"""So many bars of a section must be the same, each in its place, before it is called like another."""

Bars = tuple[tuple[object, ...], ...]


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A section before it is compared: its names, its bars as played and what they hold."""

    name: str | None
    found: str | None
    first_bar: int
    until_bar: int
    bars: Bars


def sections_of(timeline: Timeline, found: Sequence[FoundSection] | None = None) -> tuple[SectionReading, ...]:
    """The sections in played order, each compared with those before it; found ones where none is written.

    `found` is its `unnamed_sections` where they are known already.
    """
    stretches = _stretches(timeline, unnamed_sections(timeline) if found is None else found)
    out: list[SectionReading] = []
    begun: dict[Bars, list[int]] = {}
    """The sections so far, by their first bar."""
    for n, stretch in enumerate(stretches):
        begun_so = begun.setdefault(stretch.bars[:1], [])
        same_as, differs = _earlier_like_it(stretches, n, begun_so)
        begun_so.append(n)
        like, differing = _varied(stretches, n)
        out.append(
            SectionReading(
                stretch.name,
                Place(stretch.first_bar, Fraction(1)),
                Place(stretch.until_bar, Fraction(1)),
                same_as,
                differs,
                stretch.found,
                like,
                differing,
            )
        )
    return tuple(out)


def section_numbers(analysis: Analysis) -> tuple[int, ...]:
    """For each chord the section it stands in, by its place in analysis.sections."""
    firsts = [section.from_.bar for section in analysis.sections]
    return tuple(max(bisect_right(firsts, chord.span.bar) - 1, 0) for chord in analysis.chords)


def _stretches(timeline: Timeline, found: Sequence[FoundSection]) -> list[_Stretch]:
    held: dict[int, list[object]] = {bar.number: [] for bar in timeline.bars}
    for span in timeline.spans:
        held[span.bar].append((span.at, span.beats, span.symbol))

    def bars(first: int, until: int) -> Bars:
        return tuple(tuple(held[bar]) for bar in range(first, until))

    if found:
        numbers = [bar.number for bar in timeline.bars]
        return [
            _Stretch(None, one.letter, first, until, bars(first, until))
            for one in found
            for first, until in [(numbers[one.first], numbers[one.until - 1] + 1)]
        ]
    return [
        _Stretch(one.name, None, one.first_bar, one.until_bar, bars(one.first_bar, one.until_bar))
        for one in timeline.sections
    ]


def _earlier_like_it(stretches: Sequence[_Stretch], n: int, earlier: Sequence[int]) -> tuple[int | None, int | None]:
    """The earlier section (of those with the same first bar) that shares most bars, and where it is left."""
    mine = stretches[n].bars
    best, best_shared = None, 0
    for m in earlier:
        other = stretches[m].bars
        if mine == other:
            return m, None
        shared = 0
        for a, b in zip(mine, other, strict=False):
            if a != b:
                break
            shared += 1
        if shared > best_shared:
            best, best_shared = m, shared
    if best is None or best_shared < max(1, SAME_FROM * len(mine)):
        return None, None
    return best, stretches[n].first_bar + best_shared


def _varied(stretches: Sequence[_Stretch], n: int) -> tuple[int | None, tuple[int, ...]]:
    """The earlier section of the same name and length that it is most like, and its own bars that are others."""
    mine = stretches[n]
    best: int | None = None
    others: tuple[int, ...] = ()
    for m in range(n):
        one = stretches[m]
        if (one.name, one.found, len(one.bars)) != (mine.name, mine.found, len(mine.bars)):
            continue
        differing = tuple(
            mine.first_bar + k for k, (a, b) in enumerate(zip(mine.bars, one.bars, strict=True)) if a != b
        )
        if len(differing) > LIKE_FROM * len(mine.bars) or (best is not None and len(differing) >= len(others)):
            continue
        best, others = m, differing
        if not differing:
            break
    return best, others
