"""What a session came to, in a player's words."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from trainer.drills.units import unit_name
from trainer.memory.store import Store
from trainer.records import dataclass

if TYPE_CHECKING:
    from trainer.practice.session import Told

TIRED_FROM = 8
"""Answers before tiredness can be told from chance."""
TIRED_BY = 0.3
"""So much less in the later half than in the earlier."""


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


@dataclass(frozen=True, slots=True)
class Summary:
    """The whole session."""

    asked: int
    right: int
    credit: float
    """Mean share heard right; 0 where nothing was asked."""
    units: tuple[UnitLine, ...]
    tired: bool
    """The later half went clearly worse than the earlier."""


def summary(told: "Sequence[Told]", store: Store) -> Summary:
    """Sum up what was answered; slips are left out. The store must have been refreshed."""
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
            )
        )
    credits = [one.mark.credit for one in counted]
    half = len(credits) // 2
    tired = len(credits) >= TIRED_FROM and (
        sum(credits[:half]) / half - sum(credits[half:]) / (len(credits) - half) >= TIRED_BY
    )
    right = sum(one.mark.exact for one in counted)
    mean = sum(credits) / len(credits) if credits else 0.0
    return Summary(len(counted), right, mean, tuple(lines), tired)
