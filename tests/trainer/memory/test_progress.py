"""The rows the player sees of each unit, and their CSV and JSON."""

import csv
import io
import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.trainer.memory.made import KEYS, MONDAY, trial
from trainer.memory.progress import COLUMNS, UnitProgress, csv_text, progress, progress_json, progress_values
from trainer.memory.store import Store, open_store
from trainer.memory.unit import Status

DAY = date(2027, 3, 12)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """A store with a unit known by ear, one being learned and one called a slip only."""
    store = open_store(tmp_path / "memory.db")
    for number in range(60):
        after = timedelta(days=number // 6, minutes=number)
        store.append(trial(after, unit="backdoor", rung=6, key=KEYS[number % 12], answer_s=9.0))
    store.append(trial(timedelta(days=9), unit="turnaround", rung=2, credit=0.5, answer_s=20.0))
    store.append(
        trial(timedelta(days=9, minutes=1), unit="turnaround", kind="name-cadence", rung=1, answer_s=30.0)
    )
    slip = store.append(trial(timedelta(days=9), unit="plagal"))
    store.slip(slip.id, MONDAY + timedelta(days=9))
    store.refresh()
    return store


def row_of(store: Store, unit: str, **values: dict[str, tuple[str, ...]]) -> UnitProgress:
    """One unit's row."""
    return next(row for row in progress(store, DAY, **values) if row.unit == unit)


def test_a_row_sums_up_the_log(store: Store) -> None:
    """Trials, accuracy, answer time, rung and last day are those of the log, slips left out."""
    row = row_of(store, "turnaround")
    expected = (2, 0.75, 25.0, 1, date(2027, 3, 10), Status.LEARNING)
    assert expected == (row.trials, row.accuracy, row.median_answer_s, row.rung, row.last_day, row.status)
    assert (row.due_day, row.interval_days) == (
        store.reviews()["turnaround"].due_day, store.reviews()["turnaround"].interval_days
    )  # fmt: skip
    assert 0 < row.chance.low < row.chance.p < row.chance.high < 1
    assert row.chance_on_top < row.chance.p


def test_a_known_unit_shows_as_known(store: Store) -> None:
    """Sixty right answers on the top rung in all keys are known by ear."""
    row = row_of(store, "backdoor")
    assert (Status.KNOWN, 6, 60, 1.0) == (row.status, row.rung, row.trials, row.accuracy)
    assert row.chance_on_top > 0.9


def test_a_kind_that_opens_makes_a_unit_one_to_learn(store: Store) -> None:
    """With a kind of drill open that was never asked, nothing is known yet."""
    row = row_of(store, "backdoor", kinds={"backdoor": ("name-functions", "finish-it")})
    assert Status.LEARNING is row.status


def test_units_named_but_never_asked_have_a_row(store: Store) -> None:
    """A unit of the course that was not asked yet shows as not yet met, with what is not known left open."""
    row = row_of(store, "minor-plagal", kinds={"minor-plagal": ("name-functions",)})
    assert Status.NEW is row.status
    assert (None, None, None, None, None) == (
        row.due_day, row.interval_days, row.accuracy, row.median_answer_s, row.last_day
    )  # fmt: skip
    assert 0 == row.trials


def test_what_falls_due_first_comes_first(store: Store) -> None:
    """Rows are in the order of their due days, those without at the end."""
    days = [row.due_day for row in progress(store, DAY, {"minor-plagal": ("name-functions",)})]
    assert days == sorted(days, key=lambda day: day or date.max)
    assert days[-1] is None


def test_an_empty_store_has_no_rows(tmp_path: Path) -> None:
    """Before the first trial there is nothing to see, and that is no fault."""
    with open_store(tmp_path / "empty.db") as empty:
        assert () == progress(empty, DAY)
        assert '{"schema": "keyfarer/progress/1", "day": "2027-03-12", "units": []}' == progress_json((), DAY)


def test_rows_go_out_as_json_and_csv(store: Store) -> None:
    """Both forms hold the same rows under the same names; the CSV ends its lines as RFC 4180 has it."""
    rows = progress(store, DAY, {"a unit, oddly named": ("name-functions",)})
    from_json = json.loads(progress_json(rows, DAY))
    text = csv_text(COLUMNS, (progress_values(row, DAY) for row in rows))
    from_csv = list(csv.DictReader(io.StringIO(text, newline="")))
    assert "keyfarer/progress/1" == from_json["schema"]
    assert ",".join(COLUMNS) + "\r\n" == text.splitlines(keepends=True)[0]
    assert [row.unit for row in rows] == [row["unit"] for row in from_csv]
    for one, other in zip(from_json["units"], from_csv, strict=True):
        assert list(COLUMNS) == list(one)
        assert {name: "" if value is None else str(value) for name, value in one.items()} == other
