"""Today's plan, from the store, the course and the settings."""

from random import Random

from trainer.memory.plan import Plan, todays_plan
from trainer.memory.schedule import Settings as MemorySettings
from trainer.memory.store import Store
from trainer.practice.clock import Clock, today
from trainer.practice.course import shipped_course, units
from trainer.practice.items import FromPlan, Items, fixed
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


SECONDS_A_QUESTION = 28.0
"""What a question takes with listening, answering and reading, where nothing is planned: an estimate of ours."""


def todays_items(
    store: Store, settings: Settings, clock: Clock, rng: Random, minutes: float | None = None
) -> tuple[Items, Plan]:
    """What a session of this day asks: the plan; where nothing is left of it, more of what was met, if wanted."""
    plan = todays(store, settings, clock, minutes)
    if plan.items:
        return FromPlan(plan), plan
    model = store.model()
    met = [unit for unit in shipped_course().order if unit in model.met]
    wanted = settings.minutes if minutes is None else minutes
    count = max(1, int(60 * wanted / SECONDS_A_QUESTION))
    return fixed(met, (), None, count, model, rng), plan
