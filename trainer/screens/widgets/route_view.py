"""The route of a tune as a picture: a line through its keys over its bars, the home's own row named as such.

    D minor         ┏━━━━━━━┓
    F minor, home  ━┛       ┗━━━━━━━━━━
                   1 9       17

Keys stand in the order of fifths, the sharper ones above; a minor key lies where its relative major does.
"""

from collections.abc import Callable, Sequence

from textual.content import Content

from trainer.harmony.key import Key
from trainer.harmony.note_names import Naming, key_told
from trainer.reading.values import Analysis, RouteStep
from trainer.screens.widgets.drawn import Drawn

WIDEST = 2
"""Cells of a bar at most."""


def rows_of(route: Sequence[RouteStep]) -> list[Key]:
    """The keys of a route, each once, from the sharpest down; of two alike the major one first."""
    keys = dict.fromkeys(step.center for step in route)
    return sorted(keys, key=lambda key: (-key.fifths, key.mode))


class RouteView(Drawn):
    """The picture."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.route: tuple[RouteStep, ...] = ()
        self.home: Key | None = None
        self.first = 1
        """The number of the first bar."""
        self.bars = 0
        self.naming: Naming = "english"
        self.sounding: int | None = None
        """Which bar sounds, from 0."""

    def put(self, analysis: Analysis, first: int, bars: int, naming: Naming = "english") -> None:
        """Show a tune's route over so many bars; one that stays in one key has no picture."""
        self.route = analysis.route if len(analysis.route) > 1 else ()
        self.home = None if analysis.home is None else analysis.home.key
        self.first, self.bars, self.naming = first, bars, naming
        self.changed()

    def point(self, bar: int | None) -> None:
        """Say which bar sounds."""
        if bar != self.sounding:
            self.sounding = bar
            self.refresh()

    def lines(self, width: int) -> list[Content]:
        """A row for each key, then the bars at which the center changes."""
        if not self.route:
            return []
        keys = rows_of(self.route)
        told = {key: key_told(key, self.naming) for key in keys}
        names = [f"{told[key]}, home" if key == self.home else told[key] for key in keys]
        margin = max(map(len, names)) + 2
        scale = min(float(WIDEST), max(width - margin - 1, 1) / max(self.bars, 1))

        def column(bar: int) -> int:
            return round((bar - self.first) * scale)

        end = column(self.first + self.bars)
        grid = [[" "] * (end + 1) for _ in keys]
        before: int | None = None
        for step, after in zip(self.route, (*self.route[1:], None), strict=True):
            row, start = keys.index(step.center), column(step.from_.bar)
            until = end if after is None else column(after.from_.bar)
            for cell in range(start, until):
                grid[row][cell] = "━"
            if before is not None and before != row:
                grid[before][start] = "┓" if row > before else "┛"
                grid[row][start] = "┗" if row > before else "┏"
                for between in range(min(before, row) + 1, max(before, row)):
                    grid[between][start] = "┃"
            before = row
        drawn = [
            Content.assemble((f"{name:<{margin}}", "$secondary"), ("".join(cells).rstrip(), "$primary"))
            for name, cells in zip(names, grid, strict=True)
        ]
        drawn.append(Content.assemble((" " * margin + self._numbers(column, end), "$quiet")))
        if self.sounding is not None:
            drawn.append(Content.assemble((" " * (margin + column(self.first + self.sounding)) + "▲", "$primary")))
        return [line.truncate(width) for line in drawn]

    def _numbers(self, column: Callable[[int], int], end: int) -> str:
        """The bars at which the center changes, those that have room."""
        text = ""
        for step in self.route:
            place = column(step.from_.bar)
            if place >= len(text) + bool(text):
                text = f"{text:<{place}}{step.from_.bar}"
        return text
