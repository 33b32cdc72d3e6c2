"""The tunes that questions come from: the exercise tunes, read once when a question first wants one, and the player's
own, of which each is read when a question comes from it."""

from collections.abc import Collection, Sequence
from functools import lru_cache

from trainer.charts.library import exercise_tunes, load
from trainer.charts.reader import read_chart
from trainer.charts.text_file import decoded
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.drills.material import TuneMaterial
from trainer.drills.units import MOVE, ROUTE
from trainer.harmony.cadence import CADENCE
from trainer.practice.kept_tunes import KeptError
from trainer.practice.own_tunes import OwnTunes
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis

READ_AT_ONCE = 64
"""So many of the player's tunes at most stay read."""


@lru_cache(maxsize=1)
def exercise_material() -> Sequence[TuneMaterial]:
    """Every shipped tune with its reading."""
    out = []
    for tune_id, _ in exercise_tunes():
        timeline = unfold(load(tune_id))
        out.append(TuneMaterial(tune_id, timeline, analyze(timeline)))
    return tuple(out)


class UnreadTune(TuneMaterial):
    """A tune of the player's that is read when its chords are first wanted."""

    __slots__ = ("_data", "_units")
    _data: bytes
    _units: frozenset[str]

    def __init__(self, id: str, data: bytes, units: Collection[str]) -> None:
        for name, value in (("id", id), ("_data", data), ("_units", frozenset(units))):
            object.__setattr__(self, name, value)

    @property
    def timeline(self) -> Timeline:
        """What is played."""
        return _read(self.id, self._data)[0]

    @property
    def analysis(self) -> Analysis:
        """How it is read."""
        return _read(self.id, self._data)[1]

    def may_have(self, unit: str) -> bool:
        """Whether the unit is among what its reading was once found to have; of others it can't be said."""
        if unit.startswith(ROUTE):
            return unit == ROUTE + self.id
        return unit in self._units or not (unit in CADENCE or unit.startswith(MOVE))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, UnreadTune) and (self.id, self._data) == (other.id, other._data)

    def __hash__(self) -> int:
        return hash((self.id, self._data))


@lru_cache(maxsize=READ_AT_ONCE)
def _read(id: str, data: bytes) -> tuple[Timeline, Analysis]:
    timeline = unfold(read_chart(decoded(data, id), id))
    return timeline, analyze(timeline)


def own_material(own: OwnTunes) -> tuple[TuneMaterial, ...]:
    """The player's own tunes; none of them is read yet."""
    return tuple(UnreadTune(id, data, own.facts[id].units) for id, data in own.charts.items())


def tune_material(own: OwnTunes, only: Collection[str] = ()) -> tuple[TuneMaterial, ...]:
    """The player's own tunes and the exercise tunes; only some, where these are named.

    Raises KeptError for one that isn't there or can't be read.
    """
    exercises = exercise_material() if not only or set(only) - set(own.charts) else ()
    found = tuple(tune for tune in (*own_material(own), *exercises) if not only or tune.id in only)
    for id in sorted(set(only) - {tune.id for tune in found}):
        raise KeptError(own.faults.get(id) or f"there is no tune {id!r}; `keyfarer tunes` lists them")
    return found
