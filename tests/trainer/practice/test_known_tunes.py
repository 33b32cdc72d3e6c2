"""Tunes beside the player's ear."""

from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.harmony.cadence import CADENCE
from trainer.memory.unit import Status
from trainer.practice.known_tunes import COLUMNS, TuneTypes, known_tune_rows, tune_rows, tune_types
from trainer.practice.own_tunes import own_tunes
from trainer.reading.analysis import analyze

FERRY = TuneTypes("ferry", "Last Ferry", {"backdoor": 3, "plagal": 1})
QUAY = TuneTypes("quay", "The Quay", {"backdoor": 2, "half": 2, "turnaround": 4})
STILL = TuneTypes("still", "Still Water", {})


def test_shares_are_of_the_tunes_cadences() -> None:
    """A type that comes three times of four is three quarters of a tune; tunes without a cadence have no row."""
    standing = {"backdoor": Status.KNOWN, "half": Status.RESTING, "plagal": Status.LEARNING, "turnaround": Status.NEW}
    rows = tune_rows((QUAY, FERRY, STILL), standing)
    assert ["ferry", "quay"] == [row["tune"] for row in rows]
    assert [(4, 3, 0.75, 0.75), (8, 2, 0.25, 0.5)] == [
        (row["cadences"], row["cadences_known"], row["share_known"], row["share_learned"]) for row in rows
    ]
    assert ["plagal", "turnaround"] == [row["missing"] for row in rows]
    assert all(list(COLUMNS) == list(row) for row in rows)


@pytest.mark.parametrize(("status", "share"), [(Status.KNOWN, 1.0), (Status.RESTING, 0.0), (Status.NEW, 0.0)])
def test_known_is_known_by_ear(status: Status, share: float) -> None:
    """Only what is known by ear counts as known; what rests is learned."""
    (row,) = tune_rows((FERRY,), dict.fromkeys(FERRY.types, status))
    assert share == row["share_known"]
    assert (status in (Status.KNOWN, Status.RESTING)) == (row["share_learned"] == 1.0)


def test_tunes_are_counted_by_their_readings(tmp_path: Path) -> None:
    """Each tune with a cadence has a row with as many of each type as its reading has; a beginner knows none."""
    tunes = own_tunes(tmp_path / "tunes", tmp_path / "facts.json", exercises=True)
    counted = {tune.tune: tune.types for tune in tune_types(tunes)}
    for tune_id, _ in exercise_tunes():
        reading = analyze(unfold(load(tune_id)))
        assert Counter(cadence.type for cadence in reading.cadences) == Counter(counted[tune_id])
    assert {name for types in counted.values() for name in types} <= set(CADENCE)
    rows = known_tune_rows(None, date(2027, 3, 1), tunes)
    assert sorted(tune for tune, types in counted.items() if types) == sorted(str(row["tune"]) for row in rows)
    assert {0.0} == {row["share_known"] for row in rows}
