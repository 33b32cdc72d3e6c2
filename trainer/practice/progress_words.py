"""Words and numbers that tell progress over time, alike in the commands and on the screens.

Looked at often: nothing is loaded here beside the memory.
"""

from collections.abc import Sequence
from datetime import date

from trainer.memory.progress_tables import Confused
from trainer.memory.seen import PracticeDay, Week
from trainer.memory.share import FEW

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
TOO_FEW = "too few to tell"
"""Said of fewer than FEW answers."""


def due_in(due: date | None, day: date) -> str:
    """When a unit falls due, in short."""
    if due is None:
        return "-"
    days = (due - day).days
    if days == 0:
        return "today"
    return f"in {days} d" if days > 0 else f"{-days} d ago"


def due_when(due: date, day: date) -> str:
    """The same at full length."""
    told = due_in(due, day)
    return "today" if told == "today" else told.replace(" d", " days" if abs((due - day).days) != 1 else " day")


def how_often(one: Confused) -> str:
    """How often a pair was confused, beside chance, and when."""
    pair = one.pair
    told = "once" if pair.times == 1 else f"{pair.times} times"
    told += f", {one.share:.0%} of its answers{', more than by chance' * one.stands_out}"
    if pair.last_month == pair.first_month:
        return f"{told}; in {pair.last_month}"
    return f"{told}; since {pair.first_month}, last in {pair.last_month}"


def minutes_of(seconds: float) -> int:
    """Whole minutes, one at least."""
    return max(1, round(seconds / 60))


def heard(above_guessing: float, answers: int) -> str:
    """What was heard above guessing, in words."""
    return TOO_FEW if answers < FEW else f"{share_word(above_guessing)} heard above guessing"


def share_word(share: float) -> str:
    """A share heard, in hundredths; worse than guessing is nothing."""
    return f"{max(0.0, share):.0%}"


def after_sound(after_s: float) -> str:
    """When an answer comes, in words."""
    return f"{after_s:.1f} s after the sound" if after_s >= 0 else f"{-after_s:.1f} s before the sound's end"


def days_of(week: Week, days: Sequence[PracticeDay]) -> tuple[PracticeDay, ...]:
    """The days of a week among others."""
    return tuple(one for one in days if 0 <= (one.day - week.monday).days < 7)


def day_minutes(days: Sequence[PracticeDay]) -> list[str]:
    """How long was practised on some days of a week, "Mon 14"."""
    return [f"{DAY_NAMES[one.day.weekday()]} {minutes_of(one.seconds)}" for one in days]


def week_went(week: Week) -> str:
    """How a week's answers went."""
    went = week.counted
    answers = "1 answer" if went.answers == 1 else f"{went.answers} answers"
    told = f"{answers}, {heard(went.above_guessing, went.answers)}"
    return told if went.after_s is None else f"{told}, {after_sound(went.after_s)}"
