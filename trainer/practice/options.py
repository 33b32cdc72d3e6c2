"""What a session was asked for, as values."""

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
