"""Today's plan, from the store, the course and the settings."""

from random import Random

from trainer.memory.plan import Plan, todays_plan
from trainer.memory.schedule import Settings as MemorySettings
from trainer.memory.store import Store
from trainer.practice.clock import Clock, today
from trainer.practice.course import shipped_course, units
from trainer.settings import Settings


def memory_settings(settings: Settings) -> MemorySettings:
    """What the memory needs of the player's settings."""
    return MemorySettings(day_ends_hour=settings.day_ends_hour, retention=settings.wanted_recall)


def todays(store: Store, settings: Settings, clock: Clock, minutes: float | None = None) -> Plan:
    """The plan of this practice day; asked again on the same day with the same log it is the same."""
    store.refresh()
    day = today(clock, settings.day_ends_hour)
    return todays_plan(
        units(),
        store.model(),
        store.reviews(),
        shipped_course().order,
        day,
        settings.minutes if minutes is None else minutes,
        Random(f"plan {day.isoformat()}"),
        at_utc=clock.now_utc(),
    )
