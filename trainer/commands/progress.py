"""`keyfarer progress`: how far each cadence type is, what is due today and why, what is confused.

Looked at often, so it loads the store and nothing of the trainer beside it; types go by their ids.
"""

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

import click

from trainer import places
from trainer.commands.player import open_memory, player_settings, practice_day_of
from trainer.commands.words import counted, table, width, wrapped

if TYPE_CHECKING:  # who has no store yet need not wait for it
    from trainer.memory.progress import UnitProgress
    from trainer.memory.store import Store

HEADS = ("type", "chance", "rung", "right", "answer", "rests", "due")
LEGEND = (
    "chance: of hearing it today, on its rung of six; right: of the newest answers, with part credit; "
    "answer: the middle time from the start of the sound; rests: days from one review to the next."
)
NOTHING_YET = (
    "Nothing practised yet: your progress begins with the first answer.",
    "Begin with `keyfarer`, or `keyfarer drill --plain` for lines of text.",
    "`keyfarer types` lists the cadence types there are to hear.",
)
Form = Literal["text", "json", "csv"]
Confusion = tuple[str, str, int, bool]
"""A unit, what it was taken for, how often, and whether that is more than chance would have it."""


def run_progress(form: Form, now: datetime) -> int:
    """Print the progress of the practice day that `now` belongs to. Raises SettingsError, StoreError."""
    settings = player_settings()
    day = practice_day_of(now, settings)
    path = places.memory_file()
    if not path.exists() and form == "text":
        _echo(NOTHING_YET)
        return 0
    if not path.exists():
        _echo((_data((), (), day, form),))
        return 0
    from trainer.memory.progress import progress

    with open_memory(settings, path) as store:
        store.refresh()
        rows = progress(store, day)
        confusions = _confusions(store, rows)
    if form != "text":
        _echo((_data(rows, confusions, day, form),))
    elif not rows:
        _echo(NOTHING_YET)
    else:
        _echo(told_progress(rows, confusions, day, width()))
    return 0


def _echo(lines: Sequence[str]) -> None:
    click.echo("\n".join(lines))


def _data(rows: "Sequence[UnitProgress]", confusions: Sequence[Confusion], day: date, form: str) -> str:
    from trainer.memory.progress import progress_csv, progress_json

    if form == "csv":
        return progress_csv(rows).replace("\r\n", "\n").rstrip("\n")
    import json

    values = json.loads(progress_json(rows, day))
    values["confusions"] = [
        {"unit": unit, "taken_for": other, "times": times, "stands_out": stands_out}
        for unit, other, times, stands_out in confusions
    ]
    return json.dumps(values)


def _confusions(store: "Store", rows: "Sequence[UnitProgress]") -> tuple[Confusion, ...]:
    found = store.confusions()
    if not found:
        return ()
    from trainer.memory.confusion import persistent

    others = max(len({unit for pair in found for unit in pair[:2]} | {row.unit for row in rows}) - 1, 0)
    standing_out = set(persistent(found, {row.unit: row.trials for row in rows}, others))
    marked = [(unit, other, times, (unit, other) in standing_out) for unit, other, times in found]
    return tuple(sorted(marked, key=lambda one: not one[3]))


def told_progress(
    rows: "Sequence[UnitProgress]", confusions: Sequence[Confusion], day: date, columns: int
) -> list[str]:
    """What is due today, a line for each type, and the confusions."""
    due = [(row.unit, why) for row in rows if (why := why_today(row, day))]
    lines = [f"Practice day {day.isoformat()}", ""]
    if due:
        lines += [f"Due today: {counted(len(due), 'type')}", *table(due, columns, "  ")]
    else:
        lines += ["Due today: nothing; what you know rests. New types may come all the same."]
    lines += ["", *_columns(rows, day, columns), "", *wrapped(LEGEND, columns)]
    if confusions:
        told = [
            (unit, f"for {other}, {'once' if times == 1 else f'{times} times'}{', more than by chance' * more}")
            for unit, other, times, more in confusions
        ]
        lines += ["", "Taken for another", *table(told, columns, "  ")]
    return lines


def why_today(row: "UnitProgress", day: date) -> str | None:
    """Why a unit is to be heard on a day; None where it may rest, or was heard that day."""
    if row.last_day is None or row.last_day >= day:
        return None
    days = (day - row.last_day).days
    if row.status.name == "LEARNING":
        return "being learned, last heard yesterday" if days == 1 else f"being learned, not heard for {days} days"
    if row.due_day is not None and row.due_day <= day:
        return f"due after resting {counted(days, 'day')}"
    return None


def _columns(rows: "Sequence[UnitProgress]", day: date, columns: int) -> list[str]:
    cells = [HEADS, *(_cells(row, day) for row in rows)]
    wide = [max(len(row[n]) for row in cells) for n in range(len(HEADS))]
    gap = "  " if sum(wide) + 2 * (len(wide) - 1) <= columns else " "
    return [
        gap.join((row[0].ljust(wide[0]), *(cell.rjust(w) for cell, w in zip(row[1:], wide[1:], strict=True))))
        for row in cells
    ]


def _cells(row: "UnitProgress", day: date) -> tuple[str, ...]:
    return (
        row.unit,
        f"{row.chance.p:.0%}",
        str(row.rung),
        "-" if row.accuracy is None else f"{row.accuracy:.0%}",
        "-" if row.median_answer_s is None else f"{row.median_answer_s:.1f} s",
        "-" if row.interval_days is None else f"{row.interval_days} d",
        _due(row.due_day, day),
    )


def _due(due: date | None, day: date) -> str:
    if due is None:
        return "-"
    days = (due - day).days
    if days == 0:
        return "today"
    return f"in {days} d" if days > 0 else f"{-days} d ago"
