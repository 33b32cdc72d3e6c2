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
from itertools import chain
from struct import Struct
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

_WIDTH = 4 * STEPS + 40
"""Bytes of an answer's number."""
_SUMS = Struct("<5Q")

_Sums = tuple[int, ...]
"""Trials, all right, with help, credit, guess."""
_Values = defaultdict[Any, list[int]]
_ByFacet = tuple[_Values, _Values, _Values, _Values]
"""Answers by kind, key, voicing and tempo."""

Entry = tuple["Days", Counted, int]
"""The names of a trial's practice day, the trial, and what is summed up of it: see `Answers`."""


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


class Answers:
    """What is summed up of trials, as one whole number each, so that a sum of these has all sums in it.

    Its bytes, little end first: a count of four bytes for each step of answer times, as they are stored, then eight
    each for trials, all right, with help, credit and chance of guessing.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[float, float, bool, int], int] = {}
        """Each answer once, for very many are alike."""

    def of(self, trial: Counted) -> int:
        """What is summed up of a trial."""
        values = (trial.credit, trial.guess_chance, not trial.helps, step_of(trial.answer_s - trial.sound_s))
        answer = self._known.get(values)
        if answer is None:
            credit, guess, unaided, step = values
            sums = (1, credit >= RIGHT, not unaided, int(credit * MILLIONTHS + 0.5), int(guess * MILLIONTHS + 0.5))
            number = int.from_bytes(_SUMS.pack(*sums), "little") << 32 * STEPS
            answer = self._known[values] = number + (1 << 32 * step)
        return answer


def _sums(answers: Iterable[int]) -> tuple[_Sums, bytes]:
    """Trials, all right, with help, credit and guess of some answers, and their steps as they are stored."""
    stored = sum(answers).to_bytes(_WIDTH, "little")
    return _SUMS.unpack_from(stored, 4 * STEPS), stored[: 4 * STEPS]


class _Waiting:
    """Answers by all the names that they are counted under; summed up when they are written."""

    def __init__(self) -> None:
        self.weeks: defaultdict[str, defaultdict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
        """By week and unit."""
        self.quarters: defaultdict[str, defaultdict[str, _ByFacet]] = defaultdict(lambda: defaultdict(_by_facet))
        """By quarter and unit."""
        self.mistaken: defaultdict[tuple[str, str, str], int] = defaultdict(int)

    def take(self, entries: Iterable[Entry]) -> None:
        """More trials."""
        last_unit, last_names = "", None
        for names, trial, answer in entries:
            if names is not last_names or trial.unit != last_unit:
                last_unit, last_names = trial.unit, names
                week = self.weeks[names.week][last_unit]
                by_kind, by_key, by_voicing, by_tempo = self.quarters[names.quarter][last_unit]
            week.append(answer)
            by_kind[trial.kind].append(answer)
            by_key[trial.key].append(answer)
            by_voicing[trial.voicing].append(answer)
            by_tempo[trial.tempo_bpm].append(answer)
            if trial.taken_for is not None:
                self.mistaken[last_unit, trial.taken_for, names.month] += 1

    def by_week(self, weeks: Iterable[str]) -> Iterator[tuple[tuple[str, ...], _Sums, bytes]]:
        """The sums of some weeks by unit, those of all units too; they are forgotten here."""
        for week in sorted(weeks):
            units = self.weeks.pop(week)
            yield (ALL_UNITS, week), *_sums(chain.from_iterable(units.values()))
            for unit, answers in sorted(units.items()):
                yield (unit, week), *_sums(answers)

    def by_facet(self, quarters: Iterable[str]) -> Iterator[tuple[tuple[str, ...], _Sums, bytes]]:
        """The sums of some quarters by unit, facet and value; they are forgotten here."""
        for quarter in sorted(quarters):
            for unit, counted in sorted(self.quarters.pop(quarter).items()):
                for facet, answers_by in zip(FACETS, (*counted[:-1], _in_bands(counted[-1])), strict=True):
                    for value, answers in answers_by.items():
                        yield (unit, facet, quarter, value), *_sums(answers)


class Counting:
    """Counts that are waiting to be written."""

    def __init__(self, rows: "Rows") -> None:
        self._rows = rows
        self._answers = Answers()
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
            waiting = _Waiting()
            for day, trials in by_day.items():
                names = names_of(day)
                entries = [(names, trial, self._answers.of(trial)) for trial in trials]
                waiting.take(entries)
                self._write_day(names.day, entries, times)
            self._write_sums("practice_weeks", ("unit", "week"), waiting.by_week(tuple(waiting.weeks)), times)
            facets = waiting.by_facet(tuple(waiting.quarters))
            self._write_sums("facets", ("unit", "facet", "quarter", "value"), facets, times)
            _write_mistaken(self._rows, waiting, times)
            by_day.clear()
        self._trials = 0

    def _write_day(self, day: str, entries: Sequence[Entry], times: int) -> None:
        sums = [times * one for one in _sums(answer for _, _, answer in entries)[0]]
        slots = {slot: times * count for slot, count in _slots(entries).items()}
        row = self._rows.execute(
            "SELECT trials, exact, helped, credit, guess, slots FROM practice_days WHERE day = ?", (day,)
        ).fetchone()
        if row is not None:
            sums = [a + b for a, b in zip(sums, row[:-1], strict=True)]
            for slot, count in json.loads(row[-1]):
                slots[slot] = slots.get(slot, 0) + count
        if sums[0]:
            self._rows.execute(_DAY, _day_row(day, sums, slots))
        else:
            self._rows.execute("DELETE FROM practice_days WHERE day = ?", (day,))

    def _write_sums(
        self, table: str, names: tuple[str, ...], counted: Iterable[tuple[tuple[str, ...], _Sums, bytes]], times: int
    ) -> None:
        where = " AND ".join(f"{name} = ?" for name in names)
        insert = _insert(table, len(names) + 5)
        for key, (trials, exact, _, credit, guess), steps in counted:
            sums = [times * one for one in (trials, exact, credit, guess)]
            row = self._rows.execute(
                f"SELECT trials, exact, credit, guess, times FROM {table} WHERE {where}", key
            ).fetchone()
            if row is not None:
                sums = [a + b for a, b in zip(sums, row[:4], strict=True)]
                steps = packed([a + times * b for a, b in zip(unpacked(row[4]), unpacked(steps), strict=True)])
            if sums[0]:
                self._rows.execute(insert, (*key, *sums, steps))
            else:
                self._rows.execute(f"DELETE FROM {table} WHERE {where}", key)


class CountingAnew:
    """The same counts where there are none yet, of a log that is read in order: written when a time is over."""

    def __init__(self, rows: "Rows") -> None:
        self._rows = rows
        self._waiting = _Waiting()

    def take(self, entries: Iterable[Entry]) -> None:
        """Count trials under their weeks, quarters and months."""
        self._waiting.take(entries)

    def write_day(self, entries: Sequence[Entry]) -> None:
        """Write a practice day, with all of its trials."""
        sums, _ = _sums(answer for _, _, answer in entries)
        self._rows.execute(_DAY, _day_row(entries[0][0].day, sums, _slots(entries)))

    def settle(self, today: date) -> None:
        """Write the weeks and quarters that no trial of today or later can belong to."""
        now = names_of(today - SETTLED)
        self._write(*([name for name in names if name < first] for names, first in (
            (self._waiting.weeks, now.week), (self._waiting.quarters, now.quarter),
        )))  # fmt: skip

    def finish(self) -> None:
        """Write what is left."""
        self._write(list(self._waiting.weeks), list(self._waiting.quarters))
        _write_mistaken(self._rows, self._waiting, 1)

    def _write(self, weeks: Sequence[str], quarters: Sequence[str]) -> None:
        for table, names, counted in (
            ("practice_weeks", 2, self._waiting.by_week(weeks)),
            ("facets", 4, self._waiting.by_facet(quarters)),
        ):
            new = ((*key, sums[0], sums[1], *sums[3:], steps) for key, sums, steps in counted)
            self._rows.executemany(_insert(table, names + 5), new)


_DAY = "INSERT OR REPLACE INTO practice_days VALUES (?, ?, ?, ?, ?, ?, ?, ?)"


def _insert(table: str, columns: int) -> str:
    return f"INSERT OR REPLACE INTO {table} VALUES ({', '.join('?' * columns)})"


def _day_row(day: str, sums: Iterable[int], slots: Mapping[int, int]) -> tuple[object, ...]:
    left = sorted((slot, count) for slot, count in slots.items() if count)
    return day, *sums, practised_s([slot for slot, _ in left]), json.dumps(left, separators=(",", ":"))


def _slots(entries: Iterable[Entry]) -> dict[int, int]:
    """How many of some trials took place in which slot."""
    slots: list[int] = []
    for _, trial, _ in entries:
        ended_s, answer_s = trial.at_utc.timestamp(), trial.answer_s
        began_s = ended_s - (answer_s if answer_s < MOST_S else MOST_S)
        slots.extend(range(int(began_s // SLOT_S), int(ended_s // SLOT_S) + 1))
    return Counter(slots)


def _write_mistaken(rows: "Rows", waiting: _Waiting, times: int) -> None:
    rows.executemany(
        "INSERT INTO mistaken VALUES (?, ?, ?, ?) ON CONFLICT DO UPDATE SET trials = trials + excluded.trials",
        ((*key, times * count) for key, count in waiting.mistaken.items()),
    )
    if times < 0:
        rows.execute("DELETE FROM mistaken WHERE trials = 0")


def _by_facet() -> "_ByFacet":
    return defaultdict(list), defaultdict(list), defaultdict(list), defaultdict(list)


def _in_bands(by_tempo: Mapping[float | None, list[int]]) -> Mapping[str, list[int]]:
    """Answers by tempo as answers by band of tempi."""
    bands: defaultdict[str, list[int]] = defaultdict(list)
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
