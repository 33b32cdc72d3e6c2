"""Tables: columns that give way, the marked row in sight, what doesn't fit told."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press
from tests.trainer.screens.practised import practised
from trainer.screens.widgets.listing import CURSOR, Listing
from trainer.screens.widgets.sheet import GAP, NARROWEST, Head, Table, set_out, sizes

WORDS = st.text("ab –", max_size=40).map(str.strip)


@given(st.lists(st.tuples(WORDS, st.integers(0, 999).map(str), WORDS), min_size=1, max_size=6), st.integers(34, 120))
def test_columns_give_way_and_numbers_never(rows: list[tuple[str, str, str]], width: int) -> None:
    """At any width the table fits, numbers stand whole at the right of their column, words are cut at their end."""
    table = Table((Head("type", gives=True), Head("times", right=True), Head("why", gives=True)), tuple(rows))
    wide = sizes(table, width)
    assert sum(wide) + GAP * (len(wide) - 1) <= max(width, 5 + 2 * NARROWEST + 2 * GAP)
    head, lines = set_out(table, width)
    assert len(head.plain) <= width
    for row, line in zip(rows, lines, strict=True):
        assert len(line.plain) <= width
        place = wide[0] + GAP
        assert row[1].rjust(wide[1]) == line.plain[place : place + wide[1]]


def test_a_column_is_as_wide_as_its_longest_text() -> None:
    """Where there is room nothing is cut, and heads count too."""
    table = Table((Head("type", gives=True), Head("answers", right=True)), (("half cadence", "7"), ("plagal", "12")))
    head, lines = set_out(table, 74)
    assert "type          answers" == head.plain
    assert ["half cadence        7", "plagal             12"] == [line.plain for line in lines]


@pytest.mark.parametrize("height", [10, 14, 18, 24, 40])
def test_the_marked_row_is_always_in_sight(tmp_path: Path, height: int) -> None:
    """Going down through all rows and back, the marked one is painted, and which rows are in sight is told."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p", "right", "right")
        listing = app.screen.query_one(Listing)
        total = listing.rows
        for at in (*range(total), *range(total - 1, -1, -3)):
            listing.mark(at)
            await pilot.pause()
            lines = listing.render().plain.splitlines()
            assert 1 == sum(line.startswith(CURSOR) for line in lines)
            first = listing.top + 1
            if listing.in_sight() < total:
                assert f"{first} to {first + listing.in_sight() - 1} of {total}" == lines[-1].strip()
                assert len(lines) <= listing.size.height
            assert first <= at + 1 < first + listing.in_sight()

    piloted(app, play, size=(80, height))
