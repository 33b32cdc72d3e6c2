"""How far each unit is: the rows the player sees, and the same as CSV and JSON."""

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from trainer.memory.chance import Chance, chance
from trainer.memory.trial import TOP_RUNG, day_of
from trainer.memory.unit import KEY_WINDOW, KNOWN_FROM, Status, status_of
from trainer.records import dataclass

if TYPE_CHECKING:  # the store loads SQLite, which who has no store yet need not wait for
    from trainer.memory.store import Store

RECENT_TRIALS = 50
"""Newest trials of a unit that its accuracy and answer time are taken from."""
SCHEMA = "keyfarer/progress/1"
COLUMNS = (
    "unit", "status", "due_day", "interval_days", "chance", "chance_low", "chance_high", "chance_on_top",
    "rung", "trials", "accuracy", "median_answer_s", "last_day",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class UnitProgress:
    """One unit's row."""

    unit: str
    status: Status
    due_day: date | None
    """None before its first review."""
    interval_days: int | None
    chance: Chance
    """Chance of hearing it today on its rung, mean over its kinds of drill."""
    chance_on_top: float
    """The same on the top rung, guessing left out."""
    rung: int
    """The lowest on which one of its kinds was last asked; 1 before the first."""
    trials: int
    """All of them, slips left out."""
    accuracy: float | None
    """Mean credit of the newest trials; None before the first."""
    median_answer_s: float | None
    """From the start of the sound, of the newest trials."""
    last_day: date | None
    """The practice day it was last asked on."""


def progress(
    store: "Store", day: date, kinds: Mapping[str, Sequence[str]] | None = None
) -> tuple[UnitProgress, ...]:
    """A row for every unit, those that fall due first come first.

    kinds: the kinds of drill open for each unit; None: those it was asked in. Units named here that
    were never asked get a row as well. Refresh the store first for the newest answers.
    """
    model, reviews = store.model(), store.reviews()
    asked: dict[str, tuple[str, ...]] = {}
    counts: dict[str, int] = {}
    for tally in store.tallies():
        counts[tally.unit] = counts.get(tally.unit, 0) + tally.trials
    for unit, kind in model.standings:
        asked[unit] = (*asked.get(unit, ()), kind)
    at_utc = datetime.combine(day, time(12), UTC)
    rows = []
    for unit in sorted({*asked, *(kinds or {})}):
        of_unit = tuple((kinds or {}).get(unit) or asked.get(unit, ()))
        rungs = [model.standings[unit, kind].rung for kind in of_unit if (unit, kind) in model.standings]
        rung = min(rungs, default=1)
        on_top = [chance(model, unit, kind, TOP_RUNG, 0.0, at_utc).p for kind in of_unit]
        newest = {}
        if on_top and min(on_top) >= KNOWN_FROM:  # else it can't be known and the log needn't be asked
            newest = {kind: store.recent(unit, kind, TOP_RUNG, KEY_WINDOW) for kind in of_unit}
        recent = store.recent(unit, limit=RECENT_TRIALS) if unit in asked else ()
        review = reviews.get(unit)
        rows.append(
            UnitProgress(
                unit=unit,
                status=status_of(model, unit, of_unit, newest, at_utc),
                due_day=review.due_day if review else None,
                interval_days=review.interval_days if review else None,
                chance=_mean([chance(model, unit, kind, rung, at_utc=at_utc) for kind in of_unit or ("",)]),
                chance_on_top=sum(on_top) / len(on_top) if on_top else 0.0,
                rung=rung,
                trials=counts.get(unit, 0),
                accuracy=sum(outcome.credit for outcome in recent) / len(recent) if recent else None,
                median_answer_s=_median([outcome.answer_s for outcome in recent]) if recent else None,
                last_day=day_of(recent[0], model.day_ends_hour) if recent else None,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.due_day or date.max, row.unit)))


def progress_values(row: UnitProgress) -> dict[str, object]:
    """A row as plain values, in the order of COLUMNS."""
    values = (
        row.unit, row.status.value, _day_text(row.due_day), row.interval_days,
        round(row.chance.p, 4), round(row.chance.low, 4), round(row.chance.high, 4),
        round(row.chance_on_top, 4), row.rung, row.trials, _rounded(row.accuracy), row.median_answer_s,
        _day_text(row.last_day),
    )  # fmt: skip
    return dict(zip(COLUMNS, values, strict=True))


def progress_json(rows: Iterable[UnitProgress], day: date) -> str:
    """The rows as one JSON object."""
    values = {"schema": SCHEMA, "day": day.isoformat(), "units": [progress_values(row) for row in rows]}
    return json.dumps(values, ensure_ascii=False)


def progress_csv(rows: Iterable[UnitProgress]) -> str:
    """The rows as comma-separated values with a header (RFC 4180); what is not known is empty."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS)
    writer.writeheader()
    writer.writerows(progress_values(row) for row in rows)
    return text.getvalue()


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def _median(values: Sequence[float]) -> float:
    """The middle one, or the mean of the two in the middle."""
    ranked = sorted(values)
    half = len(ranked) // 2
    return ranked[half] if len(ranked) % 2 else (ranked[half - 1] + ranked[half]) / 2


def _day_text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _mean(chances: Sequence[Chance]) -> Chance:
    return Chance(*(sum(values) / len(values) for values in zip(*chances, strict=True)))
