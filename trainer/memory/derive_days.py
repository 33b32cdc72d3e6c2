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
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from operator import add
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.memory.answer_times import STEPS, packed, step_of, unpacked
from trainer.memory.tallies import tempo_band
from trainer.memory.trial import RIGHT, Counted

if TYPE_CHECKING:  # the caller's own
    from trainer.memory.outcome_rows import Rows

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
SETTLED = timedelta(days=3)
"""So long after its date no trial can belong to a practice day any more, whatever the player's offset."""

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


class _Answers(dict[tuple[Any, ...], _Answer]):
    """What is summed up of trials, each answer once, for very many are alike."""

    def of(self, trial: Counted) -> _Answer:
        """What is summed up of a trial."""
        values = (trial.credit, trial.guess_chance, not trial.helps, step_of(trial.answer_s - trial.sound_s))
        answer = self.get(values)
        if answer is None:
            credit, guess, unaided, step = values
            answer = self[values] = (
                int(credit >= RIGHT), int(not unaided), int(credit * MILLIONTHS + 0.5),
                int(guess * MILLIONTHS + 0.5), step,
            )  # fmt: skip
        return answer


class _Waiting:
    """Answers by all the names that they are counted under; summed up when they are written."""

    def __init__(self, answers: _Answers) -> None:
        self._answers = answers
        self._weeks: defaultdict[tuple[str, str], list[_Answer]] = defaultdict(list)
        self._facets: dict[tuple[str, str], tuple[defaultdict[Any, list[_Answer]], ...]] = {}
        """By unit and quarter: by kind, key, voicing and tempo."""
        self.mistaken: defaultdict[tuple[str, str, str], int] = defaultdict(int)

    def take(self, trials: Iterable[Counted], names: Days) -> None:
        """More trials of a day."""
        for trial in trials:
            answer, unit = self._answers.of(trial), trial.unit
            self._weeks[unit, names.week].append(answer)
            facets = self._facets.get((unit, names.quarter))
            if facets is None:
                facets = self._facets[unit, names.quarter] = tuple(defaultdict(list) for _ in FACETS)
            by_kind, by_key, by_voicing, by_tempo = facets
            by_kind[trial.kind].append(answer)
            by_key[trial.key].append(answer)
            by_voicing[trial.voicing].append(answer)
            by_tempo[trial.tempo_bpm].append(answer)
            if trial.taken_for is not None:
                self.mistaken[unit, trial.taken_for, names.month] += 1

    def by_week(self) -> Iterator[tuple[tuple[str, ...], _Sums]]:
        """The sums by unit and week."""
        for (unit, week), answers in self._weeks.items():
            yield (unit, week), _summed(answers)

    def by_facet(self) -> Iterator[tuple[tuple[str, ...], _Sums]]:
        """The sums by unit, facet, quarter and value."""
        for (unit, quarter), counted in self._facets.items():
            for facet, answers_by in zip(FACETS, (*counted[:-1], _in_bands(counted[-1])), strict=True):
                for value, answers in answers_by.items():
                    yield (unit, facet, quarter, value), _summed(answers)


class Counting:
    """Counts that are waiting to be written."""

    def __init__(self, rows: "Rows") -> None:
        self._rows = rows
        self._answers = _Answers()
        self._added: defaultdict[date, list[Counted]] = defaultdict(list)
        self._taken_back: defaultdict[date, list[Counted]] = defaultdict(list)
        self._trials = 0

    def add(self, trial: Counted, day: date) -> None:
        """Count a trial of a practice day."""
        self._added[day].append(trial)
        self._trials += 1
        if self._trials >= HELD:
            self.write()

    def take_back(self, trial: Counted, day: date) -> None:
        """Count a trial no longer that was counted before."""
        self._taken_back[day].append(trial)

    def write(self) -> None:
        """Bring the rows up to date with all that was counted; inside a transaction of the caller's."""
        for by_day, times in ((self._added, 1), (self._taken_back, -1)):
            waiting = _Waiting(self._answers)
            for day, trials in by_day.items():
                names = names_of(day)
                waiting.take(trials, names)
                self._write_day(names.day, trials, times)
            by_week = dict(waiting.by_week())
            self._write_sums("practice_weeks", ("unit", "week"), (*by_week.items(), *_of_all(by_week).items()), times)
            self._write_sums("facets", ("unit", "facet", "quarter", "value"), waiting.by_facet(), times)
            _write_mistaken(self._rows, waiting, times)
            by_day.clear()
        self._trials = 0

    def _write_day(self, day: str, trials: Sequence[Counted], times: int) -> None:
        sums = [times * one for one in _sums([self._answers.of(trial) for trial in trials])]
        slots = {slot: times * count for slot, count in _slots(trials).items()}
        row = self._rows.execute(
            "SELECT trials, exact, helped, credit, guess, slots FROM practice_days WHERE day = ?", (day,)
        ).fetchone()
        if row is not None:
            sums = [a + b for a, b in zip(sums, row[:_STEPS_FROM], strict=True)]
            for slot, count in json.loads(row[_STEPS_FROM]):
                slots[slot] = slots.get(slot, 0) + count
        if sums[0]:
            self._rows.execute(_DAY, _day_row(day, sums, slots))
        else:
            self._rows.execute("DELETE FROM practice_days WHERE day = ?", (day,))

    def _write_sums(
        self, table: str, names: tuple[str, ...], counted: Iterable[tuple[tuple[str, ...], _Sums]], times: int
    ) -> None:
        where = " AND ".join(f"{name} = ?" for name in names)
        insert = _insert(table, len(names) + 5)
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
                self._rows.execute(insert, (*key, *sums, packed(steps)))
            else:
                self._rows.execute(f"DELETE FROM {table} WHERE {where}", key)


class CountingAnew:
    """The same counts where there are none yet: days as they are over, the rest unit by unit."""

    def __init__(self, rows: "Rows") -> None:
        self._rows = rows
        self._answers = _Answers()
        self.days: defaultdict[date, list[Counted]] = defaultdict(list)
        """Trials by the days that aren't over; filled by whoever reads the log in order."""
        self._of_all: dict[tuple[str, ...], _Sums] = {}

    def settle(self, today: date) -> None:
        """Write the days that no trial of today or later can belong to."""
        self._write_days([day for day in self.days if day + SETTLED < today])

    def write_unit(self, by_day: Mapping[date, Sequence[Counted]]) -> None:
        """Write weeks, facets and confusions of a unit, all of its trials at once."""
        waiting = _Waiting(self._answers)
        for day, trials in by_day.items():
            waiting.take(trials, names_of(day))
        by_week = dict(waiting.by_week())
        _of_all(by_week, self._of_all)
        self._write_sums("practice_weeks", 2, by_week.items())
        self._write_sums("facets", 4, waiting.by_facet())
        _write_mistaken(self._rows, waiting, 1)

    def finish(self) -> None:
        """Write what is left: the newest days, and the weeks of all units together."""
        self._write_days(list(self.days))
        self._write_sums("practice_weeks", 2, self._of_all.items())

    def _write_days(self, days: Iterable[date]) -> None:
        for day in sorted(days):
            trials = self.days.pop(day)
            sums = _sums([self._answers.of(trial) for trial in trials])
            self._rows.execute(_DAY, _day_row(day.isoformat(), sums, _slots(trials)))

    def _write_sums(self, table: str, names: int, counted: Iterable[tuple[tuple[str, ...], _Sums]]) -> None:
        new = ((*key, sums[0], sums[1], *sums[3:5], packed(sums[5:])) for key, sums in sorted(counted))
        self._rows.executemany(_insert(table, names + 5), new)


_DAY = "INSERT OR REPLACE INTO practice_days VALUES (?, ?, ?, ?, ?, ?, ?, ?)"


def _insert(table: str, columns: int) -> str:
    return f"INSERT OR REPLACE INTO {table} VALUES ({', '.join('?' * columns)})"


def _day_row(day: str, sums: _Sums, slots: Mapping[int, int]) -> tuple[object, ...]:
    left = sorted((slot, count) for slot, count in slots.items() if count)
    return day, *sums, practised_s([slot for slot, _ in left]), json.dumps(left, separators=(",", ":"))


def _slots(trials: Iterable[Counted]) -> dict[int, int]:
    """How many of some trials took place in which slot."""
    slots: list[int] = []
    for trial in trials:
        ended_s = trial.at_utc.timestamp()
        began_s = ended_s - min(trial.answer_s, MOST_S)
        slots.extend(range(int(began_s // SLOT_S), int(ended_s // SLOT_S) + 1))
    return Counter(slots)


def _of_all(
    by_week: Mapping[tuple[str, ...], _Sums], so_far: dict[tuple[str, ...], _Sums] | None = None
) -> dict[tuple[str, ...], _Sums]:
    """The sums of all units by week, added to those so far."""
    of_all = {} if so_far is None else so_far
    for (_, week), sums in by_week.items():
        before = of_all.get((ALL_UNITS, week))
        of_all[ALL_UNITS, week] = sums if before is None else list(map(add, before, sums))
    return of_all


def _write_mistaken(rows: "Rows", waiting: _Waiting, times: int) -> None:
    rows.executemany(
        "INSERT INTO mistaken VALUES (?, ?, ?, ?) ON CONFLICT DO UPDATE SET trials = trials + excluded.trials",
        ((*key, times * count) for key, count in waiting.mistaken.items()),
    )
    if times < 0:
        rows.execute("DELETE FROM mistaken WHERE trials = 0")


def _sums(answers: Sequence[_Answer]) -> _Sums:
    """How many answers there are, and what is summed up of them but for the steps."""
    exact, helped, credit, guess, _ = zip(*answers, strict=True)
    return [len(answers), sum(exact), sum(helped), sum(credit), sum(guess)]


def _summed(answers: Sequence[_Answer]) -> _Sums:
    """What some answers come to."""
    counts = [0] * STEPS
    for answer in answers:
        counts[answer[-1]] += 1
    return _sums(answers) + counts


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
