"""What a player sees over time, read at once from the store's derived rows: types, keys, confusions, weeks.

The lists of the command line and the views of the screen are made from the same values.
"""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

from trainer.memory.progress import UnitProgress, progress
from trainer.memory.progress_tables import Confused, confused
from trainer.memory.seen import Counted, PracticeDay, Week, beside, faceted, practice_days, weeks
from trainer.memory.unit import tonic_place
from trainer.records import dataclass

if TYPE_CHECKING:  # the store loads SQLite
    from trainer.memory.store import Store

FIFTHS = ("C", "F", "Bb", "Eb", "Ab", "Db", "F#", "B", "E", "A", "D", "G")
"""The twelve tonics down the circle of fifths: neighbors share all notes but one."""
TELLING = 0.05
"""From so much more or less credit than usual on it is told."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What is seen on a day."""

    day: date
    rows: tuple[UnitProgress, ...]
    confusions: tuple[Confused, ...]
    days: tuple[PracticeDay, ...] = ()
    """Of the weeks shown."""
    weeks: tuple[Week, ...] = ()
    """The same weeks."""


def seen_on(store: "Store", day: date, last_weeks: int) -> Seen:
    """Read what is seen on a day from a store that was refreshed; of the weeks so many, this one the last."""
    monday = day - timedelta(days=day.weekday() + 7 * (last_weeks - 1))
    shown = tuple(week for week in weeks(store) if week.monday >= monday)
    return Seen(day, progress(store, day), confused(store, day), practice_days(store, monday), shown)


class HeardIn(NamedTuple):
    """How a unit is heard in one key of late."""

    counted: Counted
    beside: float | None
    """Mean credit more than it earns elsewhere on the same rungs in the same drills; None: can't be told."""


def heard_in_keys(store: "Store", units: Iterable[str]) -> Mapping[str, Mapping[str, HeardIn]]:
    """By unit, by `tonic_place` of the key, how it is heard there; without keys that it wasn't asked in of late."""
    found: dict[str, dict[str, HeardIn]] = {}
    for unit in units:
        usual = beside(store, unit, "key")
        found[unit] = {
            place: HeardIn(row.counted, usual.get(place))
            for row in faceted(store, unit, "key")
            for place in (tonic_place(row.value),)
        }
    return found
