"""Lines for the terminal: wrapped without loss, never wider than they may be."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.commands.words import counted, joined, lasting, table, width, wrapped

WORDS = st.lists(st.text(st.characters(codec="ascii", categories=["L", "N", "P"]), min_size=1, max_size=12))


@given(WORDS, st.integers(20, 80), st.integers(0, 6))
def test_wrapping_keeps_every_word_and_the_width(words: list[str], columns: int, indent: int) -> None:
    """All words come in order, each line is indented and within the columns."""
    lines = wrapped(" ".join(words), columns, " " * indent)
    assert words == " ".join(lines).split()
    assert all(line.startswith(" " * indent) and len(line) <= columns for line in lines)


@given(WORDS)
def test_lines_are_as_full_as_they_can_be(words: list[str]) -> None:
    """The first word of a line would not have fitted into the line before."""
    lines = wrapped(" ".join(words), 30)
    for line, after in pairwise(lines):
        assert len(line) + 1 + len(after.split()[0]) > 30


def test_a_table_stands_in_columns() -> None:
    """Cells stand under each other, the last one wrapped into its own column, ends without blanks."""
    rows = [("a", "bb", "one two three four five"), ("aaa", "b", "")]
    assert ["  a    bb  one two three four", "           five", "  aaa  b"] == table(rows, 30, "  ")
    assert [] == table([], 30)


@pytest.mark.parametrize(
    ("columns", "expected"), [("20", 40), ("40", 40), ("64", 64), ("200", 80), ("", 80), ("wide", 80), ("0", 80)]
)
def test_the_width_is_the_terminals_within_40_and_80(
    monkeypatch: pytest.MonkeyPatch, columns: str, expected: int
) -> None:
    """COLUMNS counts, else the terminal; nonsense is 80."""
    monkeypatch.setenv("COLUMNS", columns)
    assert expected == width()


def test_words_for_numbers_and_lists() -> None:
    """One of a thing, several of it, things in a row, and lengths of time read as one says them."""
    assert ("1 bar", "3 bars", "2 halves") == (counted(1, "bar"), counted(3, "bar"), counted(2, "half", "halves"))
    assert ("", "a", "a and b", "a, b or c") == (
        joined([]), joined(["a"]), joined(["a", "b"]), joined(["a", "b", "c"], "or")
    )  # fmt: skip
    assert ("2.5 s", "1 min 0 s", "2 min 5 s") == (lasting(2.49), lasting(60), lasting(125.2))
