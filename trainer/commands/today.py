"""The bare command where there is no terminal: today's plan, and how to start."""

import click

from trainer import places
from trainer.commands.player import open_memory, player_settings
from trainer.commands.words import counted, joined, table, width, wrapped
from trainer.memory.plan import Plan
from trainer.memory.seen import PracticeDay, practice_days
from trainer.practice.clock import Clock, SystemClock
from trainer.practice.own_tunes import own_tunes
from trainer.practice.progress_words import heard, minutes_of
from trainer.practice.today import todays
from trainer.practice.words import name_of

HOW_TO_START = (
    ("keyfarer", "in a terminal: the trainer with its screens"),
    ("keyfarer drill --plain", "the same session in lines of text"),
    ("keyfarer analyze FILE", "where a tune goes, with reasons"),
    ("keyfarer words WORD", "what a type or another word means"),
    ("keyfarer --help", "everything else"),
)


def print_today(clock: Clock | None = None) -> int:
    """Print the plan of the practice day that it is. Raises SettingsError, StoreError."""
    settings = player_settings()
    own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    with open_memory(settings, places.memory_file()) as store:
        plan = todays(store, settings, clock or SystemClock(), own=own)
        done = next((one for one in practice_days(store, plan.day) if one.day == plan.day), None)
    columns = width()
    lines = [*told_plan(plan, columns, done), "", "To start", *table(HOW_TO_START, columns, "  ")]
    click.echo("\n".join(lines))
    return 0


def told_plan(plan: Plan, columns: int, done: PracticeDay | None = None) -> list[str]:
    """The plan as lines: a line for each type with the reason it is asked.

    done: what was practised that day already; None: nothing.
    """
    if plan.items:
        minutes = max(1, round(plan.seconds / 60))
        lines = [f"Today: {counted(len(plan.items), 'question')}, about {counted(minutes, 'minute')}."]
    else:
        lines = ["Today: nothing is left to do."]
    if done is not None:
        lines += wrapped(told_done(done), columns)
    rows = []
    for unit in dict.fromkeys(item.unit for item in plan.items):
        items = [item for item in plan.items if item.unit == unit]
        rows.append((counted(len(items), "time"), f"{name_of(unit)}: {items[0].why}"))
    lines += table(rows, columns, "  ")
    if plan.new_units:
        lines += wrapped(f"New today: {joined([name_of(unit) for unit in plan.new_units])}.", columns)
    if plan.new_held_back:
        lines += wrapped(f"No new type today: {plan.new_held_back}.", columns)
    return lines


def told_done(done: PracticeDay) -> str:
    """What was practised on a day, in a sentence."""
    went = done.counted
    told = f"Done today: {counted(went.answers, 'answer')} in {counted(minutes_of(done.seconds), 'minute')}"
    return f"{told}, {went.exact} right; {heard(went.above_guessing, went.answers)}."
