"""How a type is heard by key, voicing, tempo and drill: a table each, beneath or beside each other."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Container, Vertical

from trainer.practice.progress_words import TOO_FEW
from trainer.practice.unit_told import HEADS, Facet, Part, part_cells
from trainer.screens.widgets.prose import Prose
from trainer.screens.widgets.sheet import Cell, Head, Sheet, Table

NOTHING = "–"
"""Stands for no answers."""
FEW_WORD = "few"
FEW_IS = f"{FEW_WORD.capitalize()}: fewer than six answers, {TOO_FEW}."
COLUMNS = (
    Head("", gives=True), Head("answers", right=True), Head("heard", right=True), Head("from, to"),
    Head("comes", right=True), Head("than usual", style="$secondary"),
)  # fmt: skip


class Parts(Container):
    """The tables."""

    DEFAULT_CSS = """
    Parts { height: auto; layout: grid; grid-size: 1; grid-rows: auto; grid-gutter: 0 4; }
    Parts > Vertical { height: auto; padding: 1 0 0 0; }
    Parts > Vertical > Prose { text-style: bold; }
    """

    def compose(self) -> ComposeResult:
        """Its head and its rows."""
        for facet in HEADS:
            with Vertical():
                yield Prose(id=f"head-{facet}")
                yield Sheet(id=f"rows-{facet}")

    def put(self, facets: Sequence[Facet]) -> None:
        """Show what is heard."""
        for name, facet in zip(HEADS, facets, strict=True):
            self.query_one(f"#head-{name}", Prose).put(facet.head)
            self.query_one(f"#rows-{name}", Sheet).show_table(table_of(facet))


def table_of(facet: Facet) -> Table:
    """A row for each part."""
    return Table(COLUMNS, tuple(map(cells, facet.parts)))


def cells(part: Part) -> tuple[Cell, ...]:
    """One part's row; of few answers or none nothing more is told."""
    told = part_cells(part)
    answers = NOTHING if part.counted is None else f"{part.counted.answers}"
    if len(told) == 1:
        return part.name, answers, ("" if part.counted is None else FEW_WORD, "$quiet"), "", "", ""
    return part.name, answers, *told
