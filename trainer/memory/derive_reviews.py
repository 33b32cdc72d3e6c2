"""Reviews in the store: a unit's days rated by the table, each review after the one before it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from trainer.memory.derive_days import SETTLED
from trainer.memory.outcome_rows import Rows, outcomes
from trainer.memory.schedule import RULES, Rating, Review, Settings, Succession, rated, reviewed
from trainer.memory.trial import Counted, day_of

REVIEW_COLUMNS = "unit, day, rating, rule, stability, difficulty, due_day, trials"
_RULE = {rule.id: rule for rule in RULES}
_Day = tuple[str, date]


def review_of(row: Sequence[Any]) -> Review:
    """The review in a row of REVIEW_COLUMNS."""
    unit, day, rating, rule, stability, difficulty, due_day, trials = row
    return Review(
        unit, date.fromisoformat(day), Rating(rating), rule, stability, difficulty,
        date.fromisoformat(due_day), trials,
    )  # fmt: skip


class ReviewsAnew:
    """The reviews of units that have none yet, day after day."""

    def __init__(self, rows: Rows, settings: Settings) -> None:
        self._rows, self._settings = rows, settings
        self._reviews: dict[str, Succession] = {}
        self._written: list[tuple[object, ...]] = []

    def take(self, day: date, trials: Iterable[Counted]) -> None:
        """Review all of a day's trials, slips left out; days come in order."""
        by_unit: defaultdict[str, list[Counted]] = defaultdict(list)
        for trial in trials:
            by_unit[trial.unit].append(trial)
        text = day.isoformat()
        for unit, of_unit in by_unit.items():
            rule = rated(of_unit)
            reviews = self._reviews.get(unit)
            if reviews is None:
                reviews = self._reviews[unit] = Succession(self._settings)
            stability, difficulty, due_day = reviews.next(day, rule)
            due = due_day.isoformat()
            self._written.append((unit, text, int(rule.rating), rule.id, stability, difficulty, due, len(of_unit)))

    def write(self) -> None:
        """Write the reviews so far."""
        _write_reviews(self._rows, self._written)
        self._written.clear()


def _review_row(review: Review, trials: int) -> tuple[object, ...]:
    return (
        review.unit, review.day.isoformat(), int(review.rating), review.rule, review.stability, review.difficulty,
        review.due_day.isoformat(), trials,
    )  # fmt: skip


def _write_reviews(rows: Rows, reviews: Iterable[tuple[object, ...]]) -> None:
    rows.executemany(f"INSERT INTO reviews ({REVIEW_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)", reviews)


def review_again(rows: Rows, touched: set[_Day], settings: Settings) -> None:
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
                found = _outcomes_of(rows, unit, day, settings)
                if not found:
                    continue
                rule, trials = rated(found), len(found)
            else:
                rule, trials = _RULE[later[day].rule], later[day].trials
            review = reviewed(review, unit, day, rule, settings)
            new.append(_review_row(review, trials))
        _write_reviews(rows, new)


def _outcomes_of(rows: Rows, unit: str, day: date, settings: Settings) -> tuple[Counted, ...]:
    near = ((day - SETTLED).isoformat(), (day + SETTLED).isoformat())
    found = outcomes(rows, "WHERE unit = ? AND slip = 0 AND at_utc BETWEEN ? AND ?", (unit, *near))
    return tuple(outcome for outcome in found if day_of(outcome, settings.day_ends_hour) == day)
