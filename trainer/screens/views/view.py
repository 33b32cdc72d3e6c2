"""What a view of the progress is made of."""

from collections.abc import Callable, Mapping

from trainer.harmony.note_names import Naming
from trainer.practice.over_time import HeardIn, Seen
from trainer.records import dataclass
from trainer.screens.widgets.sheet import Table

WIDE, WIDER = 104, 130
"""Cells from which a view shows more columns, and still more."""


@dataclass(frozen=True, slots=True)
class Shown:
    """All that the views show, read at once."""

    seen: Seen
    keys: Mapping[str, Mapping[str, HeardIn]]
    """By unit, by place of the tonic."""
    naming: Naming = "english"
    """How keys are named."""


@dataclass(frozen=True, slots=True)
class View:
    """One view."""

    name: str
    """In the line of views."""
    sum: Callable[[Shown], str]
    """What it all comes to, in a sentence."""
    legend: str
    table: Callable[[Shown, int], Table]
    """The rows for a width."""
    about: Callable[[Shown, int], str]
    """All that there is to say of a row."""
    units: Callable[[Shown], tuple[str, ...]]
    """The unit of each row; none where rows are of something else."""
