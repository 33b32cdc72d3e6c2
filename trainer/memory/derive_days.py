"""What the player sees over time, counted from the log: practice days, weeks, facets and confusions.

All sums are whole numbers (credit and chance of guessing in millionths), so that they come out the same in
whatever order trials are counted, and a trial that is called a slip later is taken back exactly. Whoever reads
the log adds each trial that counts, takes back those counted before, and writes once.

How long was practised: a trial takes the time from the start of its sound to the answer, the newest MOST_S of it
where the player was away, in slots of SLOT_S seconds; pauses up to PAUSE_S between two are practice too (the
answer is read, the next question comes), longer ones are not.
"""

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.memory.answer_times import STEPS, packed, step_of, unpacked
from trainer.memory.tallies import tempo_band
from trainer.memory.trial import RIGHT, Outcome

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
HELD = 100_000
"""So many trials wait at most before they are written."""

_Answer = tuple[int, int, int, int, int]
"""What is summed up of a trial: all right (1 or 0), with help, credit, chance of guessing, step of its time."""
_Sums = list[int]
"""Trials, all right, with help, credit, guess, then the counts of the steps."""
_STEPS_FROM = 5


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


class _Waiting:
    """Answers by all the names that they are counted under; summed up when they are written."""

    def __init__(self) -> None:
        self.days: defaultdict[str, list[_Answer]] = defaultdict(list)
        self.slots: defaultdict[str, list[int]] = defaultdict(list)
        self.weeks: defaultdict[tuple[str, str], list[_Answer]] = defaultdict(list)
        self.facets: dict[tuple[str, str], tuple[defaultdict[Any, list[_Answer]], ...]] = {}
        """By unit and quarter: by kind, key, voicing and tempo."""
        self.mistaken: defaultdict[tuple[str, str, str], int] = defaultdict(int)
        self.trials = 0

    def take(self, trial: Outcome, names: Days) -> None:
        """One more trial."""
        credit, after_s = trial.credit, trial.answer_s - trial.sound_s
        answer = (
            credit >= RIGHT, bool(trial.helps), int(credit * MILLIONTHS + 0.5),
            int(trial.guess_chance * MILLIONTHS + 0.5), step_of(after_s),
        )  # fmt: skip
        unit, day = trial.unit, names.day
        self.days[day].append(answer)
        ended_s = trial.at_utc.timestamp()
        began_s = ended_s - min(trial.answer_s, MOST_S)
        self.slots[day].extend(range(int(began_s // SLOT_S), int(ended_s // SLOT_S) + 1))
        self.weeks[unit, names.week].append(answer)
        facets = self.facets.get((unit, names.quarter))
        if facets is None:
            facets = self.facets[unit, names.quarter] = tuple(defaultdict(list) for _ in FACETS)
        facets[0][trial.kind].append(answer)
        facets[1][trial.key].append(answer)
        facets[2][trial.voicing].append(answer)
        facets[3][trial.tempo_bpm].append(answer)
        if trial.taken_for is not None:
            self.mistaken[unit, trial.taken_for, names.month] += 1
        self.trials += 1

    def by_week(self) -> Iterator[tuple[tuple[str, ...], _Sums]]:
        """The sums by unit and week, those of all units too."""
        of_all: defaultdict[str, list[_Answer]] = defaultdict(list)
        for (unit, week), answers in self.weeks.items():
            of_all[week].extend(answers)
            yield (unit, week), _summed(answers)
        for week, answers in of_all.items():
            yield (ALL_UNITS, week), _summed(answers)

    def by_facet(self) -> Iterator[tuple[tuple[str, ...], _Sums]]:
        """The sums by unit, facet, quarter and value."""
        for (unit, quarter), counted in self.facets.items():
            for facet, answers_by in zip(FACETS, (*counted[:-1], _in_bands(counted[-1])), strict=True):
                for value, answers in answers_by.items():
                    yield (unit, facet, quarter, value), _summed(answers)


class Counting:
    """Counts that are waiting to be written."""

    def __init__(self, rows: "Rows") -> None:
        self._rows = rows
        self._names: dict[date, Days] = {}
        self._added, self._taken_back = _Waiting(), _Waiting()

    def add(self, trial: Outcome, day: date) -> None:
        """Count a trial of a practice day."""
        self._added.take(trial, self._names.get(day) or self._name(day))
        if self._added.trials >= HELD:
            self.write()

    def take_back(self, trial: Outcome, day: date) -> None:
        """Count a trial no longer that was counted before."""
        self._taken_back.take(trial, self._names.get(day) or self._name(day))

    def write(self) -> None:
        """Bring the rows up to date with all that was counted; inside a transaction of the caller's."""
        for waiting, times in ((self._added, 1), (self._taken_back, -1)):
            self._write_days(waiting, times)
            self._write_sums("practice_weeks", ("unit", "week"), waiting.by_week(), times)
            self._write_sums("facets", ("unit", "facet", "quarter", "value"), waiting.by_facet(), times)
            self._write_mistaken(waiting, times)
        self._added, self._taken_back = _Waiting(), _Waiting()

    def _name(self, day: date) -> Days:
        names = self._names[day] = names_of(day)
        return names

    def _write_days(self, waiting: _Waiting, times: int) -> None:
        for day, answers in waiting.days.items():
            sums = [times * one for one in _summed(answers)[:_STEPS_FROM]]
            slots = {slot: times * count for slot, count in Counter(waiting.slots[day]).items()}
            row = self._rows.execute(
                "SELECT trials, exact, helped, credit, guess, slots FROM practice_days WHERE day = ?", (day,)
            ).fetchone()
            if row is not None:
                sums = [a + b for a, b in zip(sums, row[:_STEPS_FROM], strict=True)]
                for slot, count in json.loads(row[_STEPS_FROM]):
                    slots[slot] = slots.get(slot, 0) + count
            if not sums[0]:
                self._rows.execute("DELETE FROM practice_days WHERE day = ?", (day,))
                continue
            left = sorted((slot, count) for slot, count in slots.items() if count)
            self._rows.execute(
                "INSERT OR REPLACE INTO practice_days VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (day, *sums, practised_s([slot for slot, _ in left]), json.dumps(left, separators=(",", ":"))),
            )

    def _write_sums(
        self, table: str, names: tuple[str, ...], counted: Iterable[tuple[tuple[str, ...], _Sums]], times: int
    ) -> None:
        where = " AND ".join(f"{name} = ?" for name in names)
        marks = ", ".join("?" * (len(names) + 5))
        for key, summed in counted:
            trials, exact, _, credit, guess, *steps = (times * one for one in summed)
            sums = [trials, exact, credit, guess]
            row = self._rows.execute(
                f"SELECT trials, exact, credit, guess, times FROM {table} WHERE {where}", key
            ).fetchone()
            if row is not None:
                sums = [a + b for a, b in zip(sums, row[:4], strict=True)]
                steps = [a + b for a, b in zip(steps, unpacked(row[4]), strict=True)]
            if sums[0]:
                self._rows.execute(f"INSERT OR REPLACE INTO {table} VALUES ({marks})", (*key, *sums, packed(steps)))
            else:
                self._rows.execute(f"DELETE FROM {table} WHERE {where}", key)

    def _write_mistaken(self, waiting: _Waiting, times: int) -> None:
        self._rows.executemany(
            "INSERT INTO mistaken VALUES (?, ?, ?, ?) ON CONFLICT DO UPDATE SET trials = trials + excluded.trials",
            ((*key, times * count) for key, count in waiting.mistaken.items()),
        )
        if times < 0:
            self._rows.execute("DELETE FROM mistaken WHERE trials = 0")


def _summed(answers: list[_Answer]) -> _Sums:
    """What some answers come to."""
    exact, helped, credit, guess, steps = zip(*answers, strict=True)
    counts = [0] * STEPS
    for step in steps:
        counts[step] += 1
    return [len(answers), sum(exact), sum(helped), sum(credit), sum(guess), *counts]


def _in_bands(by_tempo: Mapping[float | None, list[_Answer]]) -> Mapping[str, list[_Answer]]:
    """Answers by tempo as answers by band of tempi."""
    bands: defaultdict[str, list[_Answer]] = defaultdict(list)
    for tempo, answers in by_tempo.items():
        bands[tempo_band(tempo)].extend(answers)
    return bands


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
