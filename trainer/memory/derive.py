"""What is computed from the log: reviews, tallies and the model of the player, kept up to date step by step.

`refresh` reads only what is new since last time; the rows it leaves are those that a computation from nothing
would give, to the last bit. Slips are left out everywhere: one that is told later makes its day's review, its
unit's tallies and the model since then be computed again.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple, Protocol

from trainer.memory.chance import CHANCE_RULES_VERSION, grown, start
from trainer.memory.model_text import read_model, write_model
from trainer.memory.schedule import (
    RATING_RULES_VERSION,
    RULES,
    Rating,
    RatingRule,
    Review,
    Settings,
    model_version,
    rated,
    reviewed,
)
from trainer.memory.trial import Outcome, day_of

OUTCOME_COLUMNS = (
    "id, at_utc, utc_offset_minutes, unit, kind, rung, key, voicing, tempo_bpm, credit, guess_chance, helps, "
    "answer_s, sound_s, taken_for"
)
REVIEW_COLUMNS = "unit, day, rating, rule, stability, difficulty, due_day, trials, first_trial, last_trial"
UNSLIPPED = "NOT EXISTS (SELECT 1 FROM corrections WHERE corrections.trial = trials.id)"

MODEL_EVERY = 256
"""The model is kept after every so many trials, to go back to when a slip is told."""
MODELS_KEPT = 2
"""How many of those, the newest."""
TEMPO_BAND_BPM = 20
"""Width of the bands by which tempi are counted together."""

DERIVED = ("reviews", "tallies", "player_models")
_RULE = {rule.id: rule for rule in RULES}


class Rows(Protocol):
    """A database connection, as far as it is needed here."""

    def execute(self, sql: str, parameters: Any = ..., /) -> Any:
        """Run one statement."""
        ...

    def executemany(self, sql: str, parameters: Iterable[Any], /) -> Any:
        """Run one statement for each row."""
        ...


class Tally(NamedTuple):
    """Trials and sums over them for one unit, kind, rung and value of a facet."""

    unit: str
    kind: str
    rung: int
    facet: str
    value: str
    trials: int
    credit: float
    guess: float
    answer_s: float
    sound_s: float


class _Mark(NamedTuple):
    trial: int
    correction: int


def rules_text(settings: Settings) -> str:
    """The rules and settings that derived rows depend on, as one text to compare."""
    return (
        f"rating {RATING_RULES_VERSION}, chance {CHANCE_RULES_VERSION}, "
        f"day ends {settings.day_ends_hour}, retention {settings.retention!r}"
    )


def stale(rows: Rows, settings: Settings) -> bool:
    """Whether the log holds more than the derived rows have read, or the rules have changed."""
    through, rules, _ = _derived_from(rows)
    return rules != rules_text(settings) or through != _log_end(rows)


def forget(rows: Rows) -> None:
    """Throw away every derived row."""
    for table in DERIVED:
        rows.execute(f"DELETE FROM {table}")
    rows.execute(
        "UPDATE derived_from SET through_trial = 0, through_correction = 0, rules = '', forgetting = ''"
    )


def refresh(rows: Rows, settings: Settings) -> None:
    """Bring the derived rows up to date; inside a transaction of the caller's."""
    through, rules, forgetting = _derived_from(rows)
    if rules != rules_text(settings) or forgetting != model_version():
        forget(rows)
        through = _Mark(0, 0)
    end = _log_end(rows)
    slipped = tuple(
        outcome_of(row)
        for row in rows.execute(
            f"SELECT {OUTCOME_COLUMNS} FROM trials WHERE id <= ? AND id IN "
            "(SELECT trial FROM corrections WHERE id > ?) ORDER BY id",
            (through.trial, through.correction),
        )
    )
    touched = _grow_tallies(rows, through.trial, slipped, settings)
    _grow_reviews(rows, touched, settings)
    _grow_models(rows, through.trial, slipped, settings)
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


def review_of(row: Sequence[Any]) -> Review:
    """The review in a row of REVIEW_COLUMNS."""
    unit, day, rating, rule, stability, difficulty, due_day, trials, first, last = row
    return Review(
        unit, date.fromisoformat(day), Rating(rating), rule, stability, difficulty,
        date.fromisoformat(due_day), trials, first, last,
    )  # fmt: skip


def tempo_band(tempo_bpm: float | None) -> str:
    """The band a tempo is counted in, "120-139"; empty where there is none."""
    if tempo_bpm is None:
        return ""
    low = int(tempo_bpm // TEMPO_BAND_BPM) * TEMPO_BAND_BPM
    return f"{low}-{low + TEMPO_BAND_BPM - 1}"


def _derived_from(rows: Rows) -> tuple[_Mark, str, str]:
    row = rows.execute(
        "SELECT through_trial, through_correction, rules, forgetting FROM derived_from"
    ).fetchone()
    return _Mark(row[0], row[1]), row[2], row[3]


def _log_end(rows: Rows) -> _Mark:
    return _Mark(
        *(
            rows.execute(f"SELECT coalesce(max(id), 0) FROM {table}").fetchone()[0]
            for table in ("trials", "corrections")
        )
    )


def _outcomes(rows: Rows, where: str, values: Sequence[object]) -> Iterator[Outcome]:
    sql = f"SELECT {OUTCOME_COLUMNS} FROM trials WHERE {where} AND {UNSLIPPED} ORDER BY id"
    return map(outcome_of, rows.execute(sql, values))


def _grow_tallies(
    rows: Rows, through: int, slipped: Sequence[Outcome], settings: Settings
) -> dict[tuple[str, date], tuple[int, int]]:
    """Count what is new; returns the days touched: unit and day, first and last trial id."""
    touched: dict[tuple[str, date], tuple[int, int]] = {}
    sums: dict[tuple[Any, ...], list[float]] = {}
    again = sorted({outcome.unit for outcome in slipped})
    for unit in again:
        rows.execute("DELETE FROM tallies WHERE unit = ?", (unit,))
        for outcome in _outcomes(rows, "unit = ? AND id <= ?", (unit, through)):
            _count(rows, sums, outcome)
    for outcome in slipped:
        _touch(touched, outcome, settings)
    for outcome in _outcomes(rows, "id > ?", (through,)):
        _count(rows, sums, outcome)
        _touch(touched, outcome, settings)
    rows.executemany(
        "INSERT OR REPLACE INTO tallies VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        ((*key, int(values[0]), *values[1:]) for key, values in sums.items()),
    )
    return touched


def _touch(touched: dict[tuple[str, date], tuple[int, int]], outcome: Outcome, settings: Settings) -> None:
    key = (outcome.unit, day_of(outcome, settings.day_ends_hour))
    first, last = touched.get(key, (outcome.id, outcome.id))
    touched[key] = min(first, outcome.id), max(last, outcome.id)


def _count(rows: Rows, sums: dict[tuple[Any, ...], list[float]], outcome: Outcome) -> None:
    for facet, value in (
        ("all", ""), ("key", outcome.key), ("voicing", outcome.voicing),
        ("tempo", tempo_band(outcome.tempo_bpm)),
    ):  # fmt: skip
        key = (outcome.unit, outcome.kind, outcome.rung, facet, value)
        values = sums.get(key)
        if values is None:
            row = rows.execute(
                "SELECT trials, credit, guess, answer_s, sound_s FROM tallies "
                "WHERE unit = ? AND kind = ? AND rung = ? AND facet = ? AND value = ?",
                key,
            ).fetchone()
            values = sums[key] = list(row) if row else [0, 0.0, 0.0, 0.0, 0.0]
        values[0] += 1
        values[1] += outcome.credit
        values[2] += outcome.guess_chance
        values[3] += outcome.answer_s
        values[4] += outcome.sound_s


def _grow_reviews(rows: Rows, touched: dict[tuple[str, date], tuple[int, int]], settings: Settings) -> None:
    for unit in sorted({unit for unit, _ in touched}):
        days = {day: ids for (name, day), ids in touched.items() if name == unit}
        _review_unit(rows, unit, days, settings)


def _review_unit(rows: Rows, unit: str, days: dict[date, tuple[int, int]], settings: Settings) -> None:
    """Compute a unit's reviews again from the first touched day on; untouched days keep their rating."""
    from_day = min(days).isoformat()
    known = rows.execute(
        f"SELECT {REVIEW_COLUMNS} FROM reviews WHERE unit = ? AND day >= ?", (unit, from_day)
    )
    later = {review.day: review for review in map(review_of, known.fetchall())}
    before = rows.execute(
        f"SELECT {REVIEW_COLUMNS} FROM reviews WHERE unit = ? AND day < ? ORDER BY day DESC LIMIT 1",
        (unit, from_day),
    ).fetchone()
    previous = review_of(before) if before else None
    rows.execute("DELETE FROM reviews WHERE unit = ? AND day >= ?", (unit, from_day))
    new = []
    for day in sorted({*days, *later}):
        old = later.get(day)
        rule: RatingRule
        if day in days:
            first, last = days[day]
            if old is not None:
                first, last = min(first, old.first_trial), max(last, old.last_trial)
            found = _outcomes(rows, "unit = ? AND id BETWEEN ? AND ?", (unit, first, last))
            outcomes = [outcome for outcome in found if day_of(outcome, settings.day_ends_hour) == day]
            if not outcomes:
                continue
            rule, span = rated(outcomes), (len(outcomes), outcomes[0].id, outcomes[-1].id)
        else:
            assert old is not None
            rule, span = _RULE[old.rule], (old.trials, old.first_trial, old.last_trial)
        previous = reviewed(previous, unit, day, rule, settings)
        new.append(
            (unit, day.isoformat(), int(previous.rating), previous.rule, previous.stability,
             previous.difficulty, previous.due_day.isoformat(), *span)
        )  # fmt: skip
    rows.executemany(f"INSERT INTO reviews ({REVIEW_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", new)


def _grow_models(rows: Rows, through: int, slipped: Sequence[Outcome], settings: Settings) -> None:
    """Let the model of the player grow by what is new, from the newest kept one that no slip has touched."""
    if slipped:
        rows.execute("DELETE FROM player_models WHERE after_trial >= ?", (slipped[0].id,))
    newest = rows.execute(
        "SELECT after_trial, model FROM player_models ORDER BY after_trial DESC LIMIT 1"
    ).fetchone()
    after, model = (newest[0], read_model(newest[1])) if newest else (0, start(settings.day_ends_hour))
    end = rows.execute("SELECT coalesce(max(id), 0) FROM trials").fetchone()[0]
    kept: list[tuple[int, str]] = []
    while after < end:
        until = min(end, (after // MODEL_EVERY + 1) * MODEL_EVERY)
        model = grown(model, _outcomes(rows, "id > ? AND id <= ?", (after, until)))
        after = until
        if end - after <= MODEL_EVERY * MODELS_KEPT:
            kept.append((after, write_model(model)))
    rows.executemany("INSERT OR REPLACE INTO player_models VALUES (?, ?)", kept)
    rows.execute(
        "DELETE FROM player_models WHERE after_trial < ? "
        f"AND (after_trial % {MODEL_EVERY} <> 0 OR after_trial < ?)",
        (end, (end // MODEL_EVERY + 1 - MODELS_KEPT) * MODEL_EVERY),
    )
