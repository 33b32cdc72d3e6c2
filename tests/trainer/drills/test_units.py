"""Units by their ids and in a player's words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.drills.rungs import DrillError
from trainer.drills.units import MoveUnit, RouteUnit, find_unit, unit_name
from trainer.harmony.cadence import CADENCES

moves = st.builds(
    MoveUnit, st.integers(-5, 6), st.sampled_from(["major", "minor"]), st.sampled_from(["major", "minor"])
).filter(lambda move: move.semitones or move.mode_from != move.mode_to)


@given(st.one_of(moves, st.builds(RouteUnit, st.from_regex(r"[a-z0-9-]+", fullmatch=True))))
def test_a_units_id_reads_back(unit: MoveUnit | RouteUnit) -> None:
    """What an id is made from comes back from it."""
    assert unit == find_unit(unit.id)


def test_every_type_of_the_table_is_a_unit() -> None:
    """Cadence types go by their ids."""
    assert [row.name for row in CADENCES] == [unit_name(row.id) for row in CADENCES]


@pytest.mark.parametrize(
    "text", ["move:+7:major-major", "move:-6:major-major", "move:3:major-minor", "move:0:major-major", "move:",
             "route:", "nonsense", "move:+3:dorian-major", "move:+0:major-minor"],
)  # fmt: skip
def test_what_is_no_unit_is_told(text: str) -> None:
    """An unknown id is refused with what there is, and stands for itself where it is only named."""
    with pytest.raises(DrillError, match="there is no unit"):
        find_unit(text)
    assert text == unit_name(text)


def test_moves_are_named_as_players_say_them() -> None:
    """Interval and direction, and the mode where it changes (common practice, no source)."""
    assert "up a minor third to minor" == unit_name("move:+3:major-minor")
    assert "a tritone away" == unit_name("move:+6:major-major")
