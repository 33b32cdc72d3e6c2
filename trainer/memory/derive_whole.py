"""All that is computed from a log, where nothing is yet: the rows that growing step by step would give, to the bit.

Twice through the outcomes: once in the log's order, for what follows the order of all trials (the model of the
player, and practice days), and once unit by unit, for the rest. So what is at hand at a time stays small, and rows
are written in the order that their tables keep.
"""

from collections import defaultdict
from datetime import date
from itertools import islice

from trainer.memory.derive_days import CountingAnew
from trainer.memory.derive_models import Models, newest_model
from trainer.memory.derive_newest import Reading
from trainer.memory.derive_reviews import review_anew
from trainer.memory.outcome_rows import Rows, heard_of, outcomes, rows_after
from trainer.memory.schedule import Settings
from trainer.memory.tallies import Tallies
from trainer.memory.trial import Counted, PracticeDays


def derive_whole(rows: Rows, settings: Settings) -> None:
    """Compute all rows from the outcomes; inside a transaction of the caller's, their tables empty."""
    counting = CountingAnew(rows)
    _in_order(rows, counting, settings)
    for (unit,) in rows.execute("SELECT DISTINCT unit FROM outcomes ORDER BY unit").fetchall():
        _of_unit(rows, unit, counting, settings)
    counting.finish()


def _in_order(rows: Rows, counting: CountingAnew, settings: Settings) -> None:
    """The model of the player and its stages, and practice days."""
    place, model, count = newest_model(rows, settings.day_ends_hour)
    models = Models(count, rows.execute("SELECT count(*) FROM outcomes").fetchone()[0], model)
    day_of_trial = PracticeDays(settings.day_ends_hour).of
    waiting = rows_after(rows, place)
    while portion := tuple(islice(waiting, models.next_stop() - models.count)):
        heard = tuple(heard_of(row for row in portion if not row[-1]))
        models.take(heard, portion)
        for trial in heard:
            counting.days[day_of_trial(trial)].append(trial)
        if heard:
            counting.settle(heard[-1].at_utc.date())
    models.write(rows)


def _of_unit(rows: Rows, unit: str, counting: CountingAnew, settings: Settings) -> None:
    """A unit's reviews, tallies, newest answers, weeks, facets and confusions."""
    day_of_trial = PracticeDays(settings.day_ends_hour).of
    tallies, newest = Tallies(rows, none_yet=True), Reading(rows)
    newest.again(unit)
    by_day: defaultdict[date, list[Counted]] = defaultdict(list)
    for trial in outcomes(rows, "WHERE unit = ? AND slip = 0", (unit,)):
        day = day_of_trial(trial)
        by_day[day].append(trial)
        tallies.count(trial)
        newest.add(trial, day)
    if not by_day:
        return
    tallies.write()
    newest.write()
    counting.write_unit(by_day)
    review_anew(rows, unit, by_day, settings)
