"""Today's plan, from the store, the course and the settings."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from random import Random

from trainer.drills.units import ROUTE
from trainer.memory.chance import Model
from trainer.memory.confusion import persistent
from trainer.memory.plan import Contrast, Plan, todays_plan
from trainer.memory.schedule import Settings as MemorySettings
from trainer.memory.seen import mistaken_lately
from trainer.memory.store import Store
from trainer.memory.unit import Unit, holds_on_top
from trainer.practice.clock import Clock, today
from trainer.practice.course import shipped_course, units
from trainer.practice.items import FromPlan, Items, fixed
from trainer.practice.own_tunes import NONE_KEPT, OwnTunes
from trainer.practice.wanted import LEARNED_BY_HEART, ordered, wanted
from trainer.settings import Settings


def memory_settings(settings: Settings) -> MemorySettings:
    """What the memory needs of the player's settings."""
    return MemorySettings(day_ends_hour=settings.day_ends_hour, retention=settings.wanted_recall)


def todays(
    store: Store, settings: Settings, clock: Clock, minutes: float | None = None, own: OwnTunes = NONE_KEPT
) -> Plan:
    """The plan of this practice day; asked again on the same day with the same log and tunes it is the same."""
    store.refresh()
    day = today(clock, settings.day_ends_hour)
    model = store.model()
    table = open_units(own, model)
    weights = wanted_now(own, table, model, clock.now_utc()) if settings.tunes_first else {}
    routes = tuple(unit for unit in table if unit.startswith(ROUTE))
    return todays_plan(
        table,
        model,
        store.reviews(),
        (*routes, *ordered(shipped_course().order, weights)),
        day,
        settings.minutes if minutes is None else minutes,
        Random(f"plan {day.isoformat()}"),
        contrasts=contrasts(store, model, table, day),
        at_utc=clock.now_utc(),
    )


SIDE_BY_SIDE = "tell-apart"
"""The kind of drill that sets two units against each other, where it is open for both."""


def contrasts(store: Store, model: Model, table: Mapping[str, Unit], day: date) -> tuple[Contrast, ...]:
    """The pairs that were taken for each other of late more often than luck would have it."""
    found = mistaken_lately(store, day)
    trials: dict[str, int] = {}
    for (unit, _), standing in model.standings.items():
        trials[unit] = trials.get(unit, 0) + standing.trials
    out = []
    for unit, other in persistent(found, trials, len(model.met) - 1):
        if unit in table and other in table:
            both = SIDE_BY_SIDE in table[unit].kinds and SIDE_BY_SIDE in table[other].kinds
            out.append(Contrast(unit, other, SIDE_BY_SIDE if both else None))
    return tuple(out)


def open_units(own: OwnTunes, model: Model) -> dict[str, Unit]:
    """What may be planned: the course, and the routes of the tunes that are being learned.

    A route comes once all that its tune is made of has been met; how surely that is heard doesn't matter then,
    for a route is first followed with help.
    """
    table = dict(units(own.routes))
    for id in [id for id in table if id.startswith(ROUTE)]:
        if id in model.met or all(before in model.met for before in table[id].after):
            table[id] = replace(table[id], after=())
        else:
            del table[id]
    return table


def heard_reliably(table: Mapping[str, Unit], model: Model, at_utc: datetime | None = None) -> frozenset[str]:
    """The units that may rest, for they hold on the top rung."""
    return frozenset(id for id in model.met if id in table and holds_on_top(model, id, table[id].kinds, at_utc))


def wanted_now(own: OwnTunes, table: Mapping[str, Unit], model: Model, at_utc: datetime) -> dict[str, float]:
    """How much each unit would help to open the player's tunes (trainer.practice.wanted)."""
    counts = ((facts.units, LEARNED_BY_HEART if id in own.index.learning else 1.0) for id, facts in own.facts.items())
    return wanted(counts, table, heard_reliably(table, model, at_utc))


SECONDS_A_QUESTION = 28.0
"""What a question takes with listening, answering and reading, where nothing is planned: an estimate of ours."""


def todays_items(
    store: Store,
    settings: Settings,
    clock: Clock,
    rng: Random,
    minutes: float | None = None,
    own: OwnTunes = NONE_KEPT,
) -> tuple[Items, Plan]:
    """What a session of this day asks: the plan; where nothing is left of it, more of what was met, if wanted."""
    plan = todays(store, settings, clock, minutes, own)
    if plan.items:
        return FromPlan(plan), plan
    model = store.model()
    met = [unit for unit in shipped_course().order if unit in model.met]
    wanted = settings.minutes if minutes is None else minutes
    count = max(1, int(60 * wanted / SECONDS_A_QUESTION))
    return fixed(met, (), None, count, model, rng), plan
