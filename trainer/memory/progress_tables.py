"""The player's progress as tables: one row a thing, columns that are added to and never changed.

Each table is made from the store's derived rows as seen on a day, of all units or of one. Rows that show a
weakness come with the surest first: in the order of the upper bound of what was heard.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from trainer.memory.confusion import persistent
from trainer.memory.progress import COLUMNS, progress, progress_values
from trainer.memory.seen import Counted, Mistaken, beside, faceted, firsts, mistaken, newest, practice_days, weeks
from trainer.memory.share import FEW
from trainer.memory.trial import TOP_RUNG
from trainer.memory.unit import tonic_place
from trainer.records import dataclass

if TYPE_CHECKING:  # the store loads SQLite
    from trainer.memory.store import Store

Row = dict[str, object]
COUNTED = (
    "answers", "right", "accuracy", "heard", "heard_low", "heard_high", "median_after_s", "few",
)  # fmt: skip
RUNGS = range(1, TOP_RUNG + 1)


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the progress."""

    name: str
    about: str
    """What a row is."""
    columns: tuple[str, ...]
    rows: Callable[["Store", date, str | None], list[Row]]
    """Its rows as seen on a day; of one unit where it is named."""


def _types(store: "Store", day: date, unit: str | None) -> list[Row]:
    return [progress_values(row, day) for row in progress(store, day) if unit in (None, row.unit)]


def _by(facet: str, column: str) -> Callable[["Store", date, str | None], list[Row]]:
    def rows(store: "Store", day: date, unit: str | None) -> list[Row]:
        found: list[tuple[Any, str, str, Row]] = []
        usual = {} if unit is None else beside(store, unit, facet)
        for name in newest(store) if unit is None else (unit,):
            for row in faceted(store, name, facet):
                values: Row = {"unit": name, column: row.value, **_values(row.counted), "since": row.since}
                more = usual.get(tonic_place(row.value) if facet == "key" else row.value)
                values["beside_usual"] = None if more is None else round(more, 4)
                found.append((values["heard_high"], name, row.value, values))
        found.sort(key=lambda one: one[:3])
        return [values for *_, values in found]

    return rows


def _confusions(store: "Store", day: date, unit: str | None) -> list[Row]:
    return [confusion_values(one) for one in confused(store, day, unit)]


def _days(store: "Store", day: date, unit: str | None) -> list[Row]:
    if unit is not None:
        return []
    return [
        {
            "day": one.day.isoformat(),
            "minutes": round(one.seconds / 60, 1),
            "answers": one.counted.answers,
            "right": one.counted.exact,
            "helped": one.helped,
            "accuracy": round(one.counted.accuracy, 4),
            "heard": round(one.counted.above_guessing, 4),
        }
        for one in practice_days(store)
    ]


def _weeks(store: "Store", day: date, unit: str | None) -> list[Row]:
    return [
        {"unit": unit, "week": one.monday.isoformat(), **_values(one.counted)}
        for one in (weeks(store) if unit is None else weeks(store, unit))
    ]


def _firsts(store: "Store", day: date, unit: str | None) -> list[Row]:
    met = store.model().met
    rows: list[Row] = []
    for one in firsts(store):
        if unit in (None, one.unit):
            first = met.get(one.unit)
            days = {f"rung_{rung}": _text(one.rungs.get(rung)) for rung in RUNGS}
            rows.append({"unit": one.unit, "first_day": _text(first), **days, "shown_day": _text(one.shown)})
    return rows


def _facet_table(name: str, facet: str, column: str, about: str) -> Table:
    return Table(name, about, ("unit", column, *COUNTED, "since", "beside_usual"), _by(facet, column))


TABLES: Mapping[str, Table] = {
    table.name: table
    for table in (
        Table("types", "a cadence type, a move of the key center or a tune's route", COLUMNS, _types),
        _facet_table("keys", "key", "key", "one of them in one key"),
        _facet_table("voicings", "voicing", "voicing", "one of them in one voicing"),
        _facet_table("tempi", "tempo", "tempo", "one of them in a band of tempi"),
        _facet_table("drills", "kind", "drill", "one of them in one kind of drill"),
        Table(
            "confusions", "what was taken for what",
            ("unit", "taken_for", "times", "stands_out", "share", "share_by_chance", "lately", "first_month",
             "last_month"),
            _confusions,
        ),
        Table(
            "days", "a day of practice", ("day", "minutes", "answers", "right", "helped", "accuracy", "heard"), _days
        ),
        Table("weeks", "a week of practice, beginning on its Monday", ("unit", "week", *COUNTED), _weeks),
        Table(
            "firsts", "the days of a type's firsts",
            ("unit", "first_day", *(f"rung_{rung}" for rung in RUNGS), "shown_day"), _firsts,
        ),
    )
}  # fmt: skip
"""By name. A table of tunes is beside them where tunes are known."""


@dataclass(frozen=True, slots=True)
class Confused:
    """A pair that was confused, beside chance."""

    pair: Mistaken
    share: float
    """Of the unit's answers."""
    by_chance: float
    """The share it would have were the unit's confusions spread evenly over the others."""
    stands_out: bool
    """So often that chance would hardly have it."""


def confused(store: "Store", day: date, unit: str | None = None) -> tuple[Confused, ...]:
    """What was taken for what; those that stand out first, then the most often. unit: on either side of the pair."""
    found = mistaken(store, day)
    trials = {name: one.trials for name, one in newest(store).items()} if found else {}
    others = max(len({name for one in found for name in (one.unit, one.taken_for)} | trials.keys()) - 1, 0)
    out = set(persistent([(one.unit, one.taken_for, one.times) for one in found], trials, others))
    wrong: dict[str, int] = {}
    for one in found:
        wrong[one.unit] = wrong.get(one.unit, 0) + one.times
    pairs = [
        Confused(
            one,
            one.times / trials[one.unit],
            wrong[one.unit] / trials[one.unit] / max(others, 1),
            (one.unit, one.taken_for) in out,
        )
        for one in found
        if unit in (None, one.unit, one.taken_for)
    ]
    return tuple(sorted(pairs, key=lambda one: not one.stands_out))


def confusion_values(one: Confused) -> Row:
    """A confusion as plain values."""
    pair = one.pair
    return {
        "unit": pair.unit, "taken_for": pair.taken_for, "times": pair.times, "stands_out": one.stands_out,
        "share": round(one.share, 4), "share_by_chance": round(one.by_chance, 4), "lately": pair.lately,
        "first_month": pair.first_month, "last_month": pair.last_month,
    }  # fmt: skip


def _values(counted: Counted) -> Row:
    share, after_s = counted.share, counted.after_s
    return {
        "answers": counted.answers, "right": counted.exact, "accuracy": round(counted.accuracy, 4),
        "heard": round(share.heard, 4), "heard_low": round(share.low, 4), "heard_high": round(share.high, 4),
        "median_after_s": None if after_s is None else round(after_s, 2), "few": counted.answers < FEW,
    }  # fmt: skip


def _text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
