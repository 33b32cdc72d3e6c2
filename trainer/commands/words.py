"""Plain lines for the terminal: wrapped, at most 80 columns, nothing that a screen reader stumbles over."""

import os
from collections.abc import Sequence

WIDEST = 80
NARROWEST = 60


def width(narrowest: int = NARROWEST) -> int:
    """Columns to write in: the terminal's or COLUMNS, 60 to 80, or from so few on as are asked for."""
    try:
        columns = int(os.environ.get("COLUMNS", ""))
    except ValueError:
        try:
            columns = os.get_terminal_size(1).columns
        except OSError:
            columns = WIDEST
    return min(max(columns or WIDEST, narrowest), WIDEST)


def wrapped(text: str, columns: int, indent: str = "", later: str | None = None) -> list[str]:
    """Lines of a text, none wider than the columns unless one word is; `later` indents all but the first."""
    later = indent if later is None else later
    lines: list[str] = []
    line = ""
    for word in text.split():
        start = later if lines else indent
        if line and len(start) + len(line) + 1 + len(word) > columns:
            lines.append(start + line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, (later if lines else indent) + line] if line else lines


def table(rows: Sequence[Sequence[str]], columns: int, indent: str = "", gap: str = "  ") -> list[str]:
    """Lines of rows under each other; the last cell is wrapped into its own column where it is too long."""
    if not rows:
        return []
    count = max(len(row) for row in rows)
    widths = [max((len(row[n]) for row in rows if n < len(row)), default=0) for n in range(count - 1)]
    lines = []
    for row in rows:
        cells = [cell.ljust(wide) for cell, wide in zip(row[:-1], widths, strict=False)]
        start = indent + "".join(cell + gap for cell in cells)
        if len(start) > columns // 2 + 8:
            lines.append((start + row[-1]).rstrip())
        else:
            lines.extend(wrapped(row[-1], columns, start, " " * len(start)) or [start.rstrip()])
    return lines


def counted(number: int, one: str, many: str | None = None) -> str:
    """A number with its noun: "1 bar", "3 bars"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def joined(words: Sequence[str], last: str = "and") -> str:
    """Words as in a sentence: "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def lasting(seconds: float) -> str:
    """A length of time as players say it."""
    if seconds < 60:
        return f"{seconds:.1f} s"
    whole = round(seconds)
    return f"{whole // 60} min {whole % 60} s"
