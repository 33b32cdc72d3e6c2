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
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.memory.answer_times import STEPS, packed, step_of, unpacked
from trainer.memory.tallies import tempo_band
from trainer.memory.trial import RIGHT, Counted

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
SETTLED = timedelta(days=3)
"""So long after its date no trial can belong to a practice day any more, whatever the player's offset."""

_Answer = tuple[int, int, int, int, int]
"""What is summed up of a trial: all right (1 or 0), with help, credit, chance of guessing, step of its time."""
_ByFacet = tuple[defaultdict[Any, list[_Answer]], ...]
"""Answers by kind, key, voicing and tempo."""
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
        self.days: defaultdict[date, list[Counted]] = defaultdict(list)
        self.weeks: defaultdict[str, defaultdict[str, list[_Answer]]] = defaultdict(lambda: defaultdict(list))
        """By week and unit."""
        self.quarters: defaultdict[str, dict[str, _ByFacet]] = defaultdict(dict)
        """By quarter and unit."""
        self.mistaken: defaultdict[tuple[str, str, str], int] = defaultdict(int)
        self._answers: dict[tuple[object, ...], _Answer] = {}
        """Each answer once, for very many are alike."""

    def fold(self, day: date) -> tuple[str, list[_Answer], list[int]]:
        """Put a day's trials under their week, quarter and month; returns its name, its answers and their slots."""
        names, slots = names_of(day), list[int]()
        week, quarter, known = self.weeks[names.week], self.quarters[names.quarter], self._answers
        answers = []
        for trial in self.days.pop(day):
            unit, answer_s = trial.unit, trial.answer_s
            of = (trial.credit, trial.guess_chance, not trial.helps, step_of(answer_s - trial.sound_s))
            answer = known.get(of)
            if answer is None:
                answer = known[of] = _answer(*of)
            answers.append(answer)
            ended_s = trial.at_utc.timestamp()
            began_s = ended_s - (answer_s if answer_s < MOST_S else MOST_S)
            slots.extend(range(int(began_s // SLOT_S), int(ended_s // SLOT_S) + 1))
            week[unit].append(answer)
            facets = quarter.get(unit)
            if facets is None:
                facets = quarter[unit] = (defaultdict(list), defaultdict(list), defaultdict(list), defaultdict(list))
            by_kind, by_key, by_voicing, by_tempo = facets
            by_kind[trial.kind].append(answer)
            by_key[trial.key].append(answer)
            by_voicing[trial.voicing].append(answer)
            by_tempo[trial.tempo_bpm].append(answer)
            if trial.taken_for is not None:
                self.mistaken[unit, trial.taken_for, names.month] += 1
        return names.day, answers, slots

    def of_week(self, week: str) -> Iterator[tuple[tuple[str, ...], _Sums]]:
        """The sums of a week by unit, those of all units too; it is forgotten here."""
        of_all: list[_Answer] = []
        for unit, answers in self.weeks.pop(week).items():
            of_all.extend(answers)
            yield (unit, week), _summed(answers)
        yield (ALL_UNITS, week), _summed(of_all)

    def of_quarter(self, quarter: str) -> Iterator[tuple[tuple[str, ...], _Sums]]:
        """The sums of a quarter by unit, facet and value; it is forgotten here."""
        for unit, counted in self.quarters.pop(quarter).items():
            for facet, answers_by in zip(FACETS, (*counted[:-1], _in_bands(counted[-1])), strict=True):
                for value, answers in answers_by.items():
                    yield (unit, facet, quarter, value), _summed(answers)


class Counting:
    """Counts that are waiting to be written."""

    def __init__(self, rows: "Rows", none_yet: bool = False) -> None:
        """none_yet: whether the tables are empty, and trials come in the order of their moments."""
        self._rows = rows
        self._none_yet = none_yet
        self._added, self._taken_back = _Waiting(), _Waiting()
        self._trials = 0

    def add(self, trial: Counted, day: date) -> None:
        """Count a trial of a practice day."""
        self._added.days[day].append(trial)
        self._trials += 1
        if self._trials >= HELD and not self._none_yet:
            self.write()

    def take_back(self, trial: Counted, day: date) -> None:
        """Count a trial no longer that was counted before."""
        self._taken_back.days[day].append(trial)

    def settle(self, today: date) -> None:
        """Write days, weeks and quarters that no trial of today or later can belong to, where tables were empty."""
        if not self._none_yet:
            return
        waiting, over = self._added, today - SETTLED
        self._write_days(waiting, [day for day in waiting.days if day < over], 1)
        now = names_of(over)
        self._write_weeks(waiting, [week for week in waiting.weeks if week < now.week], 1)
        self._write_quarters(waiting, [quarter for quarter in waiting.quarters if quarter < now.quarter], 1)

    def write(self) -> None:
        """Bring the rows up to date with all that was counted; inside a transaction of the caller's."""
        for waiting, times in ((self._added, 1), (self._taken_back, -1)):
            self._write_days(waiting, list(waiting.days), times)
            self._write_weeks(waiting, list(waiting.weeks), times)
            self._write_quarters(waiting, list(waiting.quarters), times)
            self._write_mistaken(waiting, times)
        self._added, self._taken_back, self._trials = _Waiting(), _Waiting(), 0

    def _write_weeks(self, waiting: _Waiting, weeks: Iterable[str], times: int) -> None:
        for week in sorted(weeks):
            self._write_sums("practice_weeks", ("unit", "week"), waiting.of_week(week), times)

    def _write_quarters(self, waiting: _Waiting, quarters: Iterable[str], times: int) -> None:
        names = ("unit", "facet", "quarter", "value")
        for quarter in sorted(quarters):
            self._write_sums("facets", names, waiting.of_quarter(quarter), times)

    def _write_days(self, waiting: _Waiting, days: Iterable[date], times: int) -> None:
        for date_of in sorted(days):
            day, answers, in_slots = waiting.fold(date_of)
            sums = [times * one for one in _sums(answers)]
            slots = Counter(in_slots)
            if not self._none_yet:
                slots = Counter({slot: times * count for slot, count in slots.items()})
                row = self._rows.execute(
                    "SELECT trials, exact, helped, credit, guess, slots FROM practice_days WHERE day = ?", (day,)
                ).fetchone()
                if row is not None:
                    sums = [a + b for a, b in zip(sums, row[:_STEPS_FROM], strict=True)]
                    for slot, count in json.loads(row[_STEPS_FROM]):
                        slots[slot] += count
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
        marks = ", ".join("?" * (len(names) + 5))
        insert = f"INSERT OR REPLACE INTO {table} VALUES ({marks})"
        if self._none_yet:
            new = ((*key, sums[0], sums[1], *sums[3:5], packed(sums[5:])) for key, sums in counted)
            self._rows.executemany(insert, new)
            return
        where = " AND ".join(f"{name} = ?" for name in names)
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

    def _write_mistaken(self, waiting: _Waiting, times: int) -> None:
        self._rows.executemany(
            "INSERT INTO mistaken VALUES (?, ?, ?, ?) ON CONFLICT DO UPDATE SET trials = trials + excluded.trials",
            ((*key, times * count) for key, count in waiting.mistaken.items()),
        )
        if times < 0:
            self._rows.execute("DELETE FROM mistaken WHERE trials = 0")


def _answer(credit: float, guess: float, unaided: bool, step: int) -> _Answer:
    """What is summed up of a trial with these values."""
    return int(credit >= RIGHT), int(not unaided), int(credit * MILLIONTHS + 0.5), int(guess * MILLIONTHS + 0.5), step


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
