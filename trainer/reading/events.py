"""From a timeline to the events that are read: one for each change of chord, with its place in the form.

Chords that are held, repeated or written again are one event; silence is none. Pitch classes are
counted from the first chord's root, so that transposing a tune changes nothing, ties included.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from trainer.charts.chart import Pin
from trainer.charts.timeline import Span, Timeline
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.heard import ChordClass, Heard, heard
from trainer.reading.sections_found import FoundSection, unnamed_sections

STRONG_BARS = {0: 3, 4: 2, 2: 1, 6: 1}
"""How strong bars 1, 5, 3 and 7 of eight are."""


class Event(NamedTuple):
    """One chord for as long as it lasts."""

    spans: tuple[int, ...]
    symbol: ChordSymbol
    root: int
    """Semitones above the first chord's root, 0 to 11."""
    bass: int
    """The lowest note, counted likewise."""
    kind: ChordClass
    lean: int
    six_four: bool
    bars: float
    strong: int
    """How strong a bar it falls on: 3, 2, 1 or 0."""
    opens: bool
    """It starts a section."""
    closes: bool
    """It lasts to the end of a section."""
    ends: bool
    """It is the tune's last chord, or at most two more on its root follow."""
    pin: Pin | None


def events_of(timeline: Timeline, found: Sequence[FoundSection] | None = None) -> tuple[Event, ...]:
    """The events of a timeline, in played order; `found` is its `unnamed_sections` where they are known already."""
    groups: list[list[Span]] = []
    for span in timeline.spans:
        if span.symbol is None:
            continue
        last = groups[-1][-1] if groups else None
        joins = (
            last is not None and last.index == span.index - 1 and last.symbol == span.symbol and last.pin == span.pin
        )
        if joins:
            groups[-1].append(span)
        else:
            groups.append([span])
    if not groups:
        return ()
    first = groups[0][0].symbol
    assert first is not None
    zero = heard(first).root
    sections = _sections(timeline, unnamed_sections(timeline) if found is None else found)
    starts = frozenset(section.first_span for section in sections)
    ends = frozenset(section.until_span for section in sections)
    firsts = [section.first_span for section in sections]
    return tuple(
        _event(group, zero, timeline, starts, ends, sections[bisect_right(firsts, group[0].index) - 1].first_bar)
        for group in groups
    )


class _Section(NamedTuple):
    first_span: int
    until_span: int
    first_bar: int


def _sections(timeline: Timeline, found: Sequence[FoundSection]) -> list[_Section]:
    """The sections as written, or where none is named those that are found by what comes back."""
    if not found:
        return [_Section(one.first_span, one.until_span, one.first_bar) for one in timeline.sections]
    starts = [timeline.bars[one.first].number for one in found]
    bars = [span.bar for span in timeline.spans]
    firsts = [bisect_left(bars, bar) for bar in starts]
    untils = [*firsts[1:], len(bars)]
    return [_Section(*one) for one in zip(firsts, untils, starts, strict=True)]


def _event(
    group: list[Span],
    zero: int,
    timeline: Timeline,
    starts: frozenset[int],
    ends: frozenset[int],
    first_bar: int,
) -> Event:
    symbol = group[0].symbol
    assert symbol is not None
    known: Heard = heard(symbol)
    # A chord closes its section too where only silence follows it there.
    after = group[-1].index + 1
    while after < len(timeline.spans) and timeline.spans[after].symbol is None and after not in starts:
        after += 1
    bars = sum(span.beats.numerator / (span.beats.denominator * span.meter.beats) for span in group)
    return Event(
        spans=tuple(span.index for span in group),
        symbol=symbol,
        root=(known.root - zero) % 12,
        bass=(known.bass - zero) % 12,
        kind=known.kind,
        lean=known.lean,
        six_four=known.six_four,
        bars=bars,
        strong=STRONG_BARS.get((group[0].bar - max(first_bar, 1)) % 8, 0) if group[0].at == 0 else 0,
        opens=any(span.index in starts for span in group),
        closes=after in ends or any(span.index + 1 in ends for span in group[:-1]),
        ends=all(
            later.symbol is None or heard(later.symbol).root == known.root
            for later in timeline.spans[group[-1].index + 1 : group[-1].index + 4]
        )
        and len(timeline.spans) - group[-1].index <= 3,
        pin=group[0].pin,
    )
