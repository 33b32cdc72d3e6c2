"""Rows of words in columns that wrap: what today holds, what a session came to, what the keys do."""

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import field

from textual.content import Content

from trainer.records import dataclass
from trainer.screens.widgets.drawn import Drawn

GAP = 3
"""Cells between two columns."""
NARROWEST = 12
"""Cells that a column that wraps keeps."""


@dataclass(frozen=True, slots=True)
class Column:
    """How one column is set."""

    style: str = ""
    wraps: bool = False
    """Where there is no room for its longest text, it goes on below."""
    most: int = 96
    """Cells it takes at most."""
    right: bool = False
    """Set to the right, as numbers are."""
    styles: Mapping[str, str] = field(default_factory=dict)
    """Texts that have a style of their own."""


class Ledger(Drawn):
    """The rows."""

    def __init__(self, columns: Sequence[Column], id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.columns = tuple(columns)
        self.rows: tuple[tuple[str, ...], ...] = ()

    def put(self, rows: Sequence[Sequence[str]]) -> None:
        """Show rows, each with a text for every column."""
        self.rows = tuple(tuple(row) for row in rows)
        self.changed()

    def lines(self, width: int) -> list[Content]:
        """Each row in as many lines as its longest text needs."""
        if not self.rows:
            return []
        sizes = self.sizes(width)
        drawn: list[Content] = []
        for row in self.rows:
            wrapped = [
                textwrap.wrap(text, size, break_on_hyphens=False) or [""] for text, size in zip(row, sizes, strict=True)
            ]
            for n in range(max(map(len, wrapped))):
                parts: list[tuple[str, str] | str] = []
                for column, size, texts in zip(self.columns, sizes, wrapped, strict=True):
                    text = texts[n] if n < len(texts) else ""
                    style = column.styles.get(text, column.style)
                    parts += [(text.rjust(size) if column.right else text.ljust(size), style), " " * GAP]
                drawn.append(Content.assemble(*parts[:-1]))
        return [line.truncate(width) for line in drawn]

    def sizes(self, width: int) -> list[int]:
        """Cells of each column: its longest text; where that is too much, those that wrap give way."""
        wanted = [
            min(column.most, max(1, *(len(row[n]) for row in self.rows))) for n, column in enumerate(self.columns)
        ]
        room = width - GAP * (len(wanted) - 1)
        wrapping = [n for n, column in enumerate(self.columns) if column.wraps]
        while sum(wanted) > room and any(wanted[n] > NARROWEST for n in wrapping):
            wanted[max(wrapping, key=lambda n: wanted[n])] -= 1
        return wanted
