"""Logs of several stores brought together: nothing lost, nothing counted twice, the same rows in whatever order."""

import io
import sqlite3
from datetime import timedelta
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.memory.made import KEYS, MONDAY, rows_everywhere, rows_of, trial
from trainer.memory import derive_models
from trainer.memory.derive import DERIVED
from trainer.memory.log_file import read_log, write_log
from trainer.memory.merge import Merged, Remark
from trainer.memory.store import Store, open_store

TRIALS = st.builds(
    trial,
    after=st.integers(0, 9 * 24).map(lambda hours: timedelta(hours=hours)),
    utc_offset_minutes=st.sampled_from([-300, 0, 60]),
    unit=st.sampled_from(["turnaround", "backdoor"]),
    kind=st.sampled_from(["name-functions", "name-cadence"]),
    rung=st.integers(1, 6),
    key=st.sampled_from(KEYS),
    credit=st.sampled_from([0.0, 0.1, 1 / 3, 0.7, 1.0]),
    guess_chance=st.sampled_from([0.02, 0.25, 1 / 3]),
    helps=st.sampled_from([(), ("again",)]),
    answer_s=st.floats(3, 60),
    taken_for=st.sampled_from([None, "plagal"]),
)
DAYS = st.lists(st.tuples(st.lists(TRIALS, max_size=5), st.integers(0, 8)), min_size=1, max_size=4)
"""What one machine logs, portion by portion, with a slip now and then."""


def taken(source: Store) -> bytes:
    """The memory of a store as a file."""
    file = io.BytesIO()
    write_log(source, file)
    return file.getvalue()


def given_to(store: Store, file: bytes) -> Merged:
    """Import a file that has no faults."""
    faults: list[tuple[int, str]] = []
    merged = store.merge(read_log(io.BytesIO(file), lambda line, why: faults.append((line, why))))
    assert [] == faults
    return merged


def practise(store: Store, days: list[tuple[list[Any], int]]) -> None:
    """Log trials, now and then a slip of one of the newest, and compute after every portion."""
    for trials, slip in days:
        stored = store.append_all(trials)
        if slip < len(stored):
            store.slip(stored[slip].id, MONDAY)
        store.refresh()


@settings(max_examples=40)
@given(one=DAYS, other=DAYS, later=DAYS)
def test_either_way_the_rows_are_the_same(
    one: Any, other: Any, later: Any, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Two machines that practise, import each other and practise on: rows are equal, and equal when rebuilt."""
    folder = tmp_path_factory.mktemp("merged")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(derive_models, "MODEL_EVERY", 4)
        with open_store(folder / "a.db") as a, open_store(folder / "b.db") as b:
            practise(a, one)
            practise(b, other)
            given_to(a, taken(b))
            practise(a, later)
            given_to(b, taken(a))
            a.refresh()
            b.refresh()
            assert rows_everywhere(a.path) == rows_everywhere(b.path)
            assert taken(a).split(b"\n")[1:] == taken(b).split(b"\n")[1:]
            for store in (a, b):
                grown = rows_of(store.path, DERIVED)
                store.rebuild()
                assert grown == rows_of(store.path, DERIVED)


@settings(max_examples=20)
@given(parts=st.lists(DAYS, min_size=3, max_size=3), order=st.permutations(range(3)))
def test_in_any_order_nothing_is_lost_or_counted_twice(
    parts: Any, order: list[int], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The files of three machines, imported in any order and again, make one memory of all their trials."""
    folder = tmp_path_factory.mktemp("merged")
    files, count = [], 0
    for number, days in enumerate(parts):
        with open_store(folder / f"{number}.db") as store:
            practise(store, days)
            files.append(taken(store))
            count += store.holds().trials
    with open_store(folder / "home.db") as straight, open_store(folder / "again.db") as shuffled:
        added = [given_to(straight, file) for file in files]
        for number in (*order, *reversed(order)):
            given_to(shuffled, files[number])
            shuffled.refresh()
        straight.refresh()
        assert count == sum(one.added for one in added) == straight.holds().trials
        assert rows_everywhere(straight.path) == rows_everywhere(shuffled.path)


def test_importing_twice_changes_nothing(tmp_path: Path) -> None:
    """The second time all is known: not a row is added, and nothing has to be computed."""
    with open_store(tmp_path / "a.db") as a, open_store(tmp_path / "b.db") as b:
        a.append_all([trial(timedelta(minutes=n)) for n in range(3)])
        a.slip(2, MONDAY)
        assert Merged(3, 0, 1) == given_to(b, taken(a))
        b.refresh()
        before = rows_of(b.path, ("trials", "imported", "corrections", *DERIVED))
        assert Merged(0, 3, 0) == given_to(b, taken(a))
        assert not b.refresh()
        assert before == rows_of(b.path, ("trials", "imported", "corrections", *DERIVED))
        assert Merged(0, 3, 0) == given_to(a, taken(b))


def test_a_slip_told_elsewhere_comes_along(tmp_path: Path) -> None:
    """A trial that is known here and was called a slip on the other machine no longer counts."""
    with open_store(tmp_path / "a.db") as a, open_store(tmp_path / "b.db") as b:
        a.append(trial(credit=0.0))
        given_to(b, taken(a))
        b.slip(1, MONDAY)
        assert Merged(0, 1, 1) == given_to(a, taken(b))
        a.refresh()
        assert {} == a.reviews()


def test_a_copied_store_that_went_its_own_way(tmp_path: Path) -> None:
    """Where a store's file was copied both go on with the same numbers; what each has logged since is kept."""
    with open_store(tmp_path / "a.db") as a:
        a.append(trial())
    copyfile(tmp_path / "a.db", tmp_path / "b.db")
    with open_store(tmp_path / "a.db") as a, open_store(tmp_path / "b.db") as b:
        a.append_all([trial(timedelta(days=1), answer="at home"), trial(timedelta(days=3))])
        b.append(trial(timedelta(days=2), answer="on the road"))
        assert a.id == b.id
        assert Merged(1, 1, 0) == given_to(a, taken(b))
        assert Merged(2, 2, 0) == given_to(b, taken(a))
        assert Merged(0, 4, 0) == given_to(a, taken(b))
        a.refresh()
        b.refresh()
        assert rows_everywhere(a.path) == rows_everywhere(b.path)
        assert {"at home", "on the road"} < {one.answer for one in a.trials()}


def test_a_clock_set_back_is_the_same_as_a_late_trial(tmp_path: Path) -> None:
    """Trials logged with earlier times take their place in the order; nothing is lost, and no day is negative."""
    times = [timedelta(days=3), timedelta(days=3, minutes=1), timedelta(days=2), timedelta(days=2, minutes=1)]
    with open_store(tmp_path / "set-back.db") as back, open_store(tmp_path / "straight.db") as straight:
        for after in times:
            back.append(trial(after, credit=after.days / 3))
            back.refresh()
        straight.append_all([trial(after, credit=after.days / 3) for after in sorted(times)])
        straight.refresh()
        assert rows_of(straight.path, ("reviews", "tallies")) == rows_of(back.path, ("reviews", "tallies"))
        assert straight.model() == back.model()
        assert all(review.interval_days >= 1 for review in back.review_history("major-two-five-one"))
        assert MONDAY + times[1] == back.newest_at()


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE imported SET number = 9",
        "DELETE FROM imported",
        "INSERT OR REPLACE INTO imported VALUES (1, 'other', 1)",
        "UPDATE this_store SET id = 'other'",
        "DELETE FROM this_store",
        "INSERT OR REPLACE INTO this_store VALUES (1, 'other')",
    ],
)
def test_no_program_changes_whose_a_trial_is(tmp_path: Path, sql: str) -> None:
    """Where trials come from is part of the log, and guarded like it."""
    with open_store(tmp_path / "a.db") as a, open_store(tmp_path / "b.db") as b:
        a.append(trial())
        given_to(b, taken(a))
        other = sqlite3.connect(b.path)
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            other.execute(sql)
        other.close()


def test_each_store_has_an_id_of_its_own_and_keeps_it(tmp_path: Path) -> None:
    """No two new stores share an id; opening again changes none."""
    ids = set()
    for number in range(20):
        with open_store(tmp_path / f"{number}.db") as store:
            ids.add(store.id)
            first = store.id
        with open_store(tmp_path / f"{number}.db") as store:
            assert first == store.id
    assert 20 == len(ids)


def test_marks_computed_again_count_and_the_log_stays(tmp_path: Path) -> None:
    """A mark given again counts in every row from then on, in later growing too; without it the log's counts."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(credit=0.0), trial(timedelta(days=1))])
        store.refresh()
        before = rows_of(store.path, ("trials",))
        store.rebuild([(1, Remark(1.0, 0.02, None, "[]", 2))])
        assert [1.0, 1.0] == [one.credit for one in store.recent("major-two-five-one")]
        store.append(trial(timedelta(days=2)))
        store.refresh()
        grown = rows_of(store.path, DERIVED)
        store.rebuild()
        assert grown == rows_of(store.path, DERIVED)
        assert before["trials"] == rows_of(store.path, ("trials",))["trials"][:2]
        store.rebuild([])
        assert [1.0, 1.0, 0.0] == [one.credit for one in store.recent("major-two-five-one")]
