"""What a session came to, in a player's words."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from trainer.drills.units import unit_name
from trainer.memory import tiredness
from trainer.memory.chance import Model, chance
from trainer.memory.schedule import Review
from trainer.memory.store import Store
from trainer.records import dataclass

if TYPE_CHECKING:
    from trainer.practice.session import Told

TIRED = "The later answers went worse than the first: perhaps that is enough for today."
AGAIN_BELOW = 0.75
"""Mean credit of a type's answers under which it is to be heard again."""


@dataclass(frozen=True, slots=True)
class UnitLine:
    """One type of the session."""

    unit: str
    name: str
    asked: int
    right: int
    credit: float
    due_day: date | None
    interval_days: int | None
    helped: int = 0
    """Answers with help."""
    taken_for: tuple[str, ...] = ()
    """Names of the types that it was taken for, each once."""


@dataclass(frozen=True, slots=True)
class Summary:
    """The whole session."""

    asked: int
    right: int
    credit: float
    """Mean share heard right; 0 where nothing was asked."""
    units: tuple[UnitLine, ...]
    tired: bool
    """The later half fell clearly short of what was expected of it, beyond the earlier; whether to stop is the
    player's to say."""
    due_tomorrow: tuple[str, ...] = ()
    """Ids of all types that fall due by tomorrow, of the session or not, what fell due first first."""

    @property
    def well(self) -> tuple[UnitLine, ...]:
        """The types of which every answer was right without help."""
        return tuple(unit for unit in self.units if unit.right == unit.asked and not unit.helped)

    @property
    def again(self) -> tuple[UnitLine, ...]:
        """The types to hear again, the least heard first: much was missed, or they were taken for another."""
        missed = (unit for unit in self.units if unit.credit < AGAIN_BELOW or unit.taken_for)
        return tuple(sorted(missed, key=lambda unit: unit.credit))


def summary(told: "Sequence[Told]", store: Store, day: date | None = None, before: Model | None = None) -> Summary:
    """Sum up what was answered; slips are left out. The store must have been refreshed.

    day: the practice day it is, for what falls due tomorrow. before: what was modelled of the player as the session
    began, against which tiredness is told; None: nothing is said of it.
    """
    counted = [one for one in told if not one.slip]
    reviews = store.reviews()
    lines = []
    for unit in dict.fromkeys(one.item.unit for one in counted):
        marks = [one.mark for one in counted if one.item.unit == unit]
        review = reviews.get(unit)
        lines.append(
            UnitLine(
                unit,
                unit_name(unit),
                len(marks),
                sum(mark.exact for mark in marks),
                sum(mark.credit for mark in marks) / len(marks),
                review.due_day if review else None,
                review.interval_days if review else None,
                sum(bool(mark.helps) for mark in marks),
                tuple(dict.fromkeys(unit_name(mark.taken_for) for mark in marks if mark.taken_for)),
            )
        )
    credits = [one.mark.credit for one in counted]
    tired = before is not None and tiredness.tired([_expected(one, before) for one in counted])
    right = sum(one.mark.exact for one in counted)
    mean = sum(credits) / len(credits) if credits else 0.0
    due = () if day is None else _due_by(reviews, day + timedelta(days=1))
    return Summary(len(counted), right, mean, tuple(lines), tired, due)


def _expected(told: "Told", before: Model) -> tiredness.Expected:
    """What an answer was expected to come to, and what it came to."""
    item, trial = told.item, told.trial
    return tiredness.Expected(
        chance(before, item.unit, item.kind, item.rung, trial.guess_chance, trial.at_utc).p, told.mark.credit
    )


def _due_by(reviews: Mapping[str, Review], day: date) -> tuple[str, ...]:
    """Units that fall due by a day, what fell due first first."""
    due = sorted((review.due_day, unit) for unit, review in reviews.items() if review.due_day <= day)
    return tuple(unit for _, unit in due)
