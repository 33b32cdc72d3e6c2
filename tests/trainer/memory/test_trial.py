"""Trials and the practice day they belong to."""

from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.memory.made import MONDAY, trial
from trainer.memory.trial import Heard, Outcome, PracticeDays, TrialError, day_of, practice_day, with_id


@pytest.mark.parametrize(
    ("expected", "local"),
    [
        (date(2027, 2, 28), datetime(2027, 3, 1, 3, 59, 59, tzinfo=UTC)),
        (date(2027, 3, 1), datetime(2027, 3, 1, 4, 0, tzinfo=UTC)),
        (date(2027, 3, 1), datetime(2027, 3, 1, 23, 59, tzinfo=UTC)),
        (date(2027, 3, 1), datetime(2027, 3, 2, 0, 30, tzinfo=UTC)),
        (date(2026, 12, 31), datetime(2027, 1, 1, 1, 0, tzinfo=UTC)),
    ],
)  # fmt: skip
@pytest.mark.parametrize("offset", [0, 60, -480, 330, 765, -720])
def test_a_practice_day_ends_at_four_in_the_morning(expected: date, local: datetime, offset: int) -> None:
    """Whatever the offset from UTC, the local clock decides, and the small hours belong to the day before."""
    at_utc = local - timedelta(minutes=offset)
    assert expected == practice_day(at_utc, offset)


@pytest.mark.parametrize(("expected", "hour"), [(date(2027, 3, 1), 0), (date(2027, 2, 28), 6)])
def test_the_hour_at_which_the_day_ends_can_be_set(expected: date, hour: int) -> None:
    """At five in the morning a day that ends at midnight has begun; one that ends at six has not."""
    assert expected == practice_day(datetime(2027, 3, 1, 5, tzinfo=UTC), 0, hour)


@pytest.mark.parametrize(
    "zone", ["Europe/Lisbon", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu"]
)
@pytest.mark.parametrize(
    "night", [date(2027, 3, 14), date(2027, 3, 28), date(2027, 10, 31), date(2027, 11, 7)]
)
def test_a_change_of_the_clocks_moves_no_trial_to_another_day(zone: str, night: date) -> None:
    """In nights when the clocks change (IANA time zones), every hour from four to four belongs to one day."""
    place = ZoneInfo(zone)
    start = datetime(night.year, night.month, night.day, 4, tzinfo=place).astimezone(UTC)
    tomorrow = night + timedelta(days=1)
    end = datetime(tomorrow.year, tomorrow.month, tomorrow.day, 4, tzinfo=place).astimezone(UTC)
    moment = start
    while moment < end:
        offset = moment.astimezone(place).utcoffset()
        assert offset is not None
        assert night == practice_day(moment, int(offset.total_seconds() // 60))
        moment += timedelta(minutes=30)


@given(
    moment=st.integers(6 * 10**8, 4 * 10**9).map(lambda seconds: datetime.fromtimestamp(seconds, UTC)),
    offset=st.integers(-14 * 60, 14 * 60),
    minutes=st.integers(0, 24 * 60 - 1),
)
def test_days_follow_one_another(moment: datetime, offset: int, minutes: int) -> None:
    """A moment less than a day later is on the same practice day or the next."""
    first = practice_day(moment, offset)
    later = practice_day(moment + timedelta(minutes=minutes), offset)
    assert first <= later <= first + timedelta(days=1)


@pytest.mark.parametrize(
    ("told", "values"),
    [
        ("UTC", {"at_utc": MONDAY.replace(tzinfo=None)}),
        ("UTC", {"at_utc": MONDAY.astimezone(ZoneInfo("Asia/Kathmandu"))}),
        ("year", {"at_utc": MONDAY.replace(year=9999)}),
        ("offset", {"utc_offset_minutes": 2000}),
        ("unit", {"unit": ""}),
        ("rung", {"rung": 7}),
        ("rung", {"rung": 0}),
        ("credit", {"credit": 1.5}),
        ("credit", {"credit": float("nan")}),
        ("guessing", {"guess_chance": 1.0}),
        ("times", {"answer_s": -1.0}),
        ("times", {"sound_s": float("inf")}),
        ("seed", {"seed": 2**63}),
    ],
)  # fmt: skip
def test_a_trial_that_makes_no_sense_is_refused(told: str, values: dict[str, Any]) -> None:
    """A value out of range is named when the trial is made, before it reaches the log for good."""
    with pytest.raises(TrialError, match=told):
        trial(**values)


@given(
    moments=st.lists(
        st.tuples(st.integers(0, 6 * 24 * 60), st.sampled_from([-720, -300, 0, 60, 345, 765])), min_size=1, max_size=40
    ),
    hour=st.integers(0, 12),
)
def test_days_one_after_the_other_are_those_of_each(moments: list[tuple[int, int]], hour: int) -> None:
    """Whatever moments and offsets follow one another, each trial has the day that it has by itself."""
    days = PracticeDays(hour)
    for minutes, offset in moments:
        one = trial(timedelta(minutes=minutes), utc_offset_minutes=offset)
        assert day_of(one, hour) == days.of(one)


def test_what_is_read_by_the_hundred_thousand_has_the_fields_of_an_outcome() -> None:
    """Both forms of an outcome have the same fields in the same order."""
    assert tuple(field.name for field in fields(Outcome)) == Heard._fields


def test_a_trial_in_its_place_is_the_same_but_for_the_number() -> None:
    """A stored trial differs from the one that was handed over in its number alone."""
    one = trial(helps=("again",), taken_for="backdoor")
    assert replace(one, id=12) == with_id(one, 12)
    assert 0 == one.id
