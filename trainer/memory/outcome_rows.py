"""Rows of outcomes: their columns, the order that holds everywhere, and the values that are made of them."""

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any, NamedTuple, Protocol

from trainer.memory.trial import Heard, Outcome

OUTCOME_COLUMNS = (
    "trial, at_utc, utc_offset_minutes, unit, kind, rung, key, voicing, tempo_bpm, credit, guess_chance, helps, "
    "answer_s, sound_s, taken_for"
)
PLACE = "at_utc, store, number, trial"
"""A trial's place in the order; its row number decides only where a copied store logged twice at one moment."""
IN_ORDER = f"ORDER BY {PLACE}"
NEWEST_FIRST = "ORDER BY at_utc DESC, store DESC, number DESC, trial DESC"


class Rows(Protocol):
    """A database connection, as far as it is needed here."""

    def execute(self, sql: str, parameters: Any = ..., /) -> Any:
        """Run one statement."""
        ...

    def executemany(self, sql: str, parameters: Iterable[Any], /) -> Any:
        """Run one statement for each row."""
        ...


class Place(NamedTuple):
    """Where a trial stands in the order."""

    at_utc: str
    store: str
    number: int
    trial: int


def outcome_of(row: Sequence[Any]) -> Outcome:
    """The outcome in a row of OUTCOME_COLUMNS."""
    return Outcome(
        id=row[0], at_utc=datetime.fromisoformat(row[1]), utc_offset_minutes=row[2], unit=row[3], kind=row[4],
        rung=row[5], key=row[6], voicing=row[7], tempo_bpm=row[8], credit=row[9], guess_chance=row[10],
        helps=() if row[11] == "[]" else tuple(json.loads(row[11])),
        answer_s=row[12], sound_s=row[13], taken_for=row[14],
    )  # fmt: skip


def heard_of(rows: Iterable[Sequence[Any]]) -> Iterator[Heard]:
    """The outcomes in rows of OUTCOME_COLUMNS and more."""
    moment, made = datetime.fromisoformat, tuple.__new__  # the constructor's own way, without its Python part
    for row in rows:
        helps = () if row[11] == "[]" else tuple(json.loads(row[11]))
        yield made(Heard, (row[0], moment(row[1]), *row[2:11], helps, *row[12:15]))


def outcomes(rows: Rows, where: str, values: Sequence[object]) -> tuple[Heard, ...]:
    """The outcomes that fit, in order."""
    return tuple(heard_of(rows.execute(f"SELECT {OUTCOME_COLUMNS} FROM outcomes {where} {IN_ORDER}", values)))


def rows_after(rows: Rows, place: Place) -> Iterator[Sequence[Any]]:
    """Rows of OUTCOME_COLUMNS and slip after a place, in order."""
    sql = f"SELECT {OUTCOME_COLUMNS}, slip FROM outcomes WHERE at_utc >= ? AND ({PLACE}) > (?, ?, ?, ?)"
    found: Iterator[Sequence[Any]] = rows.execute(f"{sql} {IN_ORDER}", (place.at_utc, *place))
    return found
