"""What each command was asked for, as values: made by trainer.cli from the words on the command line."""

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Literal

What = Literal["chart", "route", "guide-tones", "bass"]
"""What of a tune is played."""
Form = Literal["text", "table", "json", "csv"]
"""How readings are told: in full, a line a tune, an object a tune, a row a chord."""


@dataclass(frozen=True, slots=True)
class AnalyzeOptions:
    """What `analyze` was asked for."""

    files: tuple[str, ...]
    """Paths, folders, `-`, or names of exercises."""
    form: Form = "text"
    pins: tuple[str, ...] = ()
    """`9=Bb`, `9.3=Bb:ii7`, as given."""
    why: bool = False
    """A reason below each chord."""
    processes: int | None = None
    """How many work side by side; None is as many as help."""


@dataclass(frozen=True, slots=True)
class PlayOptions:
    """What `play` was asked for."""

    file: str
    to: Path | None = None
    """A file to write in place of playing."""
    what: What = "chart"
    tempo: float | None = None
    """As charts count it; None is the chart's own."""
    key: str | None = None
    """A note or a key to move the tune to."""
    choruses: int = 1
    bars: tuple[int, int] | None = None
    """First and last bar as played, both included."""
    count_in: bool = True
    swing: Fraction | None = None
    """Long to short of a pair of eighths; None is the chart's own."""
    quiet: bool = False
    """No line as each section and key center comes."""
