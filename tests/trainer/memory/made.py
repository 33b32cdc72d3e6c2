"""Trials and stores for the tests of the memory, made up."""

import sqlite3
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from trainer.memory.derive import DERIVED
from trainer.memory.trial import Outcome, Trial

MONDAY = datetime(2027, 3, 1, 18, 0, tzinfo=UTC)
"""Six in the evening in Greenwich, the first evening of practice."""
KEYS = tuple(f"{tonic} major" for tonic in ("C", "F", "Bb", "Eb", "Ab", "Db", "F#", "B", "E", "A", "D", "G"))


def trial(after: timedelta = timedelta(0), **values: Any) -> Trial:
    """A right answer on rung 3, so long after MONDAY, unless values say otherwise."""
    usual: dict[str, Any] = {
        "at_utc": MONDAY + after, "utc_offset_minutes": 0, "session": "evening", "unit": "major-two-five-one",
        "kind": "name-functions", "rung": 3, "key": "Bb major", "seed": 11, "material": "table",
        "voicing": "shells", "tempo_bpm": 92.0, "question": "{}", "answer": "2 5 1",
        "correct": "ii7 V7 Imaj7",
        "credit": 1.0, "guess_chance": 0.02, "answer_s": 12.0, "sound_s": 8.0,
    }  # fmt: skip
    return Trial(**{**usual, **values})


def outcome(after: timedelta = timedelta(0), **values: Any) -> Outcome:
    """The same as an outcome only."""
    usual: dict[str, Any] = {
        "at_utc": MONDAY + after, "utc_offset_minutes": 0, "unit": "major-two-five-one",
        "kind": "name-functions", "rung": 3, "key": "Bb major", "credit": 1.0, "guess_chance": 0.02,
        "answer_s": 12.0, "sound_s": 8.0,
    }  # fmt: skip
    return Outcome(**{**usual, **values})


def rows_of(path: Path, tables: Iterable[str]) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of some tables, read by a connection of the test's own."""
    connection = sqlite3.connect(path)
    try:
        return {table: connection.execute(f"SELECT * FROM {table}").fetchall() for table in tables}
    finally:
        connection.close()


def rows_everywhere(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    """All that is computed, without the row numbers that each store gives by itself."""
    connection = sqlite3.connect(path)
    try:
        found = {}
        for table in DERIVED:
            names = [row[1] for row in connection.execute(f"PRAGMA table_info({table})") if row[1] != "trial"]
            found[table] = sorted(connection.execute(f"SELECT {', '.join(names)} FROM {table}").fetchall(), key=repr)
        return found
    finally:
        connection.close()
