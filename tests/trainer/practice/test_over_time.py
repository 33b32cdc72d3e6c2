"""What is read for the lists and the views of the progress."""

from datetime import timedelta
from pathlib import Path

import pytest

from tests.trainer.memory.made import KEYS, MONDAY, trial
from trainer.harmony.key import parse_key
from trainer.memory.store import open_store
from trainer.memory.unit import tonic_place
from trainer.practice.over_time import FIFTHS, heard_in_keys, seen_on


def test_keys_stand_a_fifth_apart() -> None:
    """Each key lies a fifth below the one before, all round the circle (common practice, no source)."""
    places = [int(tonic_place(key)) for key in FIFTHS]
    assert set(range(12)) == set(places)
    assert {5} == {(after - before) % 12 for before, after in zip(places, (*places[1:], places[0]), strict=True)}
    assert [f"{key} major" for key in FIFTHS] == [parse_key(f"{key} major").name for key in FIFTHS]


@pytest.mark.parametrize(("last_weeks", "weeks"), [(1, 1), (2, 1), (3, 2), (9, 3)])
def test_so_many_weeks_are_read(tmp_path: Path, last_weeks: int, weeks: int) -> None:
    """This week is the last of those read; days and weeks before them are left out, types and confusions are not."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(timedelta(days=days)) for days in (0, 9, 23)])
        store.refresh()
        seen = seen_on(store, MONDAY.date() + timedelta(days=24), last_weeks)
    assert weeks == len(seen.weeks) == len(seen.days)
    assert 3 == seen.rows[0].trials


def test_a_key_is_one_however_it_is_spelled(tmp_path: Path) -> None:
    """Answers in Db and C#, major and minor, are of one key; a key that wasn't asked in has none."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all(
            [trial(timedelta(minutes=n), key=key) for n, key in enumerate(("Db major", "C# minor", KEYS[0]))]
        )
        store.refresh()
        found = heard_in_keys(store, ["major-two-five-one", "plagal"])
    assert {"1": 2, "0": 1} == {place: heard.counted.answers for place, heard in found["major-two-five-one"].items()}
    assert {} == found["plagal"]


def test_a_key_is_set_beside_the_others(tmp_path: Path) -> None:
    """Four right in C and four wrong in G: a half more and a half less than the type earns on average."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all(
            [trial(timedelta(minutes=n), key=("C major", "G major")[n % 2], credit=1.0 - n % 2) for n in range(8)]
        )
        store.refresh()
        found = heard_in_keys(store, ["major-two-five-one"])["major-two-five-one"]
    assert {"0": 0.5, "7": -0.5} == {place: heard.beside for place, heard in found.items()}
