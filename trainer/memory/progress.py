"""How far each unit is: the rows the player sees, and the same as CSV and JSON."""

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from trainer.memory.chance import Chance, Model, chance
from trainer.memory.seen import UnitNewest, firsts, mistaken, newest
from trainer.memory.share import Share, heard_share
from trainer.memory.trial import TOP_RUNG
from trainer.memory.unit import KNOWN_FROM, Status, holds_on_top, told_apart
from trainer.records import dataclass

if TYPE_CHECKING:  # the store loads SQLite, which who has no store yet need not wait for
    from trainer.memory.store import Store

SCHEMA = "keyfarer/progress/1"
COLUMNS = (
    "unit", "status", "due_day", "interval_days", "chance", "chance_low", "chance_high", "chance_on_top",
    "rung", "trials", "accuracy", "median_answer_s", "last_day", "heard", "heard_low", "heard_high",
    "median_after_s", "first_day", "shown_day", "why_today",
)  # fmt: skip
UNSEEN = UnitNewest(0, 0, 0.0, 0.0, None, None, None, {})
"""A unit that was never asked."""


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
    share: Share | None = None
    """What was heard of the newest trials above guessing, with bounds; None before the first."""
    median_after_s: float | None = None
    """From the end of the sound, below zero where the answer came earlier, of the newest trials."""
    first_day: date | None = None
    """The practice day it was met on."""
    shown_day: date | None = None
    """The day its answers on the top rung first showed it; what is known today is `status`."""


def progress(
    store: "Store", day: date, kinds: Mapping[str, Sequence[str]] | None = None
) -> tuple[UnitProgress, ...]:
    """A row for every unit, those that fall due first come first.

    kinds: the kinds of drill open for each unit; None: those it was asked in. Units named here that
    were never asked get a row as well. Refresh the store first for the newest answers.
    """
    model, reviews, answered = store.model(), store.reviews(), newest(store)
    shown_days = {one.unit: one.shown for one in firsts(store)}
    at_utc = datetime.combine(day, time(12), UTC)
    named_wrongly: dict[str, int] = {}
    for one in mistaken(store, day):
        named_wrongly[one.taken_for] = named_wrongly.get(one.taken_for, 0) + one.lately
    rows = []
    for unit in sorted({*answered, *(kinds or {})}):
        seen = answered.get(unit, UNSEEN)
        of_unit = tuple((kinds or {}).get(unit) or seen.shown)
        rungs = [model.standings[unit, kind].rung for kind in of_unit if (unit, kind) in model.standings]
        rung = min(rungs, default=1)
        on_top = [chance(model, unit, kind, TOP_RUNG, 0.0, at_utc).p for kind in of_unit]
        review = reviews.get(unit)
        right = seen.trials * seen.credit / seen.listed if seen.listed else 0.0
        apart = told_apart(right, named_wrongly.get(unit, 0))
        row = UnitProgress(
            unit=unit,
            status=_status(model, unit, of_unit, on_top, seen.shown if apart else {}, at_utc),
            due_day=review.due_day if review else None,
            interval_days=review.interval_days if review else None,
            chance=_mean([chance(model, unit, kind, rung, at_utc=at_utc) for kind in of_unit or ("",)]),
            chance_on_top=sum(on_top) / len(on_top) if on_top else 0.0,
            rung=rung,
            trials=seen.trials,
            accuracy=seen.credit / seen.listed if seen.listed else None,
            median_answer_s=seen.median_answer_s,
            last_day=seen.last_day,
            share=heard_share(seen.listed, seen.credit, seen.guess),
            median_after_s=seen.median_after_s,
            first_day=model.met.get(unit),
            shown_day=shown_days.get(unit),
        )
        rows.append(row)
    return tuple(sorted(rows, key=lambda row: (row.due_day or date.max, row.unit)))


def why_today(row: UnitProgress, day: date) -> str | None:
    """Why a unit is to be heard on a day; None where it may rest, or was heard that day."""
    if row.last_day is None or row.last_day >= day:
        return None
    days = (day - row.last_day).days
    if row.status is Status.LEARNING:
        return "being learned, last heard yesterday" if days == 1 else f"being learned, not heard for {days} days"
    if row.due_day is not None and row.due_day <= day:
        return f"due after resting {days} day{'s' * (days != 1)}"
    return None


def _status(
    model: Model, unit: str, kinds: Sequence[str], on_top: Sequence[float], shown: Mapping[str, bool], at_utc: datetime
) -> Status:
    """Where a unit stands, as `status_of` has it of single answers."""
    if unit not in model.met:
        return Status.NEW
    if kinds and min(on_top) >= KNOWN_FROM and all(shown.get(kind, False) for kind in kinds):
        return Status.KNOWN
    return Status.RESTING if holds_on_top(model, unit, kinds, at_utc) else Status.LEARNING


def progress_values(row: UnitProgress, day: date) -> dict[str, object]:
    """A row as plain values, in the order of COLUMNS, as seen on a day."""
    share = row.share or (None, None, None)
    values = (
        row.unit, row.status.value, _day_text(row.due_day), row.interval_days,
        round(row.chance.p, 4), round(row.chance.low, 4), round(row.chance.high, 4),
        round(row.chance_on_top, 4), row.rung, row.trials, _rounded(row.accuracy), row.median_answer_s,
        _day_text(row.last_day), *map(_rounded, share),
        _rounded(row.median_after_s), _day_text(row.first_day), _day_text(row.shown_day), why_today(row, day),
    )  # fmt: skip
    return dict(zip(COLUMNS, values, strict=True))


def progress_json(rows: Iterable[UnitProgress], day: date) -> str:
    """The rows as one JSON object."""
    values = {"schema": SCHEMA, "day": day.isoformat(), "units": [progress_values(row, day) for row in rows]}
    return json.dumps(values, ensure_ascii=False)


def csv_text(columns: Sequence[str], rows: Iterable[Mapping[str, object]]) -> str:
    """Rows as comma-separated values with a header (RFC 4180)."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def _day_text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _mean(chances: Sequence[Chance]) -> Chance:
    return Chance(*(sum(values) / len(values) for values in zip(*chances, strict=True)))
