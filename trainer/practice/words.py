"""Words that every skin says alike: names of types, due days, what a session came to."""

from datetime import date

from trainer.drills.units import unit_name
from trainer.practice.summary import Summary


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
    if result.tired:
        lines.append("The later answers went worse than the first: perhaps that is enough for today.")
    lines.append("Your answers are kept.")
    return lines


def due_word(due: date, today: date) -> str:
    """A due day as one says it."""
    days = (due - today).days
    if days <= 0:
        return "today"
    if days == 1:
        return "tomorrow"
    return f"in {days} days" if days < 60 else f"in {round(days / 30.4)} months"
