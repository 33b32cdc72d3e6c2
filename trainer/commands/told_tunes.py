"""Many tunes for the eye: a line each, with home, size, what moves in it, and the bars to practise first."""

import unicodedata
from pathlib import PurePath

from trainer.commands.page import Page
from trainer.reading.hardest import hardest_stretch
from trainer.reading.one_line import bars_text
from trainer.reading.values import Analysis

HEADS = ("tune", "home", "bars", "centers", "cadences", "breaks", "hardest")
"""`centers`: key centers it lives in; `breaks`: cadences that another key's cadence breaks into."""
WIDTHS = (0, 8, 4, 7, 8, 6, 10)
"""Of each column; the tune's takes what is left."""

ROOMY = 66
"""Columns from which all of them stand in a line."""
NARROW = (0, 1, 6)
"""The columns that are kept where there is less room."""


def heads_line(columns: int) -> str:
    """The line above the tunes."""
    return _line(HEADS, columns)


def tune_line(analysis: Analysis, page: Page) -> str:
    """One tune in one line, never wider than the columns."""
    stretch = hardest_stretch(analysis)
    cells = (
        analysis.title or PurePath(analysis.file).stem,
        "-" if analysis.home is None else page.key(analysis.home.key),
        str(sum(section.until.bar - max(section.from_.bar, 1) for section in analysis.sections)),
        str(len({step.center for step in analysis.route})),
        str(len(analysis.cadences)),
        str(len(analysis.interruptions)),
        "-" if stretch is None else bars_text(stretch.from_, stretch.until).partition(" ")[2],
    )
    return _line(cells, page.columns)


def _line(cells: tuple[str, ...], columns: int) -> str:
    shown = range(len(WIDTHS)) if columns >= ROOMY else NARROW
    first = columns - sum(WIDTHS[n] for n in shown) - 2 * (len(shown) - 1)
    words = [_fitted(cells[0], first), cells[1].ljust(WIDTHS[1])]
    words += [cells[n].rjust(WIDTHS[n]) for n in shown[2:]]
    return "  ".join(words)


def _fitted(text: str, columns: int) -> str:
    """A text in exactly so many columns of a terminal, its end left out where it is too long."""
    shown = [sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in " ".join(text.split())]
    if sum(map(_columns_of, shown)) > columns:
        while sum(map(_columns_of, shown)) > columns - 1:
            shown.pop()
        shown.append("…")
    return "".join(shown) + " " * (columns - sum(map(_columns_of, shown)))


def _columns_of(sign: str) -> int:
    """How many columns a terminal gives a character (Unicode Standard Annex 11)."""
    if unicodedata.combining(sign):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1
