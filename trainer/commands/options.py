"""What the command line was asked for, as values."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DrillOptions:
    """Options of `keyfarer drill`."""

    plain: bool = False
    """Lines of text in place of the terminal app."""
    to: str | None = None
    """A folder that questions are written to in place of being asked."""
    seed: int | None = None
    count: int | None = None
    types: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    rung: int | None = None
    minutes: int | None = None

    @property
    def chooses(self) -> bool:
        """Whether the player fixed what is asked, so that today's plan is left alone."""
        return bool(self.types or self.kinds or self.rung or self.count)


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
