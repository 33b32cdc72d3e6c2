"""All that is computed from a log, where nothing is yet: the rows that growing step by step would give, to the bit.

Once through the outcomes in the log's order. Of each portion the model takes all trials in order; what follows the
order of a unit's trials alone takes them unit by unit, so that what it has at hand stays small. Days, weeks and
quarters are written once they are over.
"""

import gc
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from itertools import islice

from trainer.memory.derive_days import SETTLED, Answers, CountingAnew, Days, Entry, names_of
from trainer.memory.derive_models import Models, newest_model
from trainer.memory.derive_newest import Reading
from trainer.memory.derive_reviews import ReviewsAnew
from trainer.memory.outcome_rows import Rows, heard_of, rows_after
from trainer.memory.schedule import Settings
from trainer.memory.tallies import Tallies
from trainer.memory.trial import Counted, PracticeDays

AT_HAND_KIB = 65_536
"""Memory that the database may take for its pages while a whole log is computed."""


@contextmanager
def much_at_hand(rows: Rows) -> Iterator[None]:
    """While a whole log is computed: room for the database's pages, and no search for cycles, for none are made."""
    (before,) = rows.execute("PRAGMA cache_size").fetchone()
    collecting = gc.isenabled()
    rows.execute(f"PRAGMA cache_size = -{AT_HAND_KIB}")
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()
        rows.execute(f"PRAGMA cache_size = {before}")


def derive_whole(rows: Rows, settings: Settings) -> None:
    """Compute all rows from the outcomes; inside a transaction of the caller's, their tables empty."""
    place, model, count = newest_model(rows, settings.day_ends_hour)
    models = Models(count, rows.execute("SELECT count(*) FROM outcomes").fetchone()[0], model)
    days, tallies, newest = _OpenDays(rows, settings), Tallies(rows, none_yet=True), Reading(rows, none_yet=True)
    waiting = rows_after(rows, place)
    while portion := tuple(islice(waiting, models.next_stop() - models.count)):
        heard = tuple(heard_of(row for row in portion if not row[-1]))
        models.take(heard, portion)
        by_unit: defaultdict[str, list[Entry]] = defaultdict(list)
        for entry in map(days.entry, heard):
            by_unit[entry[1].unit].append(entry)
        for unit, entries in by_unit.items():
            tallies.count_all(entry[1] for entry in entries)
            newest.add_all(unit, ((names.day, trial) for names, trial, _ in entries))
            days.counting.take(entries)
        if heard:
            days.settle(heard[-1].at_utc.date())
    days.finish()
    tallies.write()
    newest.write()
    models.write(rows)


class _OpenDays:
    """Trials by practice days that aren't over yet."""

    def __init__(self, rows: Rows, settings: Settings) -> None:
        self.counting, self.reviews = CountingAnew(rows), ReviewsAnew(rows, settings)
        self._answers, self._day_of_trial = Answers(), PracticeDays(settings.day_ends_hour).of
        self._open: dict[date, tuple[Days, list[Entry]]] = {}

    def entry(self, trial: Counted) -> Entry:
        """The next trial in order, as it is counted."""
        day = self._day_of_trial(trial)
        found = self._open.get(day)
        if found is None:
            found = self._open[day] = (names_of(day), [])
        names, entries = found
        entry = (names, trial, self._answers.of(trial))
        entries.append(entry)
        return entry

    def settle(self, today: date) -> None:
        """Write the days that no trial of today or later can belong to, and the weeks and quarters."""
        self._write([day for day in self._open if day + SETTLED < today])
        self.counting.settle(today)

    def finish(self) -> None:
        """There are no more."""
        self._write(list(self._open))
        self.counting.finish()

    def _write(self, days: Iterable[date]) -> None:
        for day in sorted(days):
            _, entries = self._open.pop(day)
            self.counting.write_day(entries)
            self.reviews.take(day, (trial for _, trial, _ in entries))
        self.reviews.write()
