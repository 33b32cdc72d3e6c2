"""Words that every skin says alike: names of types, due days, what a session came to."""

from datetime import date

from trainer.drills.units import unit_name
from trainer.practice.summary import TIRED, Summary

NAMED = 5
"""So many types are named in one line."""


def name_of(unit: str) -> str:
    """A unit's name as players say it."""
    return unit_name(unit)


def summary_lines(result: Summary, today: date) -> list[str]:
    """The summary as lines."""
    if not result.asked:
        return ["", "Nothing was answered, nothing is counted."]
    lines = ["", f"{result.right} of {result.asked} right, {round(100 * result.credit)} of 100 heard."]
    for unit in result.units:
        when = "" if unit.due_day is None else f", back {due_word(unit.due_day, today)}"
        lines.append(f"{unit.name}: {unit.right} of {unit.asked} right{when}.")
    lines += [*went_lines(result), *tomorrow_lines(result)]
    if result.tired:
        lines.append(TIRED)
    lines.append("Your answers are kept.")
    return lines


def went_lines(result: Summary) -> list[str]:
    """What went well and what to hear again, where there is something of either."""
    lines = []
    if result.well:
        lines.append(f"Went well, all right without help: {'; '.join(unit.name for unit in result.well)}.")
    if result.again:
        told = [
            f"{unit.name} (taken for {'; '.join(unit.taken_for)})" if unit.taken_for else unit.name
            for unit in result.again
        ]
        lines.append(f"To hear again: {'; '.join(told)}.")
    return lines


def tomorrow_lines(result: Summary) -> list[str]:
    """What falls due tomorrow."""
    count = len(result.due_tomorrow)
    if not count:
        return []
    named = "; ".join(name_of(unit) for unit in result.due_tomorrow[:NAMED])
    more = f" and {count - NAMED} more" if count > NAMED else ""
    return [f"Due by tomorrow, {count} {'type' if count == 1 else 'types'}: {named}{more}."]


def due_word(due: date, today: date) -> str:
    """A due day as one says it."""
    days = (due - today).days
    if days <= 0:
        return "today"
    if days == 1:
        return "tomorrow"
    return f"in {days} days" if days < 60 else f"in {round(days / 30.4)} months"
