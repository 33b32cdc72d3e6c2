"""What the player sees over time, counted from the log: practice days, weeks, facets and confusions.

All sums are whole numbers (credit and chance of guessing in millionths), so that they come out the same in
whatever order trials are counted, and a trial that is called a slip later is taken back exactly. Whoever reads
the log adds each trial that counts, takes back those counted before, and writes once.

How long was practised: a trial takes the time from the start of its sound to the answer, the newest MOST_S of it
where the player was away, in slots of SLOT_S seconds; pauses up to PAUSE_S between two are practice too (the
answer is read, the next question comes), longer ones are not.
"""

import json
from collections.abc import Iterator
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

from trainer.memory.answer_times import STEPS, packed, step_of, unpacked
from trainer.memory.tallies import tempo_band
from trainer.memory.trial import Outcome

if TYPE_CHECKING:  # the caller's own
    from trainer.memory.derive import Rows

TABLES = ("practice_days", "practice_weeks", "facets", "mistaken")
RULES_VERSION = 1
"""Raised whenever what is counted here changes, so that stores count anew."""
MILLIONTHS = 1_000_000
SLOT_S = 20
PAUSE_S = 120
MOST_S = 300
FACETS = ("kind", "key", "voicing", "tempo")
ALL_UNITS = ""
"""The unit that a week's row of all units has."""
HELD = 20_000
"""So many rows wait at most before they are written."""

_SUMS = 4


class Days(NamedTuple):
    """The names that a practice day is counted under."""

    day: str
    week: str
    """The Monday that its week begins with."""
    month: str
    quarter: str


def names_of(day: date) -> Days:
    """Day, week, month and quarter, "2027-03-05", "2027-03-01", "2027-03", "2027-1"."""
    monday = day - timedelta(days=day.weekday())
    return Days(
        day.isoformat(), monday.isoformat(), f"{day.year:04}-{day.month:02}", f"{day.year:04}-{(day.month + 2) // 3}"
    )


class Counting:
    """Counts that are waiting to be written."""

    def __init__(self, rows: "Rows") -> None:
        self._rows = rows
        self._names: dict[date, Days] = {}
        self._days: dict[str, list[int]] = {}
        self._slots: dict[str, dict[int, int]] = {}
        self._weeks: dict[tuple[str, str], list[int]] = {}
        self._facets: dict[tuple[str, str, str, str], list[int]] = {}
        self._mistaken: dict[tuple[str, str, str], int] = {}

    def add(self, trial: Outcome, day: date) -> None:
        """Count a trial of a practice day."""
        self._count(trial, day, 1)

    def take_back(self, trial: Outcome, day: date) -> None:
        """Count a trial no longer that was counted before."""
        self._count(trial, day, -1)

    def write(self) -> None:
        """Bring the rows up to date with all that was counted; inside a transaction of the caller's."""
        self._write_days()
        self._write_sums("practice_weeks", ("unit", "week"), self._weeks)
        self._write_sums("facets", ("unit", "facet", "quarter", "value"), self._facets)
        self._write_mistaken()

    def _count(self, trial: Outcome, day: date, times: int) -> None:
        names = self._names.get(day)
        if names is None:
            names = self._names[day] = names_of(day)
        exact = times if trial.right else 0
        credit = times * round(trial.credit * MILLIONTHS)
        guess = times * round(trial.guess_chance * MILLIONTHS)
        step = _SUMS + step_of(trial.answer_s - trial.sound_s)
        self._count_day(trial, names.day, times, (times, exact, times if trial.helps else 0, credit, guess))
        unit, weeks, facets = trial.unit, self._weeks, self._facets
        for week in ((unit, names.week), (ALL_UNITS, names.week)):
            sums = weeks.get(week) or weeks.setdefault(week, [0] * (_SUMS + STEPS))
            sums[0] += times
            sums[1] += exact
            sums[2] += credit
            sums[3] += guess
            sums[step] += times
        quarter = names.quarter
        for facet in (
            (unit, "kind", quarter, trial.kind), (unit, "key", quarter, trial.key),
            (unit, "voicing", quarter, trial.voicing), (unit, "tempo", quarter, tempo_band(trial.tempo_bpm)),
        ):  # fmt: skip
            sums = facets.get(facet) or facets.setdefault(facet, [0] * (_SUMS + STEPS))
            sums[0] += times
            sums[1] += exact
            sums[2] += credit
            sums[3] += guess
            sums[step] += times
        if trial.taken_for is not None:
            pair = (unit, trial.taken_for, names.month)
            self._mistaken[pair] = self._mistaken.get(pair, 0) + times
        if len(facets) >= HELD:
            self.write()

    def _count_day(self, trial: Outcome, day: str, times: int, sums: tuple[int, ...]) -> None:
        before = self._days.get(day)
        self._days[day] = list(sums) if before is None else [a + b for a, b in zip(before, sums, strict=True)]
        slots = self._slots.setdefault(day, {})
        ended_s = trial.at_utc.timestamp()
        for slot in range(int((ended_s - min(trial.answer_s, MOST_S)) // SLOT_S), int(ended_s // SLOT_S) + 1):
            slots[slot] = slots.get(slot, 0) + times

    def _write_days(self) -> None:
        for day, sums in self._days.items():
            row = self._rows.execute(
                "SELECT trials, exact, helped, credit, guess, slots FROM practice_days WHERE day = ?", (day,)
            ).fetchone()
            slots = self._slots[day]
            if row is not None:
                sums = [a + b for a, b in zip(sums, row[:5], strict=True)]
                for slot, count in json.loads(row[5]):
                    slots[slot] = slots.get(slot, 0) + count
            left = sorted((slot, count) for slot, count in slots.items() if count)
            if sums[0]:
                text = json.dumps(left, separators=(",", ":"))
                self._rows.execute(
                    "INSERT OR REPLACE INTO practice_days VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                    (day, *sums, practised_s([slot for slot, _ in left]), text),
                )
            else:
                self._rows.execute("DELETE FROM practice_days WHERE day = ?", (day,))
        self._days.clear()
        self._slots.clear()

    def _write_sums(self, table: str, names: tuple[str, ...], counted: dict[tuple[str, ...], list[int]]) -> None:
        where = " AND ".join(f"{name} = ?" for name in names)
        marks = ", ".join("?" * (len(names) + _SUMS + 1))
        for key, sums in counted.items():
            row = self._rows.execute(
                f"SELECT trials, exact, credit, guess, times FROM {table} WHERE {where}", key
            ).fetchone()
            if row is not None:
                sums = [a + b for a, b in zip(sums, (*row[:_SUMS], *unpacked(row[_SUMS])), strict=True)]
            if sums[0]:
                values = (*key, *sums[:_SUMS], packed(sums[_SUMS:]))
                self._rows.execute(f"INSERT OR REPLACE INTO {table} VALUES ({marks})", values)
            else:
                self._rows.execute(f"DELETE FROM {table} WHERE {where}", key)
        counted.clear()

    def _write_mistaken(self) -> None:
        for key, times in self._mistaken.items():
            self._rows.execute(
                "INSERT INTO mistaken VALUES (?, ?, ?, ?) ON CONFLICT DO UPDATE SET trials = trials + excluded.trials",
                (*key, times),
            )
        self._rows.execute("DELETE FROM mistaken WHERE trials = 0")
        self._mistaken.clear()


def practised_s(slots: list[int]) -> int:
    """Seconds practised in slots that are in order, short pauses between them too."""
    return SLOT_S * sum(_stretches(slots))


def _stretches(slots: list[int]) -> Iterator[int]:
    """How many slots each stretch without a long pause has."""
    first = last = None
    for slot in slots:
        if first is None or last is None or (slot - last - 1) * SLOT_S > PAUSE_S:
            if first is not None and last is not None:
                yield last - first + 1
            first = slot
        last = slot
    if first is not None and last is not None:
        yield last - first + 1
