"""The player's memory on disk: one SQLite file, the only place that knows SQLite.

The log (trials and corrections) is added to and never changed; triggers hold that against any program.
`append` returns when the trial is durable: write-ahead log, synchronous=FULL, and at creation the folder
entry. Everything else is computed from the log by `refresh`; `rebuild` throws it away and computes it again,
row for row the same. Migrations are numbered files, each applied in one transaction together with the version
it reaches. A store that a newer keyfarer wrote is refused and left as it is.
"""

import json
import os
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from threading import RLock
from types import TracebackType

from trainer.memory import derive
from trainer.memory.chance import Model, start
from trainer.memory.derive import OUTCOME_COLUMNS, UNSLIPPED, Tally, outcome_of, review_of
from trainer.memory.model_text import read_model
from trainer.memory.schedule import DEFAULT_SETTINGS, Review, Settings
from trainer.memory.store_faults import StoreError, told_as
from trainer.memory.trial import Outcome, Trial

__all__ = ["Store", "StoreError", "open_store"]

APPLICATION_ID = 0x6B657966
"""Marks the file as ours in the SQLite header ("keyf")."""

TRIAL_COLUMNS = (
    "id, at_utc, utc_offset_minutes, session, unit, kind, rung, key, seed, material, voicing, tempo_bpm, "
    "question, answer, correct, credit, parts, guess_chance, helps, answer_s, sound_s, taken_for, "
    "rules_version"
)


def open_store(path: Path | str, settings: Settings = DEFAULT_SETTINGS, timeout_s: float = 5.0) -> "Store":
    """Open the store, or make it; bring an older one up to date.

    timeout_s: how long to wait for another program that is writing. Raises StoreError.
    """
    path = Path(path)
    if path.is_dir():
        raise StoreError(f"{path} is a folder; name a file in it.")
    with told_as(path):
        made = _made_folder(path)
        _refuse_foreign(path, timeout_s)
        connection = sqlite3.connect(path, timeout=timeout_s, isolation_level=None, check_same_thread=False)
        try:
            _prepare(connection)
            _migrate(connection, path)
        except BaseException:
            connection.close()
            raise
        for folder in made:
            _sync_folder(folder)
    return Store(path, connection, settings)


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
        places = ", ".join("?" * len(TRIAL_COLUMNS.split(", ")))
        sql = f"INSERT INTO trials ({TRIAL_COLUMNS}) VALUES ({places})"
        stored = []
        with self._writing() as connection:
            for trial in trials:
                cursor = connection.execute(sql, _trial_row(trial))
                stored.append(replace(trial, id=cursor.lastrowid or 0))
        return tuple(stored)

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
        with self._lock, told_as(self.path):
            if not derive.stale(self._connection, self.settings):
                return False
        with self._writing() as connection:
            derive.refresh(connection, self.settings)
        return True

    def rebuild(self) -> None:
        """Throw away all that is computed and compute it again from the log."""
        with self._writing() as connection:
            derive.forget(connection)
            derive.refresh(connection, self.settings)

    def stale(self) -> bool:
        """Whether `refresh` has something to do."""
        with self._lock, told_as(self.path):
            return derive.stale(self._connection, self.settings)

    def model(self) -> Model:
        """The model of the player, as far as it was refreshed."""
        rows = self._rows("SELECT model FROM player_models ORDER BY after_trial DESC LIMIT 1")
        return read_model(str(rows[0][0])) if rows else start(self.settings.day_ends_hour)

    def reviews(self) -> dict[str, Review]:
        """The newest review of every unit, as far as they were refreshed."""
        rows = self._rows(
            f"SELECT {derive.REVIEW_COLUMNS} FROM reviews AS r "
            "WHERE day = (SELECT max(day) FROM reviews WHERE unit = r.unit) ORDER BY unit"
        )
        return {review.unit: review for review in map(review_of, rows)}

    def review_history(self, unit: str) -> tuple[Review, ...]:
        """All reviews of a unit, the oldest first."""
        rows = self._rows(f"SELECT {derive.REVIEW_COLUMNS} FROM reviews WHERE unit = ? ORDER BY day", (unit,))
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
        """The newest trials of a unit (in one kind, on one rung), slips left out, the newest first."""
        where, values = "unit = ?", [unit, kind, rung]
        where += " AND kind = ?" if kind is not None else ""
        where += " AND rung = ?" if rung is not None else ""
        rows = self._rows(
            f"SELECT {OUTCOME_COLUMNS} FROM trials WHERE {where} AND {UNSLIPPED} ORDER BY id DESC LIMIT ?",
            [value for value in values if value is not None] + [limit],
        )
        return tuple(map(outcome_of, rows))

    def confusions(self, after: int = 0) -> tuple[tuple[str, str, int], ...]:
        """Unit, the unit it was taken for, how often since a trial; slips left out, the most first."""
        rows = self._rows(
            "SELECT unit, taken_for, count(*) FROM trials WHERE taken_for IS NOT NULL AND id > ? "
            f"AND {UNSLIPPED} GROUP BY 1, 2 ORDER BY 3 DESC, 1, 2",
            (after,),
        )
        return tuple((str(unit), str(other), int(str(times))) for unit, other, times in rows)

    def trials(self, after: int = 0) -> Iterator[Trial]:
        """The log from a trial on, slips included, in order; read in portions."""
        while True:
            rows = self._rows(
                f"SELECT {TRIAL_COLUMNS} FROM trials WHERE id > ? ORDER BY id LIMIT 1000", (after,)
            )
            for row in rows:
                trial = _trial_of(row)
                after = trial.id
                yield trial
            if not rows:
                return

    def slips(self) -> frozenset[int]:
        """Ids of the trials that were called a slip."""
        return frozenset(int(str(row[0])) for row in self._rows("SELECT trial FROM corrections"))

    def days_practised(self) -> tuple[date, ...]:
        """Days with at least one review, in order."""
        rows = self._rows("SELECT DISTINCT day FROM reviews ORDER BY day")
        return tuple(date.fromisoformat(str(row[0])) for row in rows)

    def _rows(self, sql: str, values: Sequence[object] = ()) -> list[tuple[object, ...]]:
        with self._lock, told_as(self.path):
            return self._connection.execute(sql, tuple(values)).fetchall()

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: durable when left, undone when an error leaves it."""
        with self._lock, told_as(self.path), _transaction(self._connection):
            yield self._connection


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _made_folder(path: Path) -> list[Path]:
    """Make the folders that are missing; returns all whose entries must be made durable."""
    missing = [folder for folder in (path.parent, *path.parent.parents) if not folder.exists()]
    path.parent.mkdir(parents=True, exist_ok=True)
    new_file = not path.exists() or path.stat().st_size == 0
    return [path.parent, *(folder.parent for folder in missing)] if new_file or missing else []


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":  # Windows has no such call; its file system logs folder entries itself.
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _refuse_foreign(path: Path, timeout_s: float) -> None:
    """Refuse what is not ours to write, through a connection that cannot write."""
    if not path.exists() or (path.is_file() and path.stat().st_size == 0):
        return
    address = f"{path.absolute().as_uri()}?mode=ro"
    connection = sqlite3.connect(address, uri=True, timeout=timeout_s, isolation_level=None)
    try:
        connection.execute("BEGIN")  # all as of one moment: another program may be making the store
        version = _number(connection, "PRAGMA user_version")
        ours = _number(connection, "PRAGMA application_id") == APPLICATION_ID
        tables = _number(connection, "SELECT count(*) FROM sqlite_master")
    finally:
        connection.close()
    if tables and not ours:
        raise StoreError(f"{path} is a database of another program; nothing was changed. Choose another.")
    if version > newest_version():
        raise StoreError(
            f"{path} was written by a newer keyfarer (its version {version}, this one knows "
            f"{newest_version()}); nothing was changed. Update keyfarer, or choose another file."
        )


def _prepare(connection: sqlite3.Connection) -> None:
    try:
        mode = connection.execute("PRAGMA journal_mode = WAL").fetchone()[0]
    except sqlite3.OperationalError:
        # Another program makes the store right now; unlike this pragma, a transaction waits its turn.
        with _transaction(connection):
            pass
        mode = connection.execute("PRAGMA journal_mode = WAL").fetchone()[0]
    # Where the file system can't share memory there is no write-ahead log; EXTRA is as durable without it.
    connection.execute(f"PRAGMA synchronous = {'FULL' if mode == 'wal' else 'EXTRA'}")
    connection.execute("PRAGMA fullfsync = ON")
    connection.execute("PRAGMA checkpoint_fullfsync = ON")
    connection.execute("PRAGMA foreign_keys = ON")


MIGRATIONS = Path(__file__).parent / "migrations"
"""A file each, its number first; beside this module in a wheel as well."""


def _migration_names() -> list[str]:
    return sorted(name for name in os.listdir(MIGRATIONS) if name.endswith(".sql"))


def migrations() -> tuple[tuple[int, str], ...]:
    """Number and text of every migration, in order."""
    return tuple((int(name[:4]), (MIGRATIONS / name).read_text(encoding="utf-8")) for name in _migration_names())


def newest_version() -> int:
    """The version this keyfarer writes."""
    return int(_migration_names()[-1][:4])


def _migrate(connection: sqlite3.Connection, path: Path) -> None:
    if _number(connection, "PRAGMA user_version") == newest_version():
        return
    for number, text in migrations():
        with _transaction(connection):
            # Asked inside the transaction: another program may have migrated in the meantime.
            if _number(connection, "PRAGMA user_version") >= number:
                continue
            for statement in _statements(text):
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {number}")


def _statements(text: str) -> Iterator[str]:
    statement = ""
    for line in text.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
    if statement.strip():
        yield statement


def _number(connection: sqlite3.Connection, sql: str) -> int:
    return int(connection.execute(sql).fetchone()[0])


def _plain(text: str) -> str:
    """The text with what no UTF-8 can hold (half surrogates from a terminal) written out."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def _trial_row(trial: Trial) -> tuple[object, ...]:
    row = (
        None, trial.at_utc.isoformat(), trial.utc_offset_minutes, trial.session, trial.unit, trial.kind,
        trial.rung, trial.key, trial.seed, trial.material, trial.voicing, trial.tempo_bpm, trial.question,
        trial.answer, trial.correct, trial.credit, trial.parts, trial.guess_chance,
        json.dumps(trial.helps, ensure_ascii=False), trial.answer_s, trial.sound_s, trial.taken_for,
        trial.rules_version,
    )  # fmt: skip
    return tuple(_plain(value) if isinstance(value, str) else value for value in row)


def _trial_of(row: Iterable[object]) -> Trial:
    named = dict(zip(TRIAL_COLUMNS.split(", "), row, strict=True))
    named["at_utc"] = datetime.fromisoformat(str(named["at_utc"]))
    named["helps"] = tuple(json.loads(str(named["helps"])))
    return Trial(**named)  # type: ignore[arg-type]
