"""A line to type a file's name on; what may be meant is offered behind the cursor, and Right takes it."""

import asyncio
from pathlib import Path

from textual.suggester import Suggester

from trainer.charts.library import CHART_SUFFIX, MIDI_SUFFIXES, TIMED_SUFFIX, XML_SUFFIXES
from trainer.screens.widgets.word_line import WordLine

SUFFIXES = (CHART_SUFFIX, *XML_SUFFIXES, *MIDI_SUFFIXES, TIMED_SUFFIX)
MOST_LOOKED_AT = 2000
"""Names of a folder that are looked at for one that fits."""


class FileLine(WordLine):
    """The line."""

    def __init__(self, about: str, id: str) -> None:
        super().__init__(about, id, suggester=ChartFiles())


class ChartFiles(Suggester):
    """Offers folders and files that can hold a chart."""

    def __init__(self) -> None:
        super().__init__(use_cache=False, case_sensitive=True)

    async def get_suggestion(self, value: str) -> str | None:
        """The first name that goes on as typed."""
        return await asyncio.to_thread(first_that_fits, value)


def first_that_fits(typed: str) -> str | None:
    """What is typed, completed to the first folder or chart file in the order of names; None where none fits."""
    folder, slash, begun = typed.rpartition("/")
    place = Path(folder + slash).expanduser() if folder + slash else Path()
    if not begun:
        return None
    try:
        found = []
        for n, path in enumerate(place.iterdir()):
            if n >= MOST_LOOKED_AT:
                break
            if path.name.startswith(begun) and (path.suffix.casefold() in SUFFIXES or path.is_dir()):
                found.append(path)
    except OSError:
        return None
    if not found:
        return None
    best = min(found, key=lambda path: path.name)
    return f"{folder}{slash}{best.name}{'/' if best.is_dir() else ''}"
