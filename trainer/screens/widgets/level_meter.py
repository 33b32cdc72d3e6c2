"""Levels as bars with their numbers beside them.

    loudness     ━━━━━━━━━━━━━━━━────────  -20 LUFS
    microphone   ────────────────────────  silence

The bar reaches from -60 dB to full scale. What is shown moves as fast as it is put here, and nothing blinks.
"""

import math
from collections.abc import Sequence

from textual.content import Content

from trainer.records import dataclass
from trainer.screens.widgets.drawn import Drawn

FULL, REST = "━", "─"
LOWEST_DB, HIGHEST_DB = -60.0, 0.0
"""What the ends of a bar stand for."""
LONGEST, SHORTEST = 60, 8
"""Cells of a bar."""
GAP = 3
NUMBER = 9
"""Cells of a number with its unit, as in `-120 dBFS`."""


@dataclass(frozen=True, slots=True)
class Level:
    """One level, or words where there is none."""

    name: str
    db: float | None
    """None where nothing is measured: then there is no bar."""
    words: str
    """The unit behind the number, or all that there is to say."""

    @property
    def told(self) -> str:
        """The number in words."""
        if self.db is None:
            return self.words
        return f"{self.db:.0f} {self.words}" if math.isfinite(self.db) else "silence"


def bar(db: float, cells: int) -> str:
    """A level as a bar of so many cells."""
    share = (max(db, LOWEST_DB) - LOWEST_DB) / (HIGHEST_DB - LOWEST_DB)
    full = round(cells * min(share, 1.0))
    return FULL * full + REST * (cells - full)


class LevelMeter(Drawn):
    """The levels."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.levels: tuple[Level, ...] = ()

    def put(self, levels: Sequence[Level]) -> None:
        """Show levels."""
        new = tuple(levels)
        if new != self.levels:
            grown = len(new) != len(self.levels)
            self.levels = new
            self.refresh(layout=grown)

    def lines(self, width: int) -> list[Content]:
        """A line each, without bars where there is no room; words are cut where they are too long: the height stays."""
        names = max((len(level.name) for level in self.levels), default=0)
        cells = min(LONGEST, width - names - 2 * GAP - NUMBER)
        drawn = []
        for level in self.levels:
            parts: list[tuple[str, str]] = [(f"{level.name:<{names}}{' ' * GAP}", "")]
            if level.db is not None and cells >= SHORTEST:
                drawn_bar = bar(level.db, cells)
                parts += [(drawn_bar.rstrip(REST), "$primary"), (REST * drawn_bar.count(REST) + " " * GAP, "$quiet")]
            drawn.append(Content.assemble(*parts, (level.told, "$secondary" if level.db is None else "")))
        return [line.truncate(width) for line in drawn]
