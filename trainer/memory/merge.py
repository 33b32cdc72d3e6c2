"""Trials of other stores added to a log, without loss or double counting, and marks computed again.

A trial is the same as one that is here when store, number and all that was logged of it are alike: a store that was
copied, or brought back from a backup, goes on with numbers that the other has as well, for other answers.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from trainer.memory.logged import TRIAL_COLUMNS, Logged, trial_row
from trainer.records import dataclass

if TYPE_CHECKING:
    from trainer.memory.outcome_rows import Rows


@dataclass(frozen=True, slots=True)
class Merged:
    """What merging has done."""

    added: int = 0
    known: int = 0
    """Trials that were here already."""
    slips: int = 0
    """Slips that were not known yet."""

    def plus(self, other: "Merged") -> "Merged":
        """Both together."""
        return Merged(self.added + other.added, self.known + other.known, self.slips + other.slips)


@dataclass(frozen=True, slots=True)
class Remark:
    """A mark computed again from the raw trial, by the rules of another version."""

    credit: float
    guess_chance: float
    taken_for: str | None
    parts: str
    """Credit of each part as JSON text."""
    rules_version: int


def add_logged(rows: "Rows", trials: Iterable[Logged]) -> Merged:
    """Add what is not in the log yet; inside a transaction of the caller's."""
    own = rows.execute("SELECT id FROM this_store").fetchone()[0]
    places = ", ".join("?" * len(TRIAL_COLUMNS.split(", ")))
    added = known = slips = 0
    for one in trials:
        row = trial_row(one.trial)
        id = _id_of(rows, own, one, row)
        if id is None:
            added += 1
            id = rows.execute(f"INSERT INTO trials ({TRIAL_COLUMNS}) VALUES ({places})", row).lastrowid
            rows.execute("INSERT INTO imported VALUES (?, ?, ?)", (id, one.store, one.number))
        else:
            known += 1
        if one.slips and not rows.execute("SELECT 1 FROM corrections WHERE trial = ?", (id,)).fetchone():
            slips += 1
            at = min(one.slips).isoformat()
            rows.execute("INSERT INTO corrections (trial, at_utc, reason) VALUES (?, ?, 'slip')", (id, at))
    return Merged(added, known, slips)


def write_remarks(rows: "Rows", remarks: Iterable[tuple[int, Remark]]) -> None:
    """Put marks computed again in place of all earlier ones; inside a transaction of the caller's."""
    rows.execute("DELETE FROM remarked")
    rows.executemany(
        "INSERT INTO remarked VALUES (?, ?, ?, ?, ?, ?)",
        ((id, one.credit, one.guess_chance, one.taken_for, one.parts, one.rules_version) for id, one in remarks),
    )


def _id_of(rows: "Rows", own: str, one: Logged, row: tuple[object, ...]) -> int | None:
    """The row of a trial that is here already."""
    found = rows.execute("SELECT trial FROM imported WHERE store = ? AND number = ?", (one.store, one.number))
    ids = [trial for (trial,) in found.fetchall()]
    if one.store == own:
        elsewhere = rows.execute("SELECT 1 FROM imported WHERE trial = ?", (one.number,)).fetchone()
        ids += [] if elsewhere else [one.number]
    for id in ids:
        here = rows.execute(f"SELECT {TRIAL_COLUMNS} FROM trials WHERE id = ?", (id,)).fetchone()
        if here is not None and here[1:] == row[1:]:
            return int(id)
    return None
