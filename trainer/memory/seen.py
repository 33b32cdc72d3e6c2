"""What the store has counted, as values: practice days, weeks, facets, confusions, newest answers, firsts.

Everything comes from derived rows, so that it costs the same after a million trials. Refresh the store first for
the newest answers.
"""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from trainer.memory.answer_times import added, middle_s, unpacked
from trainer.memory.derive_days import ALL_UNITS, MILLIONTHS
from trainer.memory.derive_newest import ALL_KINDS, SHOWN
from trainer.memory.share import Share, heard_share
from trainer.memory.trial import TOP_RUNG
from trainer.memory.unit import tonic_place
from trainer.memory.usual import Tallied, beside_usual
from trainer.records import dataclass

if TYPE_CHECKING:  # the store loads SQLite
    from trainer.memory.store import Store

LATELY_ANSWERS = 120
"""Answers by key, voicing and tempo are those of a unit's newest quarters of a year that hold so many together."""
LATELY_QUARTERS = 8
"""At most so many quarters."""
LATELY_DAYS = 90
"""Confusions within so many days are recent ones, by whole months."""


@dataclass(frozen=True, slots=True)
class Counted:
    """Some answers summed up, one at least."""

    answers: int
    exact: int
    """So many all right."""
    credit: float
    guess: float
    """Credit to be expected of guessing."""
    after_s: float | None
    """The middle time from the sound's end to the answer, below zero where it came earlier; None: not kept."""

    @property
    def accuracy(self) -> float:
        """Mean credit."""
        return self.credit / self.answers

    @property
    def above_guessing(self) -> float:
        """What was heard of what guessing leaves to be heard."""
        return (self.credit - self.guess) / (self.answers - self.guess)

    @property
    def share(self) -> Share:
        """The same with bounds."""
        share = heard_share(self.answers, self.credit, self.guess)
        assert share is not None
        return share


@dataclass(frozen=True, slots=True)
class PracticeDay:
    """One day of practice."""

    day: date
    seconds: int
    """Practised, long pauses left out."""
    helped: int
    """Answers with help."""
    counted: Counted


@dataclass(frozen=True, slots=True)
class Week:
    """One week of practice, of a unit or of all."""

    monday: date
    counted: Counted


@dataclass(frozen=True, slots=True)
class Faceted:
    """A unit's lately counted answers in one key, voicing, band of tempi or kind of drill."""

    unit: str
    facet: str
    value: str
    since: str
    """The quarter of a year that they begin with, "2027-1"."""
    counted: Counted


@dataclass(frozen=True, slots=True)
class Mistaken:
    """A unit and what it was taken for."""

    unit: str
    taken_for: str
    times: int
    lately: int
    """So many of them in the last three months."""
    first_month: str
    """ "2027-03"."""
    last_month: str


@dataclass(frozen=True, slots=True)
class UnitNewest:
    """A unit's trials, and its newest answers summed up."""

    trials: int
    listed: int
    """So many newest answers are summed up, RECENT_TRIALS at most."""
    credit: float
    guess: float
    median_answer_s: float | None
    """From the start of the sound; None without answers."""
    median_after_s: float | None
    """From the end of the sound."""
    last_day: date | None
    """The practice day of the newest."""
    shown: Mapping[str, bool]
    """By kind of drill it was asked in: whether the newest answers on the top rung show it."""


@dataclass(frozen=True, slots=True)
class Firsts:
    """The days of a unit's firsts."""

    unit: str
    rungs: Mapping[int, date]
    """By rung, the first right answer without help."""
    shown: date | None
    """When the answers on the top rung first showed it, in every kind of drill asked by then."""


def practice_days(store: "Store", since: date = date.min) -> tuple[PracticeDay, ...]:
    """The days practised, the oldest first."""
    rows = store.rows(
        "SELECT day, seconds, helped, trials, exact, credit, guess FROM practice_days WHERE day >= ? ORDER BY day",
        (since.isoformat(),),
    )
    return tuple(
        PracticeDay(date.fromisoformat(day), seconds, helped, _counted(sums, None))
        for day, seconds, helped, *sums in rows
    )


def weeks(store: "Store", unit: str = ALL_UNITS) -> tuple[Week, ...]:
    """The weeks practised, the oldest first; of one unit if it is named."""
    rows = store.rows(
        "SELECT week, times, trials, exact, credit, guess FROM practice_weeks WHERE unit = ? ORDER BY week", (unit,)
    )
    return tuple(
        Week(date.fromisoformat(week), _counted(sums, middle_s(unpacked(times)))) for week, times, *sums in rows
    )


def faceted(store: "Store", unit: str, facet: str) -> tuple[Faceted, ...]:
    """A unit's answers of late by the values of a facet (kind, key, voicing, tempo), in the order of the values.

    Keys are put together by their tonic, however spelled, in the spelling that most answers have.
    """
    quarters: list[str] = []
    gathered = 0
    for quarter, trials in store.rows(
        "SELECT quarter, sum(trials) FROM facets WHERE unit = ? AND facet = ? "
        "GROUP BY quarter ORDER BY quarter DESC LIMIT ?",
        (unit, facet, LATELY_QUARTERS),
    ):
        quarters.append(quarter)
        gathered += trials
        if gathered >= LATELY_ANSWERS:
            break
    if not quarters:
        return ()
    found: dict[str, list[tuple[Any, ...]]] = {}
    names: dict[str, str] = {}
    for value, *sums in store.rows(
        "SELECT value, times, trials, exact, credit, guess FROM facets "
        "WHERE unit = ? AND facet = ? AND quarter >= ? ORDER BY trials DESC, value, quarter",
        (unit, facet, quarters[-1]),
    ):
        place = tonic_place(value) if facet == "key" else value
        names.setdefault(place, value.split(" ", 1)[0] if facet == "key" else value)
        found.setdefault(place, []).append(tuple(sums))
    rows = (Faceted(unit, facet, names[place], quarters[-1], summed(rows)) for place, rows in found.items())
    return tuple(sorted(rows, key=lambda row: row.value))


def beside(store: "Store", unit: str, facet: str) -> Mapping[str, float]:
    """By value of a facet, how much more credit a unit's answers earn there than usual; keys by `tonic_place`."""
    rows = store.rows(
        "SELECT kind, rung, value, trials, credit FROM tallies WHERE unit = ? AND facet = ?", (unit, facet)
    )
    return beside_usual((Tallied(*row) for row in rows), tonic_place if facet == "key" else str)


def summed(rows: Sequence[tuple[Any, ...]]) -> Counted:
    """Rows of times, trials, exact, credit and guess as one."""
    times: Sequence[int] = unpacked(rows[0][0]) if len(rows) == 1 else added(row[0] for row in rows)
    columns = zip(*(row[1:] for row in rows), strict=True)
    return _counted([sum(column) for column in columns], middle_s(times))


def mistaken(store: "Store", day: date, unit: str | None = None) -> tuple[Mistaken, ...]:
    """What was taken for what, the most often first, as seen from a day."""
    lately = _lately(day)
    rows = store.rows(
        "SELECT unit, taken_for, sum(trials), sum(CASE WHEN month >= ? THEN trials ELSE 0 END), min(month), max(month) "
        "FROM mistaken WHERE ? IS NULL OR unit = ? OR taken_for = ? GROUP BY 1, 2 ORDER BY 3 DESC, 1, 2",
        (lately, unit, unit, unit),
    )
    return tuple(Mistaken(*row) for row in rows)


def mistaken_lately(store: "Store", day: date) -> tuple[tuple[str, str, int], ...]:
    """What was taken for what in the last three months, and how often, the most often first."""
    rows = store.rows(
        "SELECT unit, taken_for, sum(trials) FROM mistaken WHERE month >= ? GROUP BY 1, 2 ORDER BY 3 DESC, 1, 2",
        (_lately(day),),
    )
    return tuple((str(unit), str(other), int(times)) for unit, other, times in rows)


def _lately(day: date) -> str:
    """The first month of those that count as lately."""
    return f"{day - timedelta(days=LATELY_DAYS):%Y-%m}"


def newest(store: "Store") -> Mapping[str, UnitNewest]:
    """Every unit's newest answers."""
    shown: dict[str, dict[str, bool]] = {}
    found: dict[str, UnitNewest] = {}
    for unit, kind, is_shown, trials, listed, credit, guess, answer_s, after_s, day in store.rows(
        "SELECT unit, kind, shown, trials, listed, credit, guess, answer_s, after_s, last_day FROM newest "
        "ORDER BY unit, kind"
    ):
        kinds = shown.setdefault(unit, {})
        if kind == ALL_KINDS:
            last_day = None if day is None else date.fromisoformat(day)
            found[unit] = UnitNewest(trials, listed, credit, guess, answer_s, after_s, last_day, kinds)
        else:
            kinds[kind] = bool(is_shown)
    return found


def firsts(store: "Store") -> tuple[Firsts, ...]:
    """The days of every unit's firsts, in the order of the units."""
    found: dict[str, dict[int, date]] = {}
    for unit, rung, day in store.rows("SELECT unit, rung, day FROM firsts ORDER BY unit, rung"):
        found.setdefault(unit, {})[rung] = date.fromisoformat(day)
    return tuple(
        Firsts(unit, {rung: day for rung, day in days.items() if 1 <= rung <= TOP_RUNG}, days.get(SHOWN))
        for unit, days in found.items()
    )


def _counted(sums: Sequence[int], after_s: float | None) -> Counted:
    answers, exact, credit, guess = sums
    return Counted(answers, exact, credit / MILLIONTHS, guess / MILLIONTHS, after_s)
