"""How long it takes to see one's progress after years of practice."""

from itertools import islice
from pathlib import Path
from time import process_time

import pytest

from tests.trainer.memory.many_trials import UNITS, many_trials
from trainer.memory.progress_tables import TABLES
from trainer.memory.seen import practice_days
from trainer.memory.store import Store, open_store

SHORT, LONG = 5_000, 50_000
MILLION = 1_000_000
AT_ONCE = ("types", "confusions", "days", "weeks", "firsts")
"""What the command shows where no table is named."""
MOST_S = 0.05


def store_of(folder: Path, trials: int) -> Store:
    """A store of so many trials, brought up to date."""
    store = open_store(folder / f"{trials}.db")
    made = many_trials(trials)
    while portion := list(islice(made, 20_000)):
        store.append_all(portion)
    store.refresh()
    return store


def taken_s(store: Store, names: tuple[str, ...]) -> float:
    """Seconds of the processor for some tables, the best of five."""
    day = practice_days(store)[-1].day
    best = float("inf")
    for _ in range(5):
        began = process_time()
        rows = [TABLES[name].rows(store, day, None) for name in names]
        best = min(best, process_time() - began)
        assert all(rows)
    return best


@pytest.mark.bench
def test_ten_times_the_trials_are_seen_as_soon(tmp_path: Path) -> None:
    """What is seen at once of a hundred units takes at most twice as long after ten times as many trials."""
    short, long = store_of(tmp_path, SHORT), store_of(tmp_path, LONG)
    units = [len(TABLES["types"].rows(store, practice_days(store)[-1].day, None)) for store in (short, long)]
    assert [UNITS, UNITS] == units
    times = taken_s(short, AT_ONCE), taken_s(long, AT_ONCE)
    print(f"{SHORT} trials: {1000 * times[0]:.1f} ms, {LONG} trials: {1000 * times[1]:.1f} ms")
    assert times[1] <= 2 * times[0]


@pytest.mark.bench
@pytest.mark.long
def test_a_million_trials_are_seen_in_50_ms(tmp_path: Path) -> None:
    """With a million trials what is seen at once takes at most 50 ms, and so does each table by itself."""
    store = store_of(tmp_path, MILLION)
    for names in (AT_ONCE, *((name,) for name in TABLES)):
        took = taken_s(store, names)
        print(f"{', '.join(names)}: {1000 * took:.1f} ms")
        assert took <= MOST_S
