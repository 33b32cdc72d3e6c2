"""The log on disk: what goes in comes out, and nothing changes it afterwards."""

import sqlite3
import threading
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.memory.made import KEYS, MONDAY, rows_of, trial
from trainer.memory.store import Store, StoreError, open_store
from trainer.memory.trial import Trial

TEXT = st.text(st.characters(codec="utf-8"), max_size=20)
TRIALS = st.builds(
    trial,
    after=st.timedeltas(timedelta(0), timedelta(days=4000)),
    utc_offset_minutes=st.integers(-720, 840),
    rung=st.integers(1, 6),
    key=st.sampled_from(KEYS),
    seed=st.integers(-(2**63), 2**63 - 1),
    voicing=TEXT,
    tempo_bpm=st.none() | st.floats(30, 400),
    question=TEXT,
    answer=TEXT,
    credit=st.floats(0, 1),
    guess_chance=st.floats(0, 0.9),
    helps=st.lists(TEXT, max_size=4).map(tuple),
    answer_s=st.floats(0, 1e6),
    taken_for=st.none() | TEXT,
)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """An empty store."""
    return open_store(tmp_path / "memory.db")


@settings(max_examples=30)
@given(trials=st.lists(TRIALS, max_size=5))
def test_what_is_logged_is_read_back(trials: list[Trial], tmp_path_factory: pytest.TempPathFactory) -> None:
    """Trials come back equal, in order, numbered from 1, also after closing and opening."""
    path = tmp_path_factory.mktemp("log") / "memory.db"
    with open_store(path) as store:
        stored = tuple(store.append(one) for one in trials)
    assert list(range(1, len(trials) + 1)) == [one.id for one in stored]
    with open_store(path) as store:
        assert stored == tuple(store.trials())


def test_many_are_logged_together_or_not_at_all(store: Store) -> None:
    """When one of several can't be stored, none is."""
    broken = trial()
    object.__setattr__(broken, "rung", 9)
    with pytest.raises(StoreError, match="CHECK"):
        store.append_all((trial(), broken))
    assert () == tuple(store.trials())
    assert (1, 2) == tuple(one.id for one in store.append_all((trial(), trial())))


def test_an_answer_that_no_text_can_hold_is_kept_written_out(store: Store) -> None:
    """Half a surrogate, as a terminal may hand over for a byte that is no UTF-8, does not stop the log."""
    store.append(trial(answer="2 \udcff 1"))
    assert "2 \\udcff 1" == next(store.trials()).answer


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE trials SET credit = 0",
        "DELETE FROM trials",
        "DELETE FROM trials WHERE id = 1",
        "INSERT OR REPLACE INTO trials SELECT * FROM trials",
        "REPLACE INTO trials SELECT * FROM trials WHERE id = 1",
        "INSERT INTO trials SELECT * FROM trials WHERE 1 ON CONFLICT DO UPDATE SET credit = 0",
        "UPDATE corrections SET reason = 'slip'",
        "DELETE FROM corrections",
        "INSERT OR REPLACE INTO corrections SELECT * FROM corrections",
        "INSERT OR REPLACE INTO corrections SELECT id + 5, trial, 'later', reason FROM corrections",
    ],
)
def test_no_program_changes_the_log(store: Store, sql: str) -> None:
    """Changing or removing a logged row is refused to any connection, by whatever statement."""
    store.append_all((trial(), trial(credit=0.0)))
    store.slip(2, MONDAY)
    before = rows_of(store.path, ("trials", "corrections"))
    other = sqlite3.connect(store.path)
    with pytest.raises(sqlite3.IntegrityError, match="never changed"):
        other.execute(sql)
    other.commit()
    other.close()
    assert before == rows_of(store.path, ("trials", "corrections"))


def test_a_slip_is_a_record_of_its_own(store: Store) -> None:
    """A slip leaves the trial as it is and counts once; slips of trials that don't exist are refused."""
    stored = store.append(trial(credit=0.0))
    store.slip(stored.id, MONDAY)
    store.slip(stored.id, MONDAY + timedelta(minutes=1))
    assert frozenset({1}) == store.slips()
    assert (stored,) == tuple(store.trials())
    assert [(1, 1, MONDAY.isoformat(), "slip")] == rows_of(store.path, ("corrections",))["corrections"]
    with pytest.raises(StoreError, match="no trial 7"):
        store.slip(7, MONDAY)


def test_newest_trials_first_and_slips_left_out(store: Store) -> None:
    """`recent` gives the newest of a unit, in a kind, on a rung."""
    store.append_all(
        [
            trial(rung=1),
            trial(rung=2),
            trial(rung=2, kind="name-cadence"),
            trial(rung=2),
            trial(unit="backdoor"),
        ]
    )
    store.slip(4, MONDAY)
    store.refresh()
    assert [3, 2, 1] == [one.id for one in store.recent("major-two-five-one")]
    assert [3, 2] == [one.id for one in store.recent("major-two-five-one", limit=2)]
    assert [2] == [one.id for one in store.recent("major-two-five-one", "name-functions", 2)]


def test_confusions_are_counted(store: Store) -> None:
    """What a unit was taken for is counted in both directions, slips left out, from a trial on if wanted."""
    store.append_all(
        [trial(taken_for="backdoor", credit=0.0)] * 3 + [trial(unit="backdoor", taken_for="plagal")]
    )
    store.slip(1, MONDAY)
    store.refresh()
    expected = (("major-two-five-one", "backdoor", 2), ("backdoor", "plagal", 1))
    assert expected == store.confusions()
    assert (("backdoor", "plagal", 1),) == store.confusions(after=3)


def test_a_long_log_is_read_in_portions(store: Store) -> None:
    """Reading goes on over the size of a portion, from a trial on."""
    store.append_all([trial()] * 2500)
    assert list(range(301, 2501)) == [one.id for one in store.trials(after=300)]


def test_threads_share_a_store(store: Store) -> None:
    """Workers of one program can log through the same store at once."""
    threads = [threading.Thread(target=lambda: [store.append(trial()) for _ in range(20)]) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert list(range(1, 81)) == [one.id for one in store.trials()]
