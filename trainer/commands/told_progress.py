"""The whole progress in words: what is due and why, a line for each type, confusions, weeks, what is new in the ear."""

from collections.abc import Sequence
from datetime import date

from trainer.commands.words import counted, joined, table, wrapped
from trainer.memory.progress import UnitProgress, why_today
from trainer.memory.progress_tables import Confused
from trainer.practice.over_time import Seen
from trainer.practice.progress_words import day_minutes, days_of, due_in, how_often, week_went

HEADS = ("type", "chance", "rung", "right", "answer", "rests", "due")
LEGEND = (
    "chance: of hearing it today, on its rung of six; right: of the newest answers, with part credit; "
    "answer: the middle time from the start of the sound; rests: days from one review to the next."
)
MORE = (
    "`keyfarer progress TYPE` tells all about one type; `--what` keys, voicings, tempi, drills, confusions, days, "
    "weeks, firsts or tunes shows one table, with --csv or --json too."
)
WEEKS_SHOWN = 6
CONFUSIONS_SHOWN = 12
NEW_FOR_DAYS = 60
"""So long a first is news."""


def told_progress(seen: Seen, columns: int) -> list[str]:
    """All of it as lines."""
    rows, day = seen.rows, seen.day
    due = [(row.unit, why) for row in rows if (why := why_today(row, day))]
    lines = [f"Practice day {day.isoformat()}", ""]
    if due:
        lines += [f"Due today: {counted(len(due), 'type')}", *table(due, columns, "  ")]
    else:
        lines += ["Due today: nothing; what you know rests. New types may come all the same."]
    lines += ["", *_columns(rows, day, columns), "", *wrapped(LEGEND, columns)]
    for block in (told_confusions(seen.confusions, columns), told_weeks(seen, columns), _firsts(rows, day, columns)):
        if block:
            lines += ["", *block]
    return [*lines, "", *wrapped(MORE, columns)]


def told_confusions(confusions: Sequence[Confused], columns: int) -> list[str]:
    """A line for each pair that was confused."""
    if not confusions:
        return []
    told = [(one.pair.unit, f"for {one.pair.taken_for}, {how_often(one)}") for one in confusions[:CONFUSIONS_SHOWN]]
    lines = ["Taken for another", *table(told, columns, "  ")]
    if len(confusions) > CONFUSIONS_SHOWN:
        lines.append(f"  and {len(confusions) - CONFUSIONS_SHOWN} more: `keyfarer progress --what confusions`")
    return lines


def told_weeks(seen: Seen, columns: int) -> list[str]:
    """A line for each week in which there was practice: minutes a day, then how it went."""
    lines = []
    for week in reversed(seen.weeks):
        minutes = joined(day_minutes(days_of(week, seen.days)))
        told = f"week of {week.monday.isoformat()}: {minutes} minutes; {week_went(week)}"
        lines += wrapped(told, columns, "  ", "    ")
    return ["Practised", *lines] if lines else []


def _firsts(rows: Sequence[UnitProgress], day: date, columns: int) -> list[str]:
    """What the answers of the last weeks have first shown."""
    new = sorted(
        (row.shown_day, row.unit) for row in rows if row.shown_day and 0 <= (day - row.shown_day).days <= NEW_FOR_DAYS
    )
    if not new:
        return []
    return [
        "First heard reliably on the top rung",
        *table([(when.isoformat(), unit) for when, unit in new], columns, "  "),
    ]


def _columns(rows: Sequence[UnitProgress], day: date, columns: int) -> list[str]:
    cells = [HEADS, *(_cells(row, day) for row in rows)]
    wide = [max(len(row[n]) for row in cells) for n in range(len(HEADS))]
    gap = "  " if sum(wide) + 2 * (len(wide) - 1) <= columns else " "
    return [
        gap.join((row[0].ljust(wide[0]), *(cell.rjust(w) for cell, w in zip(row[1:], wide[1:], strict=True))))
        for row in cells
    ]


def _cells(row: UnitProgress, day: date) -> tuple[str, ...]:
    return (
        row.unit,
        f"{row.chance.p:.0%}",
        str(row.rung),
        "-" if row.accuracy is None else f"{row.accuracy:.0%}",
        "-" if row.median_answer_s is None else f"{row.median_answer_s:.1f} s",
        "-" if row.interval_days is None else f"{row.interval_days} d",
        due_in(row.due_day, day),
    )
