"""All about one unit, as it is read for the command and for the screen."""

from datetime import timedelta
from pathlib import Path

import pytest

from tests.trainer.memory.made import KEYS, MONDAY, trial
from trainer.memory.store import open_store
from trainer.memory.trial import Trial
from trainer.practice.over_time import FIFTHS
from trainer.practice.unit_told import HEADS, UnitTold, listen_to, part_cells, unit_told

UNIT = "major-two-five-one"


def told(folder: Path, trials: list[Trial], unit: str = UNIT) -> UnitTold | None:
    """What is told of a unit after some answers."""
    with open_store(folder / "memory.db") as store:
        store.append_all(trials)
        store.refresh()
        return unit_told(store, unit, MONDAY.date() + timedelta(days=2))


def test_all_twelve_keys_stand_there_asked_or_not(tmp_path: Path) -> None:
    """Keys stand down the circle of fifths, each with its answers; those not asked in say so."""
    one = told(tmp_path, [trial(timedelta(minutes=n), key=KEYS[n % 3]) for n in range(20)])
    assert one is not None
    keys = one.facets[list(HEADS).index("key")]
    assert "By key, since 2027-01" == keys.head
    assert list(FIFTHS) == [part.name for part in keys.parts]
    assert [7, 7, 6, *[0] * 9] == [0 if part.counted is None else part.counted.answers for part in keys.parts]
    assert {("not asked of late",)} == {part_cells(part) for part in keys.parts[3:]}


def test_few_answers_are_not_set_beside_the_usual(tmp_path: Path) -> None:
    """Five answers tell nothing; six wrong ones among right ones are worse than usual."""
    wrong = [trial(timedelta(minutes=n), key="G major", credit=0.0) for n in range(6)]
    right = [trial(timedelta(minutes=10 + n), key="C major") for n in range(6)]
    few = [trial(timedelta(minutes=20 + n), key="D major") for n in range(5)]
    one = told(tmp_path, [*wrong, *right, *few])
    assert one is not None
    parts = {part.name: part for part in one.facets[list(HEADS).index("key")].parts}
    assert ("too few to tell",) == part_cells(parts["D"])
    assert parts["D"].beside is None
    assert part_cells(parts["G"])[-1].endswith("worse")
    assert part_cells(parts["C"])[-1].endswith("better")
    assert part_cells(parts["C"])[2].endswith("s after")


def test_a_unit_that_was_never_asked_has_nothing(tmp_path: Path) -> None:
    """Of what was not met there is nothing to tell, with answers to others or without any."""
    assert told(tmp_path, []) is None
    assert told(tmp_path, [trial()], "plagal") is None


@pytest.mark.parametrize(
    ("unit", "other", "words"),
    [
        ("major-two-five-one", "deceptive-six", "Listen to chord 3: Imaj7 here, vi7 there."),
        ("major-two-five-one", "plagal", "They differ in length: 3 chords here, 2 there."),
        ("major-two-five-one", "move:+3:major-minor", ""),
        ("of-another-program", "plagal", ""),
    ],
)
def test_what_tells_two_types_apart(unit: str, other: str, words: str) -> None:
    """The chords in which they differ, or their lengths; nothing where one is no cadence type."""
    assert words == listen_to(unit, other)
