"""A table as wide as there is room: a line of heads, then rows, numbers set to the right.

The columns that give way are cut to the room there is; all others keep the width of their longest text.
"""

from collections.abc import Callable

from textual.content import Content

from trainer.records import dataclass
from trainer.screens.widgets.drawn import Drawn
from trainer.screens.widgets.table import shortened

GAP = 2
"""Cells between two columns."""
NARROWEST = 10
"""Cells that a column which gives way keeps."""

Cell = str | tuple[str, str]
"""A text, or a text and its style."""


@dataclass(frozen=True, slots=True)
class Head:
    """How one column is set."""

    word: str
    right: bool = False
    """Set to the right, as numbers are."""
    gives: bool = False
    """Cut where there is no room for its longest text."""
    most: int = 54
    """Cells it takes at most."""
    style: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """What a sheet shows at one width."""

    heads: tuple[Head, ...]
    rows: tuple[tuple[Cell, ...], ...]


def plain(cell: Cell) -> str:
    """The text of a cell."""
    return cell if isinstance(cell, str) else cell[0]


def sizes(table: Table, width: int) -> list[int]:
    """Cells of each column: its longest text; where that is too much, those that give way do."""
    wanted = [
        min(head.most, max(len(head.word), *(len(plain(row[n])) for row in table.rows), 1))
        for n, head in enumerate(table.heads)
    ]
    room = width - GAP * (len(wanted) - 1)
    giving = [n for n, head in enumerate(table.heads) if head.gives]
    while sum(wanted) > room and any(wanted[n] > NARROWEST for n in giving):
        wanted[max(giving, key=lambda n: wanted[n])] -= 1
    return wanted


def set_out(table: Table, width: int) -> tuple[Content, list[Content]]:
    """The line of heads and a line for each row."""
    if not table.rows:
        return Content(""), []
    wide = sizes(table, width)
    heads = [_set(head, head.word, size) for head, size in zip(table.heads, wide, strict=True)]
    return Content.assemble((_joined(heads), "$quiet")).truncate(width), [
        _row(table.heads, row, wide).truncate(width) for row in table.rows
    ]


def _row(heads: tuple[Head, ...], row: tuple[Cell, ...], wide: list[int]) -> Content:
    parts: list[Content | str] = []
    for n, (head, cell, size) in enumerate(zip(heads, row, wide, strict=True)):
        text, style = (cell, head.style) if isinstance(cell, str) else cell
        parts += [" " * GAP if n else "", Content.assemble((_set(head, text, size), style))]
    return Content.assemble(*parts)


def _set(head: Head, text: str, size: int) -> str:
    text = shortened(text, size) if head.gives else text[:size]
    return text.rjust(size) if head.right else text.ljust(size)


def _joined(texts: list[str]) -> str:
    return (" " * GAP).join(texts)


class Sheet(Drawn):
    """A table to be read."""

    def __init__(self, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.make: Callable[[int], Table] = lambda _: Table((), ())

    def put(self, make: Callable[[int], Table]) -> None:
        """Show a table; it is made anew for each width."""
        self.make = make
        self.refresh(layout=True)

    def show_table(self, table: Table) -> None:
        """Show a table that is the same at every width."""
        self.put(lambda _: table)

    def lines(self, width: int) -> list[Content]:
        """Heads and rows."""
        head, rows = set_out(self.make(width), width)
        return [head, *rows] if rows else []
