"""What each command was asked for, as values: made by trainer.cli from the words on the command line."""

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from trainer.records import dataclass

if TYPE_CHECKING:
    from trainer.commands.instrument import Instrument
    from trainer.commands.page import Numerals
    from trainer.commands.stretch import Stretch
    from trainer.voicing.patterns import BassFeel, Comping, TimeKeeping
    from trainer.voicing.styles import Style

What = Literal["chart", "route", "tonics", "guide-tones", "bass", "keys", "readings"]
"""What of a tune is played: route and tonics tell its key centers by a cadence or by the chord of rest."""
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
    explain: "Stretch | None" = None
    """A stretch to tell everything about."""
    compare: bool = False
    """Where two readings differ: without and with the pins, or of two charts."""
    instrument: "Instrument | None" = None
    """Whose pitch is shown; None is as the settings say."""
    numerals: "Numerals | None" = None
    """How numerals are written; None is as the settings say."""


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
    swing: bool | None = None
    """Eighths long and short, or even; None is the chart's own."""
    ratio: Fraction | None = None
    """Long to short of a pair of eighths."""
    style: "Style | None" = None
    """Here and below None is as the settings say."""
    comping: "Comping | None" = None
    bass: "BassFeel | None" = None
    time: "TimeKeeping | Literal['none'] | None" = None
    rise: int = 0
    """Half steps that each chorus lies above the one before."""
    pins: tuple[str, ...] = ()
    """`9=Bb`, as for `analyze`."""
    hands: bool | None = None
    """A little uneven, as people play."""
    room: float | None = None
    """How much of a room is around it, from 0 to 1."""
    loop: bool = False
    """Round and round until it is stopped."""
    quiet: bool = False
    """No line as each section and key center comes."""


@dataclass(frozen=True, slots=True)
class TunesAddOptions:
    """What `tunes add` was asked for."""

    files: tuple[str, ...]
    replace: bool = False
    """A chart takes the place of a kept one of its title."""
    learn: bool = False
    """Mark them as tunes to learn."""


@dataclass(frozen=True, slots=True)
class RepertoireOptions:
    """What `repertoire` was asked for."""

    files: tuple[str, ...]
    form: Literal["text", "json", "csv"] = "text"
    processes: int | None = None
    """How many work side by side; None is as many as help."""


@dataclass(frozen=True, slots=True)
class ExerciseOptions:
    """What `exercise open` and `exercise results` were asked for."""

    file: str
    plain: bool = False
    name: str = ""
    """The student's; empty is not given."""
    results: Path | None = None
    """Where results are written as they come."""
    again: bool = False
    """Begin anew, whatever was answered before."""
    yes: bool = False
    """Write over another file of that name."""
    name_needed: bool = False
    """Results are asked for, wherever they go."""


@dataclass(frozen=True, slots=True)
class GatherOptions:
    """What `exercise gather` was asked for."""

    files: tuple[str, ...]
    form: Literal["text", "json", "csv"] = "text"
