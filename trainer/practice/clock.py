"""The clock that a session reads: the only one, passed in."""

import time
from datetime import UTC, date, datetime
from typing import Protocol

from trainer.memory.trial import practice_day


class Clock(Protocol):
    """What time it is, for the log and for measuring answers."""

    def now_utc(self) -> datetime:
        """The moment, in UTC."""

    def utc_offset_minutes(self) -> int:
        """The player's clock minus UTC, now."""

    def monotonic_s(self) -> float:
        """Seconds that only ever grow."""


class SystemClock:
    """The computer's clock."""

    def now_utc(self) -> datetime:
        """The moment, in UTC."""
        return datetime.now(UTC)

    def utc_offset_minutes(self) -> int:
        """The local offset from UTC, now."""
        offset = datetime.now().astimezone().utcoffset()
        return 0 if offset is None else round(offset.total_seconds() / 60)

    def monotonic_s(self) -> float:
        """Seconds that only ever grow."""
        return time.monotonic()


def today(clock: Clock, day_ends_hour: int) -> date:
    """The practice day it is now."""
    return practice_day(clock.now_utc(), clock.utc_offset_minutes(), day_ends_hour)
