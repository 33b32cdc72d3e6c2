"""Sections of the tune as played, and which of them are the same again."""

from collections.abc import Sequence
from fractions import Fraction

from trainer.charts.timeline import Place, PlayedSection, Timeline
from trainer.reading.values import SectionReading

SAME_FROM = 0.5
"""So much of a section, counted in bars from its start, must be the same before it is called the same."""


def sections_of(timeline: Timeline) -> tuple[SectionReading, ...]:
    """The sections in played order, each compared with those before it."""
    contents = [_bars(timeline, section) for section in timeline.sections]
    out: list[SectionReading] = []
    for n, section in enumerate(timeline.sections):
        same_as, differs = _earlier_like_it(contents, n, section)
        out.append(
            SectionReading(
                section.name,
                Place(section.first_bar, Fraction(1)),
                Place(section.until_bar, Fraction(1)),
                same_as,
                differs,
            )
        )
    return tuple(out)


def _bars(timeline: Timeline, section: PlayedSection) -> list[tuple[object, ...]]:
    bars: dict[int, list[object]] = {}
    for span in timeline.spans[section.first_span : section.until_span]:
        bars.setdefault(span.bar, []).append((span.at, span.beats, span.symbol))
    return [tuple(bars[bar]) for bar in sorted(bars)]


def _earlier_like_it(
    contents: Sequence[list[tuple[object, ...]]], n: int, section: PlayedSection
) -> tuple[int | None, int | None]:
    """The earlier section that shares most bars from the start, and where it is left."""
    mine = contents[n]
    best, best_shared = None, 0
    for m in range(n):
        shared = 0
        for a, b in zip(mine, contents[m], strict=False):
            if a != b:
                break
            shared += 1
        whole = shared == len(mine) == len(contents[m])
        if whole:
            return m, None
        if shared > best_shared:
            best, best_shared = m, shared
    if best is None or best_shared < max(1, SAME_FROM * len(mine)):
        return None, None
    return best, section.first_bar + best_shared

