"""A table whose row under the cursor has a pointer before it, so that it is told without color."""

from rich.segment import Segment
from textual.strip import Strip
from textual.widgets import DataTable

POINTER, ELSEWHERE = "› ", "  "


class PointedTable(DataTable[str]):
    """The table; its header and its rows are a line each, and its last two cells are left blank."""

    def render_line(self, y: int) -> Strip:
        """A line, moved in by the room of the pointer."""
        line = super().render_line(y)
        row = y - self.header_height + self.scroll_offset.y
        pointed = self.show_cursor and y >= self.header_height and row == self.cursor_row < self.row_count
        style = next((segment.style for segment in line), None)
        before = Segment(POINTER if pointed else ELSEWHERE, style)
        return Strip([before, *line.crop(0, line.cell_length - len(ELSEWHERE))], line.cell_length)
