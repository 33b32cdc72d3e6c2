"""The clock that a session reads: the only one, passed in."""

import time
from datetime import UTC, date, datetime, timedelta
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


AHEAD = timedelta(minutes=10)
"""How far clocks of two computers may differ before it is worth a word."""


def clock_remark(newest_at: datetime | None, now_utc: datetime) -> str | None:
    """What to say where an answer was logged later than it is now; None where time goes on as it should.

    Nothing is lost by it: answers count in the order of their moments, whenever they were logged.
    """
    if newest_at is None or newest_at - now_utc <= AHEAD:
        return None
    hours = (newest_at - now_utc) / timedelta(hours=1)
    ahead = f"{round(hours / 24)} days" if hours >= 36 else f"{max(1, round(hours))} h"
    return (
        f"the newest answer is of {newest_at:%Y-%m-%d %H:%M} UTC, {ahead} later than this computer's clock; "
        "set the clock if it is wrong. Every answer is kept and counts on the day of its own time"
    )
