"""The tables of the progress, against counts of the test's own from the raw log."""

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random
from statistics import median
from typing import Any

import pytest
from scipy.stats import binomtest

from tests.trainer.memory.made import KEYS, MONDAY, rows_of, trial
from tests.trainer.memory.many_trials import many_trials
from trainer.memory import derive_days, derive_newest
from trainer.memory.progress import progress
from trainer.memory.progress_tables import TABLES
from trainer.memory.seen import mistaken, mistaken_lately
from trainer.memory.store import Store, open_store
from trainer.memory.trial import Trial

TRIALS = 2500
FACETS = {"keys": ("key", "key"), "voicings": ("voicing", "voicing"), "drills": ("kind", "drill")}


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    """A store of some months with a few slips, grown in steps."""
    store = open_store(tmp_path_factory.mktemp("tables") / "memory.db")
    trials = list(many_trials(TRIALS, a_day=40, units=12))
    for first in range(0, TRIALS, 700):
        store.append_all(trials[first : first + 700])
        store.refresh()
    for slipped in (3, 400, 1999, 2500):
        store.slip(slipped, MONDAY)
    store.refresh()
    return store


@pytest.fixture(scope="module")
def log(store: Store) -> list[dict[str, Any]]:
    """The raw log without its slips, read by a connection of the test's own, with the practice day by hand."""
    connection = sqlite3.connect(store.path)
    connection.row_factory = sqlite3.Row
    found = connection.execute("SELECT * FROM trials WHERE id NOT IN (SELECT trial FROM corrections) ORDER BY id")
    rows = [dict(row) for row in found]
    connection.close()
    for row in rows:
        moment = datetime.fromisoformat(row["at_utc"])
        row["day"] = (moment + timedelta(minutes=row["utc_offset_minutes"]) - timedelta(hours=4)).date()
    return rows


@pytest.fixture(scope="module")
def last_day(log: list[dict[str, Any]]) -> date:
    """The newest practice day."""
    return max(row["day"] for row in log)


def table(store: Store, name: str, day: date, unit: str | None = None) -> list[dict[str, Any]]:
    """The rows of a table."""
    return TABLES[name].rows(store, day, unit)


def above(rows: Iterable[Mapping[str, Any]]) -> float:
    """What was heard above guessing."""
    rows = list(rows)
    guess = sum(row["guess_chance"] for row in rows)
    return float((sum(row["credit"] for row in rows) - guess) / (len(rows) - guess))


def quarter(day: date) -> str:
    """The quarter of a year."""
    return f"{day.year}-{(day.month - 1) // 3 + 1}"


def lately(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The rows of a unit's newest quarters that hold 120 of them together."""
    for since in sorted({quarter(row["day"]) for row in rows}, reverse=True):
        found = [row for row in rows if quarter(row["day"]) >= since]
        if len(found) >= 120:
            return found
    return rows


def test_types_sum_up_the_newest_answers(store: Store, log: list[dict[str, Any]], last_day: date) -> None:
    """Counts, shares with Wilson's bounds and medians are those of a unit's newest fifty trials."""
    for row in table(store, "types", last_day):
        of_unit = [one for one in log if one["unit"] == row["unit"]]
        newest = of_unit[-50:]
        assert (len(of_unit), str(newest[-1]["day"])) == (row["trials"], row["last_day"])
        assert str(min(one["day"] for one in of_unit)) == row["first_day"]
        assert median(one["answer_s"] for one in newest) == pytest.approx(row["median_answer_s"])
        assert median(one["answer_s"] - one["sound_s"] for one in newest) == pytest.approx(
            row["median_after_s"], abs=1e-4
        )
        assert above(newest) == pytest.approx(row["heard"], abs=1e-4)
        if all(one["credit"] in (0.0, 1.0) for one in newest):
            guess = sum(one["guess_chance"] for one in newest) / len(newest)
            bounds = binomtest(round(sum(one["credit"] for one in newest)), len(newest)).proportion_ci(method="wilson")
            expected = [(bound - guess) / (1 - guess) for bound in (bounds.low, bounds.high)]
            assert expected == pytest.approx([row["heard_low"], row["heard_high"]], abs=1e-4)


@pytest.mark.parametrize("name", FACETS)
def test_facets_are_those_of_the_log(store: Store, log: list[dict[str, Any]], last_day: date, name: str) -> None:
    """By key, voicing and drill: answers, share and middle time are those of the newest quarters of the log."""
    column, shown = FACETS[name]
    rows = {(row["unit"], row[shown]): row for row in table(store, name, last_day)}
    for unit in {row["unit"] for row in log}:
        found: dict[str, list[dict[str, Any]]] = defaultdict(list)
        for one in lately([row for row in log if row["unit"] == unit]):
            found[str(one[column]).removesuffix(" major")].append(one)
        assert set(found) == {value for name, value in rows if name == unit}
        for value, ones in found.items():
            row = rows[unit, value]
            assert (len(ones), sum(one["credit"] == 1.0 for one in ones)) == (row["answers"], row["right"])
            assert above(ones) == pytest.approx(row["heard"], abs=1e-4)
            assert (len(ones) < 6) == row["few"]
            ranked = sorted(min(60.0, one["answer_s"] - one["sound_s"]) for one in ones)
            widest = max(step_width(ranked[(len(ranked) - 1) // 2]), step_width(ranked[len(ranked) // 2]))
            assert median(ranked) == pytest.approx(row["median_after_s"], abs=widest + 0.01)


def step_width(after_s: float) -> float:
    """How wide the steps are that times are counted in."""
    return 0.5 if after_s < 12 else 1.0 if after_s < 30 else 5.0


def test_facets_add_up(store: Store, last_day: date) -> None:
    """A unit's answers by key, voicing, tempo and drill are the same ones, so their sums are equal."""
    sums = []
    for name in ("keys", "voicings", "tempi", "drills"):
        counts: Counter[tuple[str, str]] = Counter()
        for row in table(store, name, last_day):
            counts[row["unit"], "answers"] += row["answers"]
            counts[row["unit"], "right"] += row["right"]
        sums.append(counts)
    assert sums[0] == sums[1] == sums[2] == sums[3]


def test_the_surest_weakness_stands_first(store: Store, last_day: date) -> None:
    """Rows come in the order of the upper bound of what was heard."""
    for name in ("keys", "voicings", "tempi", "drills"):
        bounds = [row["heard_high"] for row in table(store, name, last_day)]
        assert bounds
        assert sorted(bounds) == bounds


def test_days_are_those_of_the_log(store: Store, log: list[dict[str, Any]], last_day: date) -> None:
    """Each practice day has its answers, helps and share; its minutes are the time from sounds to answers."""
    days = {row["day"]: row for row in table(store, "days", last_day)}
    by_day: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for one in log:
        by_day[str(one["day"])].append(one)
    assert set(by_day) == set(days)
    for day, ones in by_day.items():
        row = days[day]
        right = sum(one["credit"] == 1.0 for one in ones)
        helped = sum(one["helps"] != "[]" for one in ones)
        assert (len(ones), right, helped) == (row["answers"], right, row["helped"])
        assert above(ones) == pytest.approx(row["heard"], abs=1e-4)
        ends = sorted(datetime.fromisoformat(one["at_utc"]).timestamp() for one in ones)
        starts = {datetime.fromisoformat(one["at_utc"]).timestamp(): one["answer_s"] for one in ones}
        # No pause in the made log is longer than two minutes, so it is one stretch; slots are twenty seconds.
        assert (ends[-1] - ends[0] + starts[ends[0]]) / 60 == pytest.approx(row["minutes"], abs=0.7)


def test_weeks_are_the_days_put_together(store: Store, log: list[dict[str, Any]], last_day: date) -> None:
    """Weeks begin on Mondays; those of all units are those of the units together."""
    weeks = table(store, "weeks", last_day)
    expected = Counter(str(one["day"] - timedelta(days=one["day"].weekday())) for one in log)
    assert expected == {row["week"]: row["answers"] for row in weeks}
    assert all(date.fromisoformat(row["week"]).weekday() == 0 for row in weeks)
    together: Counter[str] = Counter()
    for unit in {one["unit"] for one in log}:
        together.update({row["week"]: row["answers"] for row in table(store, "weeks", last_day, unit)})
    assert expected == together


def test_confusions_are_those_of_the_log(store: Store, log: list[dict[str, Any]], last_day: date) -> None:
    """How often, since when, how often of late, and as a share of the unit's answers."""
    pairs: dict[tuple[str, str], list[date]] = defaultdict(list)
    for one in log:
        if one["taken_for"] is not None:
            pairs[one["unit"], one["taken_for"]].append(one["day"])
    answers = Counter(one["unit"] for one in log)
    since = f"{last_day - timedelta(days=90):%Y-%m}"
    rows = {(row["unit"], row["taken_for"]): row for row in table(store, "confusions", last_day)}
    assert set(pairs) == set(rows)
    for (unit, other), days in pairs.items():
        row = rows[unit, other]
        months = sorted(f"{day:%Y-%m}" for day in days)
        expected = (len(days), months[0], months[-1], sum(month >= since for month in months))
        assert expected == (row["times"], row["first_month"], row["last_month"], row["lately"])
        assert len(days) / answers[unit] == pytest.approx(row["share"], abs=1e-4)


def test_what_was_mistaken_lately_is_a_part_of_all(store: Store, last_day: date) -> None:
    """What the plan goes by is what the table of confusions has of the last three months, on any day."""
    for day in (last_day, last_day - timedelta(days=200), last_day + timedelta(days=400)):
        every = {(one.unit, one.taken_for, one.lately) for one in mistaken(store, day) if one.lately}
        assert every == set(mistaken_lately(store, day))
    assert mistaken_lately(store, last_day)
    assert () == mistaken_lately(store, last_day + timedelta(days=400))


def test_firsts_are_those_of_the_log(store: Store, log: list[dict[str, Any]], last_day: date) -> None:
    """The first right answer without help on each rung, and the first day that eight of ten on the top rung show it."""
    rows = {row["unit"]: row for row in table(store, "firsts", last_day)}
    for unit in {one["unit"] for one in log}:
        of_unit = [one for one in log if one["unit"] == unit]
        unaided = [one for one in of_unit if one["credit"] == 1.0 and one["helps"] == "[]"]
        for rung in range(1, 7):
            first = next((str(one["day"]) for one in unaided if one["rung"] == rung), None)
            assert first == rows.get(unit, {}).get(f"rung_{rung}")
        assert first_shown(of_unit) == rows.get(unit, {}).get("shown_day")
    assert any(row["shown_day"] for row in rows.values())


def first_shown(of_unit: list[dict[str, Any]]) -> str | None:
    """The day by hand: in each kind asked so far 8 of the last 10 on the top rung, six keys, none below chance."""
    windows: dict[str, list[dict[str, Any]]] = {}
    for one in of_unit:
        window = windows.setdefault(one["kind"], [])
        if one["rung"] != 6:
            continue
        window.append(one)
        if all(map(shows, windows.values())):
            return str(one["day"])
    return None


def shows(window: list[dict[str, Any]]) -> bool:
    """Whether the answers of one kind on the top rung show it."""
    right = sum(one["credit"] == 1.0 and one["helps"] == "[]" for one in window[-10:])
    keys: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for one in window[-24:]:
        keys[one["key"]].append(one)
    heard = sum(any(one["credit"] == 1.0 for one in ones) for ones in keys.values())
    below = any(
        sum(one["credit"] for one in ones) in (0, None)
        or sum(one["credit"] for one in ones) < sum(one["guess_chance"] for one in ones)
        for ones in keys.values()
    )
    return right >= 8 and heard >= 6 and not below


def moved(one: Trial, steps: int) -> dict[str, Any]:
    """A trial's values with its key moved round the circle."""
    return {name: getattr(one, name) for name in one.__dataclass_fields__ if name not in ("id", "key")} | {
        "key": KEYS[(KEYS.index(one.key) + steps) % 12]
    }


def test_transposing_the_log_transposes_the_keys(tmp_path: Path) -> None:
    """The same answers in other keys give the same rows under the names of those keys, and nothing else changes."""
    trials = list(many_trials(400, a_day=40))
    with open_store(tmp_path / "a.db") as first, open_store(tmp_path / "b.db") as second:
        first.append_all(trials)
        second.append_all([Trial(**moved(one, 5)) for one in trials])
        day = date(2017, 3, 1)
        for store in (first, second):
            store.refresh()
        places = {key.split()[0]: KEYS[(n + 5) % 12].split()[0] for n, key in enumerate(KEYS)}
        rows = [{**row, "key": places[row["key"]]} for row in table(first, "keys", day)]
        by_unit_and_key = [
            sorted(many, key=lambda row: (row["unit"], row["key"])) for many in (rows, table(second, "keys", day))
        ]
        assert by_unit_and_key[0] == by_unit_and_key[1]
        for name in set(TABLES) - {"keys"}:
            assert table(first, name, day) == table(second, name, day)


def test_the_order_of_trials_changes_no_sum(tmp_path: Path) -> None:
    """Days, weeks, facets and confusions are the same in whatever order, and in whatever steps, trials were counted."""
    trials = list(many_trials(300, a_day=40))
    mixed = trials[:]
    Random(3).shuffle(mixed)
    with open_store(tmp_path / "a.db") as first, open_store(tmp_path / "b.db") as second:
        first.append_all(trials)
        first.refresh()
        for one in range(0, 300, 60):
            second.append_all(mixed[one : one + 60])
            second.refresh()
    tables = derive_days.TABLES
    assert rows_of(tmp_path / "a.db", tables) == rows_of(tmp_path / "b.db", tables)


def test_a_slip_is_taken_back_whole(tmp_path: Path) -> None:
    """A day whose only trial turns out a slip leaves no row of anything."""
    with open_store(tmp_path / "memory.db") as store:
        only = store.append(trial(credit=0.0, taken_for="backdoor"))
        store.refresh()
        assert store.path.exists()
        assert all(rows_of(store.path, (name,))[name] for name in (*derive_days.TABLES, "newest"))
        store.slip(only.id, MONDAY)
        store.refresh()
        tables = (*derive_days.TABLES, *derive_newest.TABLES)
        assert {name: [] for name in tables} == rows_of(store.path, tables)


def test_many_rows_are_written_as_they_come(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A long log is written in portions, and gives the same rows as one that is held in memory whole."""
    trials = list(many_trials(300, a_day=40))
    for name, held in (("a.db", 20_000), ("b.db", 7)):
        monkeypatch.setattr(derive_days, "HELD", held)
        with open_store(tmp_path / name) as store:
            store.append_all(trials)
            store.refresh()
    tables = derive_days.TABLES
    assert rows_of(tmp_path / "a.db", tables) == rows_of(tmp_path / "b.db", tables)


def test_pauses_are_no_practice(tmp_path: Path) -> None:
    """Two answers an hour apart are two short stretches, not an hour; who was away counts five minutes at most."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(answer_s=30.0), trial(timedelta(hours=1), answer_s=30.0)])
        store.append(trial(timedelta(days=1), answer_s=7200.0))
        store.refresh()
        first, second = (row["minutes"] for row in table(store, "days", date(2027, 3, 9)))
    assert 1.0 <= first <= 2.0
    assert 5.0 <= second <= 5.7


def test_status_is_that_of_the_single_answers(store: Store, log: list[dict[str, Any]], last_day: date) -> None:
    """Where a unit stands by the kept rows is what the rule says of the trials themselves."""
    from datetime import UTC, time

    from trainer.memory.unit import KEY_WINDOW, status_of

    model, at_utc = store.model(), datetime.combine(last_day, time(12), UTC)
    for row in progress(store, last_day):
        kinds = sorted({one["kind"] for one in log if one["unit"] == row.unit})
        on_top = {kind: store.recent(row.unit, kind, 6, KEY_WINDOW) for kind in kinds}
        assert status_of(model, row.unit, kinds, on_top, at_utc) is row.status
