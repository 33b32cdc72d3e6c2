"""What all tables have in common."""

WIDEST = 96
"""Cells of a whole table with its margins."""
PADDING = 2
"""Cells between columns."""


def shortened(text: str, width: int) -> str:
    """A text cut to a width, at a word where it can be."""
    if len(text) <= width:
        return text
    return text[: width - 1].rsplit(" ", 1)[0].rstrip(",") + "…"
