"""A row of chords as it sounds: each with its number, a rule as long as it lasts, and lines beneath.

    1 ━━━━━━━━━━━━  2 ━━━━━━━━━━━━  3 ━━━━━━━━━━━━
    ii7             V7              ___

A heavy rule is a chord that is asked, a light one a chord that only sounds; the one that sounds now has
a pointer in its rule. A row too long for the width goes on below, like bars on the next line.
"""

from collections.abc import Sequence
from fractions import Fraction

from textual.content import Content

from trainer.records import dataclass
from trainer.screens.widgets.drawn import Drawn

GAP = 2
"""Cells between two chords."""
SCALES = (5, 4, 3, 2, 1)
"""Cells a beat, the widest that fits."""
NARROWEST = 5
"""Cells of the shortest chord: its number and a piece of rule."""


@dataclass(frozen=True, slots=True)
class Chord:
    """One chord of the row."""

    beats: Fraction
    asked: bool = True


@dataclass(frozen=True, slots=True)
class Line:
    """One line beneath the row: a name, a text for each chord and a style for each or for all."""

    name: str
    cells: tuple[str, ...]
    style: str = ""
    styles: tuple[str, ...] = ()
    name_style: str = "$quiet"

    def style_of(self, index: int) -> str:
        """The style of one cell."""
        return self.styles[index] if self.styles else self.style


@dataclass(frozen=True, slots=True)
class Brace:
    """A brace beneath some chords, with words in it."""

    first: int
    last: int
    words: str


def widths(chords: Sequence[Chord], lines: Sequence[Line], room: int) -> tuple[int, ...]:
    """Cells of each chord, the gap after it included: as long as it lasts where there is room."""
    least = [
        GAP + max(NARROWEST, *(len(line.cells[index]) for line in lines), len(str(index + 1)) + 2)
        for index in range(len(chords))
    ]
    for scale in SCALES:
        wanted = [max(low, round(scale * chord.beats) + GAP) for low, chord in zip(least, chords, strict=True)]
        if sum(wanted) - GAP <= room:
            return tuple(wanted)
    return tuple(least)


def broken_at(sizes: Sequence[int], room: int) -> list[range]:
    """The chords of each line of the row, evenly filled."""
    parts: list[range] = []
    count = 1
    while True:
        size = -(-len(sizes) // count)
        parts = [range(at, min(at + size, len(sizes))) for at in range(0, len(sizes), size)]
        if size == 1 or all(sum(sizes[n] for n in part) - GAP <= room for part in parts):
            return parts
        count += 1


class ChordRow(Drawn):
    """The row."""

    DEFAULT_CSS = """
    ChordRow { padding: 0 0 0 2; }
    """

    def __init__(self, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.chords: tuple[Chord, ...] = ()
        self.beneath: tuple[Line, ...] = ()
        self.brace: Brace | None = None
        self.sounding: int | None = None

    def put(self, chords: Sequence[Chord], beneath: Sequence[Line], brace: Brace | None = None) -> None:
        """Show a row."""
        row = tuple(chords), tuple(beneath), brace
        if row == (self.chords, self.beneath, self.brace):
            return
        self.chords, self.beneath, self.brace = row
        self.changed()

    def point(self, index: int | None) -> None:
        """Say which chord sounds now."""
        if index != self.sounding:
            self.sounding = index
            self.refresh()

    def lines(self, width: int) -> list[Content]:
        """Rules and lines, as often as the row goes on below."""
        if not self.chords:
            return []
        margin = max((len(line.name) + 2 for line in self.beneath if line.name), default=0)
        room = max(1, width - margin)
        sizes = widths(self.chords, self.beneath, room)
        drawn: list[Content] = []
        for part in broken_at(sizes, room):
            if drawn and self.beneath:
                drawn.append(Content(""))
            drawn.append(Content.assemble(" " * margin, *(self._rule(n, sizes[n]) for n in part)))
            for line in self.beneath:
                cells = [(line.cells[n].ljust(sizes[n]), line.style_of(n)) for n in part]
                drawn.append(Content.assemble((line.name.ljust(margin), line.name_style), *cells))
            if self.brace is not None:
                drawn += self._braced(self.brace, part, sizes, margin)
        return [line.truncate(width) for line in drawn]

    def _rule(self, index: int, size: int) -> Content:
        chord, name = self.chords[index], str(index + 1)
        sign = "━" if chord.asked else "─"
        rule = sign * (size - GAP - len(name) - 1)
        if index == self.sounding:
            rule = "▶" + rule[1:]
        style = "$primary" if chord.asked or index == self.sounding else "$quiet"
        return Content.assemble((f"{name} ", "$quiet"), (rule, style), " " * GAP)

    def _braced(self, brace: Brace, part: range, sizes: Sequence[int], margin: int) -> list[Content]:
        inside = [n for n in part if brace.first <= n <= brace.last]
        if not inside:
            return []
        before = margin + sum(sizes[n] for n in part if n < inside[0])
        room = sum(sizes[n] for n in inside) - GAP
        opens = "╰" if inside[0] == brace.first else "─"
        closes = "╯" if inside[-1] == brace.last else "─"
        if inside[0] == brace.first and len(brace.words) <= room - 6:
            words = f"─ {brace.words} "
            drawn = f"{opens}{words}{'─' * (room - 2 - len(words))}{closes}"
            return [Content.assemble(" " * before, (drawn, "$secondary"))]
        drawn = f"{opens}{'─' * (room - 2)}{closes}"
        told = [Content.assemble(" " * before, (drawn, "$secondary"))]
        if inside[0] == brace.first:
            told.append(Content.assemble(" " * before, (brace.words, "$secondary")))
        return told
