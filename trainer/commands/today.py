"""The bare command where there is no terminal: today's plan, and how to start."""

import click

from trainer import places
from trainer.commands.player import open_memory, player_settings
from trainer.commands.words import counted, table, width, wrapped
from trainer.memory.plan import Plan
from trainer.practice.clock import Clock, SystemClock
from trainer.practice.own_tunes import own_tunes
from trainer.practice.today import todays
from trainer.practice.words import name_of

HOW_TO_START = (
    ("keyfarer", "in a terminal: the trainer with its screens"),
    ("keyfarer drill --plain", "the same session in lines of text"),
    ("keyfarer analyze FILE", "where a tune goes, with reasons"),
    ("keyfarer --help", "everything else"),
)


def print_today(clock: Clock | None = None) -> int:
    """Print the plan of the practice day that it is. Raises SettingsError, StoreError."""
    settings = player_settings()
    own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    with open_memory(settings, places.memory_file()) as store:
        plan = todays(store, settings, clock or SystemClock(), own=own)
    columns = width()
    lines = [*told_plan(plan, columns), "", "To start", *table(HOW_TO_START, columns, "  ")]
    click.echo("\n".join(lines))
    return 0


def told_plan(plan: Plan, columns: int) -> list[str]:
    """The plan as lines: a line for each type with the reason it is asked."""
    if plan.items:
        minutes = max(1, round(plan.seconds / 60))
        lines = [f"Today: {counted(len(plan.items), 'question')}, about {counted(minutes, 'minute')}."]
    else:
        lines = ["Today: nothing is left to do."]
    rows = []
    for unit in dict.fromkeys(item.unit for item in plan.items):
        items = [item for item in plan.items if item.unit == unit]
        rows.append((counted(len(items), "time"), f"{name_of(unit)}: {items[0].why}"))
    lines += table(rows, columns, "  ")
    if plan.new_held_back:
        lines += wrapped(f"No new type today: {plan.new_held_back}.", columns)
    return lines
