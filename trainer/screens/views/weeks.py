"""The last weeks from Monday to Sunday with the minutes of each day, and how each week went."""

from datetime import date, timedelta

from trainer.memory.seen import Week
from trainer.memory.share import FEW
from trainer.practice.progress_words import DAY_NAMES, day_minutes, days_of, minutes_of, share_word, week_went
from trainer.records import dataclass
from trainer.screens.views.view import WIDE, Shown, View
from trainer.screens.widgets.sheet import Cell, Head, Table

LAST_WEEKS = 26
"""So many weeks are shown, as far as there is practice."""
NOTHING = "·"
"""A day without practice."""
LEGEND = "Minutes a day with short pauses. Dot: no practice. Heard: above guessing."


@dataclass(frozen=True, slots=True)
class WeekRow:
    """One week, practised or not."""

    monday: date
    minutes: tuple[int | None, ...]
    """From Monday on as far as it has come; None without practice."""
    week: Week | None
    """None without practice."""


def rows(shown: Shown) -> tuple[WeekRow, ...]:
    """Every week from the first practised one of those read to this one, this one first."""
    seen = shown.seen
    if not seen.weeks:
        return ()
    by_monday = {week.monday: week for week in seen.weeks}
    minutes = {one.day: minutes_of(one.seconds) for one in seen.days}
    monday = max(seen.day - timedelta(days=seen.day.weekday()), max(by_monday))
    found = []
    while monday >= min(by_monday):
        days = [monday + timedelta(days=n) for n in range(7)]
        found.append(
            WeekRow(monday, tuple(minutes.get(day) for day in days if day <= seen.day), by_monday.get(monday))
        )
        monday -= timedelta(days=7)
    return tuple(found)


def sum_of(shown: Shown) -> str:
    """What this week came to."""
    found = rows(shown)
    if not found:
        return f"No practice in the last {LAST_WEEKS} weeks."
    practised = [minutes for minutes in found[0].minutes if minutes is not None]
    if not practised:
        return "No practice this week."
    days = "1 day" if len(practised) == 1 else f"{len(practised)} days"
    total = "1 minute" if sum(practised) == 1 else f"{sum(practised)} minutes"
    return f"{total} this week, on {days}."


def table(shown: Shown, width: int) -> Table:
    """A row a week."""
    wide = width >= WIDE
    heads = [Head("week of"), *(Head(name, right=True) for name in DAY_NAMES), Head("in all", right=True)]
    heads += [Head("answers", right=True), Head("heard", right=True)]
    heads += [Head("answer comes", right=True)] * wide
    return Table(tuple(heads), tuple(cells(row, wide) for row in rows(shown)))


def cells(row: WeekRow, wide: bool) -> tuple[Cell, ...]:
    """One week's row."""
    days: list[Cell] = [(NOTHING, "$quiet") if minutes is None else f"{minutes}" for minutes in row.minutes]
    days += [""] * (len(DAY_NAMES) - len(days))
    total = sum(minutes or 0 for minutes in row.minutes)
    told: list[Cell] = [row.monday.isoformat(), *days, f"{total}" if row.week else ""]
    went = None if row.week is None else row.week.counted
    if went is None:
        return (*told, "", "", *[""] * wide)
    told += [f"{went.answers}", "few" if went.answers < FEW else share_word(went.above_guessing)]
    if wide:
        after = went.after_s
        told.append("" if after is None else f"{abs(after):.1f} s {'after' if after >= 0 else 'early'}")
    return tuple(told)


def about(shown: Shown, at: int) -> str:
    """How one week went."""
    row = rows(shown)[at]
    if row.week is None:
        return f"Week of {row.monday.isoformat()}: no practice."
    minutes = day_minutes(days_of(row.week, shown.seen.days))
    listed = f"{', '.join(minutes[:-1])} and {minutes[-1]}" if len(minutes) > 1 else "".join(minutes)
    return f"Week of {row.monday.isoformat()}: {listed} minutes; {week_went(row.week)}."


def units(shown: Shown) -> tuple[str, ...]:
    """Weeks are of all types."""
    return ()


VIEW = View("weeks", sum_of, LEGEND, table, about, units)
