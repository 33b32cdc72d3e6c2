"""What can fall due: a cadence type, a move of the key center, a tune's route; by its id and in a player's words.

A cadence type goes by its id in the table; a move is `move:+3:major-minor` (half steps from -5 to 6, signed,
then the modes it leads from and to); a route is `route:` and the tune's id. The tritone is +6 and has no
direction, 0 stays on the tonic and changes the mode.
"""

import re
from functools import lru_cache

from trainer.drills.rungs import DrillError
from trainer.harmony.cadence import CADENCE, CadenceType
from trainer.harmony.key import Mode
from trainer.reading.route import move_name
from trainer.records import dataclass

MOVE, ROUTE = "move:", "route:"
_MOVE = re.compile(r"move:(?P<semitones>0|[+-][1-6]):(?P<old>major|minor)-(?P<new>major|minor)")


@dataclass(frozen=True, slots=True)
class MoveUnit:
    """A move of the key center."""

    semitones: int
    """-5 to 6; 0 changes the mode alone."""
    mode_from: Mode
    mode_to: Mode

    @property
    def id(self) -> str:
        """The unit's id."""
        sign = "+" if self.semitones > 0 else ""
        return f"{MOVE}{sign}{self.semitones}:{self.mode_from}-{self.mode_to}"

    @property
    def name(self) -> str:
        """As players say it, without a comma, for it stands in lists: `up a minor third to minor`."""
        return move_name(self.semitones, self.mode_from, self.mode_to).replace(",", "")


@dataclass(frozen=True, slots=True)
class RouteUnit:
    """A tune's key centers in order."""

    tune: str
    """The tune's id."""

    @property
    def id(self) -> str:
        """The unit's id."""
        return ROUTE + self.tune

    @property
    def name(self) -> str:
        """As players say it."""
        return f"the route of {self.tune}"


UnitOf = CadenceType | MoveUnit | RouteUnit


@lru_cache(maxsize=512)
def find_unit(id: str) -> UnitOf:
    """What an id stands for. Raises DrillError, which says what is known."""
    if id in CADENCE:
        return CADENCE[id]
    if id.startswith(ROUTE) and len(id) > len(ROUTE):
        return RouteUnit(id.removeprefix(ROUTE))
    found = _MOVE.fullmatch(id)
    if found is not None:
        move = MoveUnit(int(found["semitones"]), _mode(found["old"]), _mode(found["new"]))
        if -5 <= move.semitones <= 6 and (move.semitones or move.mode_from != move.mode_to):
            return move
    raise DrillError(
        f"there is no unit {id!r}; there are cadence types (`keyfarer types`), moves of the key center such as"
        " `move:+3:major-minor` (-5 to +6 half steps) and routes such as `route:` with a tune's id"
    )


def unit_name(id: str) -> str:
    """A unit's name as players say it; an id that a newer program wrote stands for itself."""
    try:
        return find_unit(id).name
    except DrillError:
        return id


def _mode(text: str) -> Mode:
    return "minor" if text == "minor" else "major"
