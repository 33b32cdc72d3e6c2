"""What the tests of a session need: a clock that is set by hand, a sound that remembers, a store in a folder."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from trainer.drills.material import TuneMaterial
from trainer.memory.chance import start
from trainer.memory.store import Store, open_store
from trainer.practice.items import Items, fixed
from trainer.practice.session import Session
from trainer.voicing.sheet import Performance


class HandClock:
    """A clock that moves only when it is told to."""

    def __init__(self, at: datetime = datetime(2026, 3, 14, 18, 0, tzinfo=UTC), offset: int = 60) -> None:
        self.at = at
        self.offset = offset
        self.ticks = 100.0

    def now_utc(self) -> datetime:
        """The moment."""
        return self.at

    def utc_offset_minutes(self) -> int:
        """The offset."""
        return self.offset

    def monotonic_s(self) -> float:
        """Seconds."""
        return self.ticks

    def passes(self, seconds: float) -> None:
        """Let time pass."""
        self.at += timedelta(seconds=seconds)
        self.ticks += seconds


class Remembering:
    """A sound that is remembered in place of being played."""

    def __init__(self) -> None:
        self.played: list[Performance] = []
        self.prepared: list[Performance] = []
        self.tunes: list[Performance] = []
        self.stopped = 0
        self.closed = False
        self.remark: str | None = None

    def prepare(self, performance: Performance) -> None:
        """Remember that too."""
        self.prepared.append(performance)

    def play(self, performance: Performance) -> None:
        """Remember it."""
        self.played.append(performance)

    def play_tune(self, performance: Performance, room: float = 0.0) -> None:
        """Remember it among the tunes."""
        self.tunes.append(performance)

    def wait(self, timeout_s: float | None = None) -> bool:
        """It is over at once."""
        return True

    def stop(self) -> None:
        """Count it."""
        self.stopped += 1

    def close(self) -> None:
        """Remember that."""
        self.closed = True


def no_tunes() -> Sequence[TuneMaterial]:
    """No tunes: phrases come from the table."""
    return ()


def session_in(
    folder: Path,
    types: tuple[str, ...] = ("major-two-five-one",),
    kinds: tuple[str, ...] = ("name-functions", "catch-interruption"),
    rung: int = 3,
    count: int = 3,
    items: Items | None = None,
    seconds: float | None = None,
) -> tuple[Session, Store, HandClock, Remembering]:
    """A session over a new store in a folder."""
    store = open_store(folder / "memory.db")
    clock, sound = HandClock(), Remembering()
    chosen = items or fixed(types, kinds, rung, count, start(), Random(1))
    session = Session(store, chosen, sound, clock, Random(7), no_tunes, seconds, id="a session")
    return session, store, clock, sound
