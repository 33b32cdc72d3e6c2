"""The moves of the key center that are learned, in the order in which players meet them.

First the keys whose signature differs by one sign at most (the closely related keys of any theory primer) and
the parallel key; then thirds, steps and the tritone between majors; then moves that change the mode as well.
The order is ours as teachers, no source.
"""

from collections.abc import Mapping
from types import MappingProxyType

from trainer.drills.units import MOVE, MoveUnit
from trainer.harmony.key import Mode

CONFIRMED_BY: Mapping[Mode, str] = MappingProxyType({"major": "major-two-five-one", "minor": "minor-two-five-one"})
"""The cadence type by which a center of a mode is confirmed."""

_NEAR = "+5:major-major -5:major-major -3:major-minor +3:minor-major 0:major-minor 0:minor-major"
_TABLE: tuple[tuple[str, str], ...] = (
    (_NEAR, ""),
    ("+2:major-minor +4:major-minor", "-3:major-minor"),
    ("-4:minor-major -2:minor-major", "+3:minor-major"),
    ("+5:minor-minor -5:minor-minor", "+5:major-major -5:major-major"),
    ("+3:major-major -3:major-major +4:major-major -4:major-major", "+5:major-major -5:major-major"),
    ("+3:minor-minor -3:minor-minor", "+5:minor-minor -5:minor-minor"),
    ("+2:major-major -2:major-major", "+5:major-major -5:major-major"),
    ("+2:minor-minor -2:minor-minor", "+5:minor-minor -5:minor-minor"),
    ("+1:major-major -1:major-major", "+2:major-major -2:major-major"),
    ("+6:major-major", "+1:major-major -1:major-major"),
    ("+5:major-minor -5:major-minor", "0:major-minor +5:major-major -5:major-major"),
    ("+5:minor-major -5:minor-major", "0:minor-major +5:minor-minor -5:minor-minor"),
    ("+3:major-minor", "0:major-minor +3:major-major"),
    ("+4:minor-major", "0:minor-major +4:major-major"),
)
"""Moves, and the moves that come before them."""


def _rows() -> dict[str, tuple[str, ...]]:
    rows: dict[str, tuple[str, ...]] = {}
    for moves, before in _TABLE:
        for text in moves.split():
            modes = text.split(":")[1].split("-")
            confirming = dict.fromkeys(CONFIRMED_BY["minor" if mode == "minor" else "major"] for mode in modes)
            rows[MOVE + text] = (*confirming, *(MOVE + one for one in before.split()))
    return rows


MOVES: Mapping[str, tuple[str, ...]] = MappingProxyType(_rows())
"""The units, each with the units that come before it: the cadences that confirm its centers, nearer moves."""


def move_id(semitones: int, mode_from: Mode, mode_to: Mode) -> str:
    """The id of a move, whether the table has it or not."""
    return MoveUnit(semitones, mode_from, mode_to).id
