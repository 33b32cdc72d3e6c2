"""Keys, voicings and tempi beside what is usual on the same rungs."""

import pytest

from trainer.memory.usual import Tallied, beside_usual


def test_an_easy_rung_flatters_no_key() -> None:
    """A key asked on an easy rung only, and as well as the others there, is no better than usual."""
    rows = [
        Tallied("name-functions", 1, "C major", 10, 9.0),
        Tallied("name-functions", 1, "Db major", 10, 9.0),
        Tallied("name-functions", 6, "Db major", 30, 12.0),
    ]
    assert {"C major": 0.0, "Db major": 0.0} == pytest.approx(beside_usual(rows))


def test_a_worked_example() -> None:
    """On one rung 6 of 10 in C and 2 of 10 in Db are 4 usual: two of ten more and two of ten less."""
    rows = [Tallied("name-functions", 3, "C", 10, 6.0), Tallied("name-functions", 3, "Db", 10, 2.0)]
    assert {"C": 0.2, "Db": -0.2} == pytest.approx(beside_usual(rows))


def test_what_is_more_here_is_less_there() -> None:
    """Weighted by their answers, differences cancel out; values are put together as they are named."""
    rows = [
        Tallied("name-functions", 3, "F# major", 4, 1.0), Tallied("name-functions", 3, "Gb major", 2, 1.5),
        Tallied("finish-it", 2, "C major", 6, 5.0), Tallied("name-functions", 3, "C major", 9, 7.0),
    ]  # fmt: skip
    found = beside_usual(rows, lambda key: "6" if key[0] in "FG" else "0")
    assert {"6", "0"} == set(found)
    assert 0.0 == pytest.approx(found["6"] * 6 + found["0"] * 15)
