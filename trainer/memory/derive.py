"""What is computed from the log: outcomes, reviews, tallies and the model of the player, grown step by step.

One order holds for everything: by moment, then by store and number there (of two stores that logged at the same
moment), so that two logs merged either way give the same rows. `refresh` reads only what is new since last time,
and what a late trial (merged, or logged after the clock was set back) or a slip has changed behind it; the rows it
leaves are those that a computation from nothing would give, to the last bit. Slips are left out everywhere.
"""

from collections.abc import Sequence
from itertools import islice
from typing import NamedTuple

from trainer.memory import derive_days, derive_newest
from trainer.memory.chance import CHANCE_RULES_VERSION
from trainer.memory.derive_models import Models, newest_model
from trainer.memory.derive_reviews import review_again
from trainer.memory.derive_whole import derive_whole, much_at_hand
from trainer.memory.outcome_rows import IN_ORDER, NEWEST_FIRST, PLACE, Place, Rows, heard_of, outcomes, rows_after
from trainer.memory.schedule import RATING_RULES_VERSION, Settings, model_version
from trainer.memory.tallies import Tallies
from trainer.memory.trial import Heard, PracticeDays

DERIVED = ("outcomes", "reviews", "tallies", "player_models", *derive_days.TABLES, *derive_newest.TABLES)
class _Mark(NamedTuple):
    trial: int
    correction: int


class _Changes(NamedTuple):
    """What is new since the rows were last computed."""

    through: int
    """The last trial that had been read."""
    first: Place | None
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
    if through.trial:
        changes = _take_in(rows, through)
        if changes.first is not None:
            _grow(rows, changes, settings)
    else:
        with much_at_hand(rows):
            _take_in(rows, through)
            derive_whole(rows, settings)
    rows.execute(
        "UPDATE derived_from SET through_trial = ?, through_correction = ?, rules = ?, forgetting = ?",
        (*end, rules_text(settings), model_version()),
    )


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
    slipped = outcomes(rows, where, told)
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


def _first_place(rows: Rows, where: str, values: Sequence[object]) -> Place | None:
    row = rows.execute(f"SELECT {PLACE} FROM outcomes {where} LIMIT 1", values).fetchone()
    return None if row is None else Place(*row)


def _grow(rows: Rows, changes: _Changes, settings: Settings) -> None:
    """Go once through the outcomes, in order, from the newest model before the first change to the end."""
    assert changes.first is not None
    rows.execute(f"DELETE FROM player_models WHERE ({PLACE}) >= (?, ?, ?, ?)", changes.first)
    place, model, count = newest_model(rows, settings.day_ends_hour)
    tallies, counting, newest = Tallies(rows), derive_days.Counting(rows), derive_newest.Reading(rows)
    day_of_trial = PracticeDays(settings.day_ends_hour).of
    for unit in sorted(changes.again):
        of_unit = outcomes(rows, "WHERE unit = ? AND slip = 0", (unit,))
        tallies.again(unit, of_unit)
        newest.again(unit)
        for one in of_unit:
            newest.add(one, day_of_trial(one))
    touched = {(outcome.unit, day_of_trial(outcome)) for outcome in changes.slipped}
    for one in changes.slipped:
        counting.take_back(one, day_of_trial(one))
    models = Models(count, rows.execute("SELECT count(*) FROM outcomes").fetchone()[0], model)
    waiting = rows_after(rows, place)
    while portion := tuple(islice(waiting, models.next_stop() - models.count)):
        heard = tuple(heard_of(row for row in portion if not row[-1]))
        models.take(heard, portion)
        for outcome in heard:
            if outcome.id <= changes.through:
                continue
            day = day_of_trial(outcome)
            counting.add(outcome, day)
            touched.add((outcome.unit, day))
            if outcome.unit not in changes.again:
                tallies.count(outcome)
                newest.add(outcome, day)
    tallies.write()
    counting.write()
    newest.write()
    review_again(rows, touched, settings)
    models.write(rows)
