"""Words that tell progress over time."""

from datetime import date, timedelta

import pytest

from trainer.memory.progress_tables import Confused
from trainer.memory.seen import Counted, Mistaken, PracticeDay, Week
from trainer.practice.progress_words import (
    after_sound,
    day_minutes,
    days_of,
    due_in,
    due_when,
    heard,
    how_often,
    minutes_of,
    share_word,
    week_went,
)

MONDAY = date(2027, 3, 1)
"""The first of March 2027 is a Monday (Gregorian calendar)."""


@pytest.mark.parametrize(
    ("days", "short", "long"),
    [(0, "today", "today"), (1, "in 1 d", "in 1 day"), (12, "in 12 d", "in 12 days"), (-1, "1 d ago", "1 day ago")],
)
def test_when_a_type_falls_due(days: int, short: str, long: str) -> None:
    """Today, days ahead and days ago, in short and at full length; none before the first review."""
    assert short == due_in(MONDAY + timedelta(days=days), MONDAY)
    assert long == due_when(MONDAY + timedelta(days=days), MONDAY)
    assert "-" == due_in(None, MONDAY)


def test_how_often_a_pair_was_confused() -> None:
    """How often, the share, whether beyond chance, and when."""
    once = Confused(Mistaken("half", "plagal", 1, 1, "2027-03", "2027-03"), 0.25, 0.01, False)
    often = Confused(Mistaken("half", "plagal", 7, 1, "2026-11", "2027-03"), 0.1, 0.01, True)
    assert "once, 25% of its answers; in 2027-03" == how_often(once)
    assert "7 times, 10% of its answers, more than by chance; since 2026-11, last in 2027-03" == how_often(often)


def test_shares_and_times() -> None:
    """Worse than guessing is nothing heard, few answers tell nothing, times have a side of the sound's end."""
    assert "0%" == share_word(-0.2)
    assert "too few to tell" == heard(1.0, 5)
    assert "100% heard above guessing" == heard(1.0, 6)
    assert "2.0 s after the sound" == after_sound(2.0)
    assert "0.5 s before the sound's end" == after_sound(-0.5)
    assert [1, 1, 2] == [minutes_of(seconds) for seconds in (1, 80, 100)]


def test_a_week_has_its_own_days() -> None:
    """Of days around a week those from Monday to Sunday are its own, each with its name and minutes."""
    counted = Counted(1, 1, 1.0, 0.0, 2.0)
    days = [PracticeDay(MONDAY + timedelta(days=n), 600, 0, counted) for n in (-1, 0, 6, 7)]
    week = Week(MONDAY, counted)
    assert ["Mon 10", "Sun 10"] == day_minutes(days_of(week, days))
    assert "1 answer, too few to tell, 2.0 s after the sound" == week_went(week)
