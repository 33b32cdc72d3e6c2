"""How long it takes to see one's progress, to log a trial and to bring the memory up to date."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from tests.trainer.memory.made import KEYS, trial
from trainer.memory.progress import progress
from trainer.memory.store import Store, open_store

TRIALS = 20_000


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    """A store of about two years: thirty units in four kinds of drill, thirty trials a day."""
    store = open_store(tmp_path_factory.mktemp("bench") / "memory.db")
    store.append_all(
        [
            trial(
                timedelta(days=number // 30, minutes=number % 30),
                unit=f"unit-{number * 7 % 30}",
                kind=f"kind-{number * 11 % 4}",
                rung=1 + number * 13 % 6,
                key=KEYS[number % 12],
                credit=float(number % 3 > 0),
                question="{}" * 300,
            )
            for number in range(TRIALS)
        ]
    )
    store.refresh()
    return store


def test_progress_is_seen_at_once(benchmark: Callable[..., Any], store: Store) -> None:
    """All rows of thirty units come from an up-to-date store."""
    rows = benchmark(progress, store, date(2028, 12, 31))
    assert 30 == len(rows)


def test_a_trial_is_stored_and_counted_between_questions(benchmark: Callable[..., Any], store: Store) -> None:
    """One more trial is made durable and its unit's review, tallies and model brought up to date."""
    one = trial(timedelta(days=900), unit="unit-3")

    def stored() -> bool:
        store.append(one)
        return store.refresh()

    assert benchmark(stored)


def test_opening_a_store(benchmark: Callable[..., Any], store: Store) -> None:
    """A store that is up to date opens and closes."""
    benchmark(lambda: open_store(store.path).close())
