"""What is computed from the log: outcomes, reviews, tallies and the model of the player, grown step by step.

One order holds for everything: by moment, then by store and number there (of two stores that logged at the same
moment), so that two logs merged either way give the same rows. `refresh` reads only what is new since last time,
and what a late trial (merged, or logged after the clock was set back) or a slip has changed behind it; the rows it
leaves are those that a computation from nothing would give, to the last bit. Slips are left out everywhere.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from itertools import islice
from typing import Any, NamedTuple, Protocol

from trainer.memory import derive_days, derive_newest
from trainer.memory.chance import CHANCE_RULES_VERSION, Model, grown, start
from trainer.memory.derive_days import SETTLED
from trainer.memory.model_text import read_model, write_model
from trainer.memory.schedule import (
    RATING_RULES_VERSION,
    RULES,
    Rating,
    Review,
    Settings,
    Succession,
    model_version,
    rated,
    reviewed,
)
from trainer.memory.tallies import Tallies
from trainer.memory.trial import Counted, Heard, Outcome, PracticeDays, day_of

OUTCOME_COLUMNS = (
    "trial, at_utc, utc_offset_minutes, unit, kind, rung, key, voicing, tempo_bpm, credit, guess_chance, helps, "
    "answer_s, sound_s, taken_for"
)
REVIEW_COLUMNS = "unit, day, rating, rule, stability, difficulty, due_day, trials"
PLACE = "at_utc, store, number, trial"
"""A trial's place in the order; its row number decides only where a copied store logged twice at one moment."""
IN_ORDER = f"ORDER BY {PLACE}"
NEWEST_FIRST = "ORDER BY at_utc DESC, store DESC, number DESC, trial DESC"

MODEL_EVERY = 256
"""The model is kept after every so many trials, the fewer the older, to go back to when the past changes."""
MOST_PORTIONS = 16
"""So many times MODEL_EVERY trials are read at once where no model between them is kept."""

DERIVED = ("outcomes", "reviews", "tallies", "player_models", *derive_days.TABLES, *derive_newest.TABLES)
_RULE = {rule.id: rule for rule in RULES}
_Day = tuple[str, date]


class Rows(Protocol):
    """A database connection, as far as it is needed here."""

    def execute(self, sql: str, parameters: Any = ..., /) -> Any:
        """Run one statement."""
        ...

    def executemany(self, sql: str, parameters: Iterable[Any], /) -> Any:
        """Run one statement for each row."""
        ...


class _Mark(NamedTuple):
    trial: int
    correction: int


class _Place(NamedTuple):
    at_utc: str
    store: str
    number: int
    trial: int


class _Changes(NamedTuple):
    """What is new since the rows were last computed."""

    through: int
    """The last trial that had been read."""
    first: _Place | None
    """The first in order of all trials that are new or have become a slip."""
    again: frozenset[str]
    """Units whose past has changed: a late trial or a slip."""
    slipped: tuple[Heard, ...]
    """Trials counted before that have become slips."""


def rules_text(settings: Settings) -> str:
    """The rules and settings that derived rows depend on, as one text to compare."""
    return (
        f"rating {RATING_RULES_VERSION}, chance {CHANCE_RULES_VERSION}, "
        f"day ends {settings.day_ends_hour}, retention {settings.retention!r}, "
        f"seen {derive_days.RULES_VERSION}, {derive_newest.RULES}"
    )


def stale(rows: Rows, settings: Settings) -> bool:
    """Whether the log holds more than the derived rows have read, or the rules have changed."""
    through, rules, _ = _derived_from(rows)
    return rules != rules_text(settings) or through != _log_end(rows)


def forget(rows: Rows) -> None:
    """Throw away every derived row; marks that were computed again stay."""
    for table in DERIVED:
        rows.execute(f"DELETE FROM {table}")
    rows.execute("UPDATE derived_from SET through_trial = 0, through_correction = 0, rules = '', forgetting = ''")


def refresh(rows: Rows, settings: Settings) -> None:
    """Bring the derived rows up to date; inside a transaction of the caller's."""
    through, rules, forgetting = _derived_from(rows)
    if rules != rules_text(settings) or forgetting != model_version():
        forget(rows)
        through = _Mark(0, 0)
    end = _log_end(rows)
    changes = _take_in(rows, through)
    if changes.first is not None:
        _grow(rows, changes, settings)
    rows.execute(
        "UPDATE derived_from SET through_trial = ?, through_correction = ?, rules = ?, forgetting = ?",
        (*end, rules_text(settings), model_version()),
    )


def outcome_of(row: Sequence[Any]) -> Outcome:
    """The outcome in a row of OUTCOME_COLUMNS."""
    return Outcome(
        id=row[0], at_utc=datetime.fromisoformat(row[1]), utc_offset_minutes=row[2], unit=row[3], kind=row[4],
        rung=row[5], key=row[6], voicing=row[7], tempo_bpm=row[8], credit=row[9], guess_chance=row[10],
        helps=() if row[11] == "[]" else tuple(json.loads(row[11])),
        answer_s=row[12], sound_s=row[13], taken_for=row[14],
    )  # fmt: skip


def _heard_of(rows: Iterable[Sequence[Any]]) -> Iterator[Heard]:
    """The outcomes in rows of OUTCOME_COLUMNS and more."""
    moment, make = datetime.fromisoformat, Heard
    for (
        id,
        at,
        offset,
        unit,
        kind,
        rung,
        key,
        voicing,
        tempo,
        credit,
        guess,
        helps,
        answer_s,
        sound_s,
        other,
        *_,
    ) in rows:
        yield make(
            id, moment(at), offset, unit, kind, rung, key, voicing, tempo, credit, guess,
            () if helps == "[]" else tuple(json.loads(helps)), answer_s, sound_s, other,
        )  # fmt: skip


def review_of(row: Sequence[Any]) -> Review:
    """The review in a row of REVIEW_COLUMNS."""
    unit, day, rating, rule, stability, difficulty, due_day, trials = row
    return Review(
        unit, date.fromisoformat(day), Rating(rating), rule, stability, difficulty,
        date.fromisoformat(due_day), trials,
    )  # fmt: skip


def _derived_from(rows: Rows) -> tuple[_Mark, str, str]:
    row = rows.execute("SELECT through_trial, through_correction, rules, forgetting FROM derived_from").fetchone()
    return _Mark(row[0], row[1]), row[2], row[3]


def _log_end(rows: Rows) -> _Mark:
    return _Mark(
        *(
            rows.execute(f"SELECT coalesce(max(id), 0) FROM {table}").fetchone()[0]
            for table in ("trials", "corrections")
        )
    )


def _take_in(rows: Rows, through: _Mark) -> _Changes:
    """Bring the outcomes up to date with the log; returns what that changes."""
    newest = _first_place(rows, f"WHERE 1 {NEWEST_FIRST}", ())
    indices = () if through.trial else _without_indices(rows)
    rows.execute(
        "INSERT INTO outcomes SELECT t.id, t.at_utc, coalesce(i.store, s.id), coalesce(i.number, t.id), "
        "t.utc_offset_minutes, t.unit, t.kind, t.rung, t.key, t.voicing, t.tempo_bpm, coalesce(m.credit, t.credit), "
        "coalesce(m.guess_chance, t.guess_chance), t.helps, t.answer_s, t.sound_s, "
        "CASE WHEN m.trial IS NULL THEN t.taken_for ELSE m.taken_for END, t.rules_version, "
        "EXISTS (SELECT 1 FROM corrections WHERE trial = t.id) "
        "FROM trials AS t JOIN this_store AS s LEFT JOIN imported AS i ON i.trial = t.id "
        "LEFT JOIN remarked AS m ON m.trial = t.id WHERE t.id > ?",
        (through.trial,),
    )
    for index in indices:
        rows.execute(index)
    told = (through.trial, through.correction)
    where = "WHERE trial <= ? AND slip = 0 AND trial IN (SELECT trial FROM corrections WHERE id > ?)"
    slipped = _outcomes(rows, where, told)
    firsts = [
        _first_place(rows, f"{where} {IN_ORDER}", told),
        _first_place(rows, f"WHERE trial > ? {IN_ORDER}", (through.trial,)),
    ]
    rows.execute(f"UPDATE outcomes SET slip = 1 {where}", told)
    again = {outcome.unit for outcome in slipped}
    if newest is not None:
        late = f"SELECT DISTINCT unit FROM outcomes WHERE at_utc <= ? AND trial > ? AND ({PLACE}) < (?, ?, ?, ?)"
        again |= {row[0] for row in rows.execute(late, (newest.at_utc, through.trial, *newest))}
    first = min((place for place in firsts if place is not None), default=None)
    return _Changes(through.trial, first, frozenset(again), slipped)


def _without_indices(rows: Rows) -> tuple[str, ...]:
    """Drop the indices of outcomes, for many rows are sorted faster than put in place one by one; returns them."""
    sql = "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND tbl_name = 'outcomes' AND sql IS NOT NULL"
    found = rows.execute(sql).fetchall()
    for name, _ in found:
        rows.execute(f"DROP INDEX {name}")
    return tuple(sql for _, sql in found)


def _first_place(rows: Rows, where: str, values: Sequence[object]) -> _Place | None:
    row = rows.execute(f"SELECT {PLACE} FROM outcomes {where} LIMIT 1", values).fetchone()
    return None if row is None else _Place(*row)


def _outcomes(rows: Rows, where: str, values: Sequence[object]) -> tuple[Heard, ...]:
    return tuple(_heard_of(rows.execute(f"SELECT {OUTCOME_COLUMNS} FROM outcomes {where} {IN_ORDER}", values)))


def _grow(rows: Rows, changes: _Changes, settings: Settings) -> None:
    """Go once through the outcomes, in order, from the newest model before the first change to the end."""
    assert changes.first is not None
    rows.execute(f"DELETE FROM player_models WHERE ({PLACE}) >= (?, ?, ?, ?)", changes.first)
    place, model, count = _newest_model(rows, settings)
    whole = changes.through == 0
    tallies, newest = Tallies(rows, none_yet=whole), derive_newest.Reading(rows)
    counting, days = derive_days.Counting(rows, none_yet=whole), _Days(rows, settings)
    day_of_trial = PracticeDays(settings.day_ends_hour).of
    for unit in sorted(changes.again):
        outcomes = _outcomes(rows, "WHERE unit = ? AND slip = 0", (unit,))
        tallies.again(unit, outcomes)
        newest.again(unit)
        for one in outcomes:
            newest.add(one, day_of_trial(one))
    touched = {(outcome.unit, day_of_trial(outcome)) for outcome in changes.slipped}
    for one in changes.slipped:
        counting.take_back(one, day_of_trial(one))
    models = _Models(count, rows.execute("SELECT count(*) FROM outcomes").fetchone()[0], model)
    waiting = _rows_after(rows, place)
    last, today = date.min, date.min
    while portion := tuple(islice(waiting, models.next_stop() - models.count)):
        heard = tuple(_heard_of(row for row in portion if not row[-1]))
        models.take(heard, portion)
        for outcome in heard:
            if outcome.id <= changes.through:
                continue
            day = day_of_trial(outcome)
            if whole and day is not last:
                last = day
                if outcome.at_utc.date() > today:
                    today = outcome.at_utc.date()
                    days.settle(today)
                    counting.settle(today)
            counting.add(outcome, day)
            if outcome.unit not in changes.again:
                tallies.count(outcome)
                newest.add(outcome, day)
            if whole:
                days.take(day, outcome)
            else:
                touched.add((outcome.unit, day))
    tallies.write()
    counting.write()
    newest.write()
    days.finish()
    _review_again(rows, touched, settings)
    models.write(rows)


def _newest_model(rows: Rows, settings: Settings) -> tuple[_Place, Model, int]:
    row = rows.execute(f"SELECT {PLACE}, model, trials FROM player_models ORDER BY trials DESC LIMIT 1").fetchone()
    if row is None:
        return _Place("", "", 0, 0), start(settings.day_ends_hour), 0
    return _Place(*row[:4]), read_model(row[4]), row[5]


def _rows_after(rows: Rows, place: _Place) -> Iterator[Sequence[Any]]:
    """Rows of OUTCOME_COLUMNS, store, number and slip after a place, in order."""
    sql = f"SELECT {OUTCOME_COLUMNS}, store, number, slip FROM outcomes WHERE at_utc >= ? AND ({PLACE}) > (?, ?, ?, ?)"
    found: Iterator[Sequence[Any]] = rows.execute(f"{sql} {IN_ORDER}", (place.at_utc, *place))
    return found


class _Models:
    """The model of the player, growing by portions, and those of its stages that are kept."""

    def __init__(self, count: int, end: int, model: Model) -> None:
        self.count, self.end, self.model = count, end, model
        self.kept: list[tuple[object, ...]] = []

    def next_stop(self) -> int:
        """The count of trials up to which the next portion goes: where a model is kept, or far enough."""
        stop = self.count - self.count % MODEL_EVERY + MODEL_EVERY
        far = stop + MODEL_EVERY * (MOST_PORTIONS - 1)
        while stop < far and not kept(stop, self.end):
            stop += MODEL_EVERY
        return stop

    def take(self, outcomes: Sequence[Counted], portion: Sequence[Sequence[Any]]) -> None:
        """The next outcomes without slips, and their rows with them: a slip counts for nothing and keeps its place."""
        self.count += len(portion)
        self.model = grown(self.model, outcomes)
        if kept(self.count, self.end):
            last = portion[-1]
            self.kept.append((self.count, last[1], last[-3], last[-2], last[0], write_model(self.model)))

    def write(self, rows: Rows) -> None:
        """Write the models that are kept, and throw away those that no longer are."""
        rows.executemany("INSERT OR REPLACE INTO player_models VALUES (?, ?, ?, ?, ?, ?)", self.kept)
        there = [row[0] for row in rows.execute("SELECT trials FROM player_models")]
        gone = [(trials,) for trials in there if not kept(trials, self.end)]
        rows.executemany("DELETE FROM player_models WHERE trials = ?", gone)


def kept(trials: int, end: int) -> bool:
    """Whether the model after so many trials is kept in a log of `end` trials: two for each doubling of the age."""
    if trials == end or trials % MODEL_EVERY:
        return trials == end
    portion = trials // MODEL_EVERY
    return end // MODEL_EVERY - portion < 2 * (portion & -portion)


class _Days:
    """The trials of each unit's days as they come in from the first on, and their reviews once a day is over."""

    def __init__(self, rows: Rows, settings: Settings) -> None:
        self.rows, self.settings = rows, settings
        self.open: dict[date, dict[str, list[Counted]]] = {}
        self.reviews: Succession | None = None
        self.written: list[tuple[object, ...]] = []

    def take(self, day: date, outcome: Counted) -> None:
        """The next outcome in order."""
        units = self.open.get(day)
        if units is None:
            units = self.open[day] = {}
        outcomes = units.get(outcome.unit)
        if outcomes is None:
            units[outcome.unit] = [outcome]
        else:
            outcomes.append(outcome)

    def settle(self, today: date) -> None:
        """Review the days that no trial of today or later can belong to."""
        for day in sorted(one for one in self.open if one + SETTLED < today):
            self._review(day)
        if len(self.written) > 10_000:
            self._write()

    def finish(self) -> None:
        """There are no more."""
        for day in sorted(self.open):
            self._review(day)
        self._write()

    def _review(self, day: date) -> None:
        if self.reviews is None:  # the library is loaded with the first
            self.reviews = Succession(self.settings)
        text = day.isoformat()
        for unit, outcomes in sorted(self.open.pop(day).items()):
            rule = rated(outcomes)
            stability, difficulty, due_day = self.reviews.next(unit, day, rule)
            due = due_day.isoformat()
            self.written.append((unit, text, int(rule.rating), rule.id, stability, difficulty, due, len(outcomes)))

    def _write(self) -> None:
        _write_reviews(self.rows, self.written)
        self.written.clear()


def _review_row(review: Review, trials: int) -> tuple[object, ...]:
    return (
        review.unit, review.day.isoformat(), int(review.rating), review.rule, review.stability, review.difficulty,
        review.due_day.isoformat(), trials,
    )  # fmt: skip


def _write_reviews(rows: Rows, reviews: Iterable[tuple[object, ...]]) -> None:
    rows.executemany(f"INSERT INTO reviews ({REVIEW_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)", reviews)


def _review_again(rows: Rows, touched: set[_Day], settings: Settings) -> None:
    """Compute reviews again from each unit's first touched day on; untouched days keep their rating."""
    for unit in sorted({unit for unit, _ in touched}):
        days = {day for name, day in touched if name == unit}
        from_day = min(days).isoformat()
        select = f"SELECT {REVIEW_COLUMNS} FROM reviews WHERE unit = ? AND day"
        later = {one.day: one for one in map(review_of, rows.execute(f"{select} >= ?", (unit, from_day)).fetchall())}
        before = rows.execute(f"{select} < ? ORDER BY day DESC LIMIT 1", (unit, from_day)).fetchone()
        review = review_of(before) if before else None
        rows.execute("DELETE FROM reviews WHERE unit = ? AND day >= ?", (unit, from_day))
        new = []
        for day in sorted(days | set(later)):
            if day in days:
                outcomes = _outcomes_of(rows, unit, day, settings)
                if not outcomes:
                    continue
                rule, trials = rated(outcomes), len(outcomes)
            else:
                rule, trials = _RULE[later[day].rule], later[day].trials
            review = reviewed(review, unit, day, rule, settings)
            new.append(_review_row(review, trials))
        _write_reviews(rows, new)


def _outcomes_of(rows: Rows, unit: str, day: date, settings: Settings) -> tuple[Counted, ...]:
    near = ((day - SETTLED).isoformat(), (day + SETTLED).isoformat())
    found = _outcomes(rows, "WHERE unit = ? AND slip = 0 AND at_utc BETWEEN ? AND ?", (unit, *near))
    return tuple(outcome for outcome in found if day_of(outcome, settings.day_ends_hour) == day)
