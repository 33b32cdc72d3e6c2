"""Sessions over a teacher's exercise in the log: found by their name at once, and only they."""

import sqlite3
from datetime import timedelta
from pathlib import Path

from tests.trainer.memory.made import trial
from trainer.memory.store import open_store


def test_sessions_of_exercises_are_found_by_their_name(tmp_path: Path) -> None:
    """The newest session of a beginning, in order, slips included; others and longer names don't come in."""
    with open_store(tmp_path / "memory.db") as store:
        for minute, session in enumerate(
            ("exercise a 1", "exercise b 1", "exercise a 2", "evening", "exercise a 2", "exercise ab 9", "exercise a 1")
        ):
            store.append(trial(timedelta(minutes=minute), session=session, seed=minute))
        store.slip(3, trial().at_utc)
        assert [0, 6] == [one.seed for one in store.newest_exercise("exercise a ")]
        assert [2, 4] == [one.seed for one in store.newest_exercise("exercise a 2")]
        assert [1] == [one.seed for one in store.newest_exercise("exercise b ")]
        assert () == store.newest_exercise("exercise c ")
        assert () == store.newest_exercise("evening")


def test_looking_for_one_reads_no_other_answers(tmp_path: Path) -> None:
    """The index of exercises' sessions alone is searched, however long the log is, and holds nothing else."""
    path = tmp_path / "memory.db"
    with open_store(path) as store:
        store.append_all([trial(timedelta(minutes=n), session=f"evening {n}") for n in range(300)])
        store.append(trial(session="exercise a 1"))
        asked: list[str] = []
        store._connection.set_trace_callback(asked.append)
        assert 1 == len(store.newest_exercise("exercise a "))
        store._connection.set_trace_callback(None)
    connection = sqlite3.connect(path)
    try:
        plans = [row[3] for sql in asked for row in connection.execute(f"EXPLAIN QUERY PLAN {sql}")]
    finally:
        connection.close()
    assert 2 == len(asked)
    searches = [plan for plan in plans if "trials" in plan]
    assert searches
    assert all("SEARCH trials USING" in plan and "trials_exercised" in plan for plan in searches)
