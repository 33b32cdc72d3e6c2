"""Tunes beside the player's ear: which of their cadences are of types that are already heard reliably."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import TYPE_CHECKING

from trainer.memory.unit import Status
from trainer.practice.own_tunes import OwnTunes
from trainer.records import dataclass

if TYPE_CHECKING:
    from trainer.memory.store import Store

COLUMNS = (
    "tune", "title", "cadences", "cadences_known", "share_known", "share_learned", "types", "types_known", "missing",
)  # fmt: skip
LEARNED = frozenset((Status.RESTING, Status.KNOWN))
"""A type counts as learned from when it may rest on."""


@dataclass(frozen=True, slots=True)
class TuneTypes:
    """A tune's cadence types and how often it has each."""

    tune: str
    title: str
    types: Mapping[str, int]


def tune_rows(tunes: Iterable[TuneTypes], standing: Mapping[str, Status]) -> list[dict[str, object]]:
    """A row for each tune, those nearest to being heard whole first; tunes without a cadence are left out."""
    rows: list[dict[str, object]] = []
    for tune in tunes:
        cadences = sum(tune.types.values())
        if not cadences:
            continue
        known = [name for name in tune.types if standing.get(name) is Status.KNOWN]
        learned = [name for name in tune.types if standing.get(name) in LEARNED]
        missing = [name for name in tune.types if name not in learned]
        of_known = sum(tune.types[name] for name in known)
        values = (
            tune.tune, tune.title, cadences, of_known, round(of_known / cadences, 4),
            round(sum(tune.types[name] for name in learned) / cadences, 4), len(tune.types), len(known),
            " ".join(sorted(missing)),
        )  # fmt: skip
        rows.append(dict(zip(COLUMNS, values, strict=True)))
    return sorted(
        rows, key=lambda row: (-_number(row["share_known"]), -_number(row["share_learned"]), str(row["tune"]))
    )


def tune_types(tunes: OwnTunes) -> tuple[TuneTypes, ...]:
    """What tunes consist of, by their readings."""
    return tuple(
        TuneTypes(id, facts.title, {met.unit: len(met.bars) for met in facts.cadences})
        for id, facts in tunes.facts.items()
    )


def known_tune_rows(store: "Store | None", day: date, tunes: OwnTunes) -> list[dict[str, object]]:
    """A row for each tune as the player stands on a day; None: nothing was practised yet."""
    from trainer.memory.progress import progress

    standing = {} if store is None else {row.unit: row.status for row in progress(store, day)}
    return tune_rows(tune_types(tunes), standing)


def _number(value: object) -> float:
    return float(str(value))
