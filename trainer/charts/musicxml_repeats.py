"""Repeats and endings of a score made into those of a chart.

A chart's repeats stand within one section, each with its `|:` unless it begins the section, and their
last ending has no `:|`. A score says less strictly where they begin and end: a backward repeat without
a forward one goes back to the start, or to where the repeat before it ends (common practice), and what
follows a closed ending without one of its own is the ending of the next pass.
"""

from collections.abc import Iterator
from dataclasses import field
from itertools import pairwise

from trainer.charts.musicxml_bars import Bar
from trainer.records import dataclass


@dataclass(slots=True)
class _Group:
    """A passage that is repeated."""

    first: int
    endings: list[int] = field(default_factory=list)
    """Bars where an ending begins."""
    ends: list[int] = field(default_factory=list)

    @property
    def reaches(self) -> int:
        """The last bar that belongs to it, but for the rest of its last ending."""
        return max([*self.endings[-1:], *self.ends[-1:]])


def settle(bars: list[Bar]) -> list[tuple[int, str]]:
    """Make the repeats of the bars a chart's; returns remarks by bar."""
    remarks = list(_drop_unclosed(bars))
    groups: list[_Group] = []
    at = 0
    while at < len(bars):
        group, at = _group(bars, at)
        if group.ends:
            remarks += _close(bars, group)
            groups.append(group)
        elif group.endings:
            remarks.append((group.endings[0], "endings without a repeat; they are left out"))
            for index in group.endings:
                bars[index].ending = ()
    for group in groups:
        for index in range(group.first + 1, group.reaches + 1):
            if bars[index].rehearsal:
                told = f"the mark {bars[index].rehearsal!r} stands within a repeat, where no section begins"
                remarks.append((index, f"{told}; it is left out"))
                bars[index].rehearsal = ""
    _begin(bars, groups)
    return remarks


def _drop_unclosed(bars: list[Bar]) -> Iterator[tuple[int, str]]:
    """Forward repeats that no backward one follows before the next."""
    waiting: int | None = None
    for index, bar in enumerate(bars):
        if bar.repeat_start:
            if waiting is not None:
                bars[waiting].repeat_start = False
                yield waiting, "`|:` without `:|`; it is left out"
            waiting = index
        if bar.repeat_end:
            waiting = None
    if waiting is not None:
        bars[waiting].repeat_start = False
        yield waiting, "`|:` without `:|`; it is left out"


def _group(bars: list[Bar], start: int) -> tuple[_Group, int]:
    """The next repeated passage from a bar on, and the bar to go on from."""
    group = _Group(start)
    seen: set[int] = set()
    for index in range(start, len(bars)):
        bar = bars[index]
        if bar.repeat_start:
            if group.ends or group.endings:
                return group, index
            group.first = index
        closed = bool(group.ends) and group.ends[-1] >= group.endings[-1]
        if seen & set(bar.ending):
            return group, _after_ending(bars, group, index)
        if closed and not bar.ending:
            bar.ending = (max(seen) + 1,)
        if bar.ending:
            seen.update(bar.ending)
            group.endings.append(index)
        if bar.repeat_end:
            later = _after_ending(bars, group, index) if group.ends and not closed else index
            if later < index:
                return group, later
            group.ends.append(index)
            if not group.endings:
                return group, index + 1
    return group, len(bars)


def _after_ending(bars: list[Bar], group: _Group, until: int) -> int:
    """Where the passage behind a group's last ending begins, at most at a bar."""
    for index in range(group.endings[-1], until):
        if bars[index].ending_stops:
            return index + 1
    return until


def _close(bars: list[Bar], group: _Group) -> Iterator[tuple[int, str]]:
    """See that every ending but the last has its `:|`, the last one none, and that they agree on the count."""
    if not group.endings:
        return
    last = group.endings[-1]
    if group.ends[-1] >= last:
        end = group.ends[-1]
        if len(group.endings) == 1:
            bars[last].ending = ()
            group.endings.clear()
            yield last, "one ending and nothing for the next pass; it is read as a plain repeat"
            return
        group.ends.pop()
        bars[end].repeat_end = 0
        yield end, "`:|` behind the last ending; it is left out"
    for this, after in pairwise(group.endings):
        if not any(this <= end < after for end in group.ends):
            group.ends.append(after - 1)
            bars[after - 1].repeat_end = 2
            yield after - 1, "an ending without `:|`, which it is given"
    total = max(number for index in group.endings for number in bars[index].ending)
    for end in group.ends:
        if bars[end].repeat_end != total:
            bars[end].repeat_end = 2


def _begin(bars: list[Bar], groups: list[_Group]) -> None:
    """Give a group its `|:` where it doesn't begin its section."""
    before = -1
    for group in groups:
        section = next((index for index in range(group.first, 0, -1) if bars[index].rehearsal), 0)
        if group.first != section or before >= section:
            bars[group.first].repeat_start = True
        before = group.first
