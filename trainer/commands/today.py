"""What `keyfarer` prints where there is no terminal: today's plan, and how to begin."""

from trainer import places, settings
from trainer.memory.plan import Plan
from trainer.memory.store import open_store
from trainer.practice.clock import SystemClock
from trainer.practice.today import memory_settings, todays
from trainer.practice.words import name_of


def print_today() -> int:
    """Print today's plan; returns the exit code. Raises KeyfarerError."""
    chosen = settings.load(places.settings_file())
    with open_store(places.memory_file(), memory_settings(chosen)) as store:
        plan = todays(store, chosen, SystemClock())
    print("\n".join(plan_lines(plan)))
    return 0


def plan_lines(plan: Plan) -> list[str]:
    """The plan as lines."""
    if not plan.items:
        return ["Nothing is due today.", "", *_begin()]
    minutes = max(1, round(plan.seconds / 60))
    lines = [f"Today: {len(plan.items)} questions, about {minutes} minutes."]
    told: dict[str, str] = {}
    for item in plan.items:
        told.setdefault(item.unit, item.why)
    lines += [f"  {name_of(unit)}: {why}" for unit, why in told.items()]
    if plan.new_held_back:
        lines.append(f"No new type today: {plan.new_held_back}.")
    return [*lines, "", *_begin()]


def _begin() -> list[str]:
    return [
        "Begin: keyfarer              in a terminal",
        "       keyfarer drill --plain  in lines of text, for screen readers and pipes",
        "Help:  keyfarer --help",
    ]
