"""What the command line was asked for, as values."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlayOptions:
    """Options of `keyfarer play`."""

    file: str
    to: str | None = None
    what: str = "chart"
    tempo: float | None = None
    key: str | None = None
    bars: str | None = None
    choruses: int = 1
    count_in: bool = True
