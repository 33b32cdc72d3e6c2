"""The player's memory on disk: one SQLite file.

The log (trials and corrections) is added to and never changed; triggers hold that against any program.
`append` returns when the trial is durable: write-ahead log, synchronous=FULL, and at creation the folder
entry. Everything else is computed from the log by `refresh`; `rebuild` throws it away and computes it again,
row for row the same. Each store has an id; a trial keeps the store that logged it first and its number there, so
that logs can be merged any number of times in any order.
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import date, datetime
from itertools import islice
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import Any

from trainer.errors import KeyfarerError
from trainer.memory import derive
from trainer.memory.chance import Model, start
from trainer.memory.derive_reviews import REVIEW_COLUMNS, review_of
from trainer.memory.logged import TRIAL_COLUMNS, Logged, trial_of, trial_row
from trainer.memory.merge import Merged, Remark, add_logged, write_remarks
from trainer.memory.model_text import read_model
from trainer.memory.opening import connected, newest_version, transaction
from trainer.memory.outcome_rows import IN_ORDER, NEWEST_FIRST, OUTCOME_COLUMNS, outcome_of
from trainer.memory.schedule import DEFAULT_SETTINGS, Review, Settings
from trainer.memory.store_faults import DAMAGED, NONSENSE, REBUILT, StoreError, faults_of, told_as, unread
from trainer.memory.tallies import Tally
from trainer.memory.trial import Outcome, Trial, TrialError, with_id
from trainer.records import dataclass

__all__ = ["Store", "StoreError", "newest_version", "open_store"]

_INSERT = f"INSERT INTO trials ({TRIAL_COLUMNS}) VALUES ({', '.join('?' * len(TRIAL_COLUMNS.split(', ')))})"
PORTION = 500
"""Trials that are read or merged at a time."""


def open_store(path: Path | str, settings: Settings = DEFAULT_SETTINGS, timeout_s: float = 5.0) -> "Store":
    """Open the store, or make it; bring an older one up to date.

    timeout_s: how long to wait for another program that is writing. Raises StoreError.
    """
    path = Path(path)
    return Store(path, connected(path, timeout_s), settings)


@dataclass(frozen=True, slots=True)
class Holds:
    """What is in a log."""

    trials: int
    slips: int
    first_at: datetime | None
    """None where there are no trials."""
    last_at: datetime | None
    stores: tuple[tuple[str, int], ...]
    """The stores that logged them first, with how many, the most first."""


class Store:
    """An open store. Can be used from several threads; other programs may have it open as well."""

    def __init__(self, path: Path, connection: sqlite3.Connection, settings: Settings) -> None:
        self.path = path
        self.settings = settings
        self._connection = connection
        self._lock = RLock()

    def __enter__(self) -> "Store":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; nothing is lost if this is never called."""
        with self._lock:
            self._connection.close()

    def append(self, trial: Trial) -> Trial:
        """Log a trial; returns it with its id once it is durable."""
        return self.append_all((trial,))[0]

    def append_all(self, trials: Sequence[Trial]) -> tuple[Trial, ...]:
        """Log trials, all of them or none; returns them with their ids once they are durable."""
        waiting = [trial_row(trial) for trial in trials]
        with self._writing() as connection:
            ids = [connection.execute(_INSERT, row).lastrowid or 0 for row in waiting]
        return tuple(map(with_id, trials, ids))

    def slip(self, trial_id: int, at_utc: datetime) -> None:
        """Log that a trial's answer was a slip of the finger; telling it twice changes nothing."""
        with self._writing() as connection:
            if not connection.execute("SELECT 1 FROM trials WHERE id = ?", (trial_id,)).fetchone():
                raise StoreError(f"there is no trial {trial_id} in {self.path} to call a slip")
            told = connection.execute("SELECT 1 FROM corrections WHERE trial = ?", (trial_id,)).fetchone()
            if not told:
                connection.execute(
                    "INSERT INTO corrections (trial, at_utc, reason) VALUES (?, ?, 'slip')",
                    (trial_id, at_utc.isoformat()),
                )

    def refresh(self) -> bool:
        """Bring what is computed up to date with the log; True when there was something to do."""
        if not self.stale():
            return False
        with self._sound(), self._writing() as connection:
            derive.refresh(connection, self.settings)
        self._to_file("PASSIVE")
        return True

    def rebuild(self, remarks: Iterable[tuple[int, Remark]] | None = None) -> None:
        """Throw away all that is computed and compute it again from the log.

        remarks: marks computed again, by the trial's id, in place of all earlier ones; None keeps those.
        """
        with self._sound(), self._writing() as connection:
            if remarks is not None:
                write_remarks(connection, remarks)
            derive.forget(connection)
            derive.refresh(connection, self.settings)
        self._to_file("TRUNCATE")

    def merge(self, trials: Iterable[Logged]) -> Merged:
        """Add trials that other stores logged, those that are not here yet; returns what was added.

        In portions, each durable: broken off and begun again it goes on. Refresh afterwards.
        """
        merged, waiting = Merged(), iter(trials)
        while portion := tuple(islice(waiting, PORTION)):
            with self._writing() as connection:
                merged = merged.plus(add_logged(connection, portion))
        return merged

    def stale(self) -> bool:
        """Whether `refresh` has something to do."""
        with self._lock, told_as(self.path):
            return derive.stale(self._connection, self.settings)

    @property
    def id(self) -> str:
        """What tells this store's log from others'."""
        return str(self._rows("SELECT id FROM this_store")[0][0])

    def model(self) -> Model:
        """The model of the player, as far as it was refreshed."""
        rows = self._rows("SELECT model FROM player_models ORDER BY trials DESC LIMIT 1")
        with self._sound():
            return read_model(str(rows[0][0])) if rows else start(self.settings.day_ends_hour)

    def reviews(self) -> dict[str, Review]:
        """The newest review of every unit, as far as they were refreshed."""
        rows = self._rows(  # from one unit to the next, so that it costs the same after years
            "WITH RECURSIVE names (name) AS (SELECT min(unit) FROM reviews UNION ALL "
            "SELECT (SELECT min(unit) FROM reviews WHERE unit > name) FROM names WHERE name IS NOT NULL) "
            f"SELECT {REVIEW_COLUMNS} FROM names JOIN reviews ON unit = name "
            "AND day = (SELECT max(day) FROM reviews WHERE unit = name) ORDER BY unit"
        )
        with self._sound():
            return {review.unit: review for review in map(review_of, rows)}

    def review_history(self, unit: str) -> tuple[Review, ...]:
        """All reviews of a unit, the oldest first."""
        rows = self._rows(f"SELECT {REVIEW_COLUMNS} FROM reviews WHERE unit = ? ORDER BY day", (unit,))
        with self._sound():
            return tuple(map(review_of, rows))

    def tallies(self, unit: str | None = None, facet: str = "all") -> tuple[Tally, ...]:
        """Trials and credit by unit, kind, rung and the values of one facet (all, key, voicing, tempo)."""
        rows = self._rows(
            "SELECT unit, kind, rung, facet, value, trials, credit, guess, answer_s, sound_s FROM tallies "
            "WHERE facet = ? AND (? IS NULL OR unit = ?) ORDER BY unit, kind, rung, value",
            (facet, unit, unit),
        )
        return tuple(Tally(*row) for row in rows)  # type: ignore[arg-type]

    def recent(
        self, unit: str, kind: str | None = None, rung: int | None = None, limit: int = 50
    ) -> tuple[Outcome, ...]:
        """The newest trials of a unit (in one kind, on one rung), slips left out, the newest first.

        As far as they were refreshed.
        """
        where, values = "unit = ?", [unit, kind, rung]
        where += " AND kind = ?" if kind is not None else ""
        where += " AND rung = ?" if rung is not None else ""
        rows = self._rows(
            f"SELECT {OUTCOME_COLUMNS} FROM outcomes WHERE {where} AND slip = 0 {NEWEST_FIRST} LIMIT ?",
            [value for value in values if value is not None] + [limit],
        )
        with self._sound():
            return tuple(map(outcome_of, rows))

    def confusions(self, after: int = 0) -> tuple[tuple[str, str, int], ...]:
        """Unit, the unit it was taken for, how often since a trial; slips left out, the most first."""
        rows = self._rows(
            "SELECT unit, taken_for, count(*) FROM outcomes WHERE taken_for IS NOT NULL AND trial > ? "
            "AND slip = 0 GROUP BY 1, 2 ORDER BY 3 DESC, 1, 2",
            (after,),
        )
        return tuple((str(unit), str(other), int(str(times))) for unit, other, times in rows)

    def trials(self, after: int = 0) -> Iterator[Trial]:
        """The log from a trial on, slips included, as it was logged here; read in portions."""
        while True:
            rows = self._rows(f"SELECT {TRIAL_COLUMNS} FROM trials WHERE id > ? ORDER BY id LIMIT {PORTION}", (after,))
            with self._sound():
                portion = tuple(map(trial_of, rows))
            for trial in portion:
                after = trial.id
                yield trial
            if not rows:
                return

    def slips(self) -> frozenset[int]:
        """Ids of the trials that were called a slip."""
        return frozenset(int(str(row[0])) for row in self._rows("SELECT trial FROM corrections"))

    def places(self) -> tuple[int, ...]:
        """Ids of all trials in the log's order: by moment, then store and number. As far as it was refreshed."""
        return tuple(int(str(row[0])) for row in self._rows(f"SELECT trial FROM outcomes {IN_ORDER}"))

    def logged(self, ids: Iterable[int]) -> Iterator[Logged]:
        """Trials with their identity and slips, in the order of their ids' row; read in portions."""
        waiting = iter(ids)
        columns = TRIAL_COLUMNS.replace("id,", "t.id,", 1)
        while portion := tuple(islice(waiting, PORTION)):
            among = f"({', '.join('?' * len(portion))})"
            slips: dict[int, tuple[datetime, ...]] = {}
            for trial, at in self._rows(f"SELECT trial, at_utc FROM corrections WHERE trial IN {among}", portion):
                slips[int(str(trial))] = (*slips.get(int(str(trial)), ()), datetime.fromisoformat(str(at)))
            found = self._rows(
                f"SELECT {columns}, coalesce(i.store, s.id), coalesce(i.number, t.id) FROM trials AS t "
                f"JOIN this_store AS s LEFT JOIN imported AS i ON i.trial = t.id WHERE t.id IN {among}",
                portion,
            )
            with self._sound():
                of = {
                    trial.id: Logged(str(store), int(str(number)), trial, slips.get(trial.id, ()))
                    for *row, store, number in found
                    for trial in (trial_of(row),)
                }
            yield from (of[id] for id in portion)

    def marked_otherwise(self, rules_version: int) -> Iterator[Trial]:
        """Trials that were marked by other rules, slips included. As far as they were refreshed."""
        ids = self._rows("SELECT trial FROM outcomes WHERE rules_version <> ? ORDER BY trial", (rules_version,))
        return (one.trial for one in self.logged(int(str(row[0])) for row in ids))

    def newest_at(self) -> datetime | None:
        """The moment of the newest trial; None before the first. As far as it was refreshed."""
        (newest,) = self._rows("SELECT max(at_utc) FROM outcomes")[0]
        return datetime.fromisoformat(str(newest)) if newest else None

    def holds(self) -> Holds:
        """What is in the log. As far as it was refreshed."""
        sql = "SELECT count(*), coalesce(sum(slip), 0), min(at_utc), max(at_utc) FROM outcomes"
        trials, slips, first, last = self._rows(sql)[0]
        stores = self._rows("SELECT store, count(*) FROM outcomes GROUP BY 1 ORDER BY 2 DESC, 1")
        return Holds(
            int(str(trials)),
            int(str(slips)),
            datetime.fromisoformat(str(first)) if first else None,
            datetime.fromisoformat(str(last)) if last else None,
            tuple((str(store), int(str(count))) for store, count in stores),
        )

    def faults(self) -> tuple[str, ...]:
        """What is broken in the file, as the database tells it; empty where all is well."""
        with self._lock, told_as(self.path):
            return faults_of(self._connection) or unread(self._connection)

    def newest_exercise(self, beginning: str) -> tuple[Trial, ...]:
        """The trials of the newest session over an exercise whose name begins so, slips included, in order.

        beginning: `exercise ` and more; other sessions are not looked up by name.
        """
        among = "FROM trials WHERE session GLOB 'exercise *' AND"  # said so, the index of these sessions is used
        begins = "session >= ?1 AND session < ?1 || char(1114111) ORDER BY at_utc DESC, id DESC LIMIT 1"
        named = self._rows(f"SELECT session {among} {begins}", (beginning,))
        if not named:
            return ()
        rows = self._rows(f"SELECT {TRIAL_COLUMNS} {among} session = ? ORDER BY at_utc, id", named[0])
        with self._sound():
            return tuple(map(trial_of, rows))

    def days_practised(self) -> tuple[date, ...]:
        """Days with at least one review, in order."""
        rows = self._rows("SELECT DISTINCT day FROM reviews ORDER BY day")
        return tuple(date.fromisoformat(str(row[0])) for row in rows)

    def rows(self, sql: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Rows of derived tables, for the views beside this file; nothing is written."""
        return self._rows(sql, values)

    def _rows(self, sql: str, values: Sequence[object] = ()) -> list[tuple[object, ...]]:
        with self._lock, told_as(self.path):
            return self._connection.execute(sql, tuple(values)).fetchall()

    @contextmanager
    def _sound(self) -> Iterator[None]:
        """Where values make no sense look whether the file is to blame; if it isn't, the program is."""
        try:
            yield
        except (*NONSENSE, TrialError) as error:
            if isinstance(error, StoreError):
                raise
            if not self._log_is_sound():
                raise StoreError(f"{self.path} {DAMAGED}") from error
            if not self._rows_are_sound():
                raise StoreError(f"{self.path} {REBUILT}") from error
            raise

    def _log_is_sound(self) -> bool:
        try:
            return not self.faults()
        except (*NONSENSE, KeyfarerError):
            return False

    def _rows_are_sound(self) -> bool:
        try:
            for row in self._rows("SELECT model FROM player_models"):
                read_model(str(row[0]))
            for row in self._rows(f"SELECT {REVIEW_COLUMNS} FROM reviews"):
                review_of(row)
            columns, where = "at_utc, helps, unit, key, answer_s, sound_s", "WHERE trial IN (SELECT id FROM trials)"
            counted = self._rows(f"SELECT trial, {columns} FROM outcomes {where} ORDER BY trial")
            where = "WHERE id IN (SELECT trial FROM outcomes)"
            return counted == self._rows(f"SELECT id, {columns} FROM trials {where} ORDER BY id")
        except (*NONSENSE, KeyfarerError):
            return False

    def _to_file(self, how: str) -> None:
        """Move what is in the write-ahead log into the file, so that it needn't be done while an answer waits.

        All of it is durable where it is: what can't be moved now is moved later.
        """
        with self._lock, suppress(sqlite3.OperationalError):
            self._connection.execute(f"PRAGMA wal_checkpoint({how})")

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: durable when left, undone when an error leaves it."""
        with self._lock, told_as(self.path), transaction(self._connection):
            yield self._connection
