"""The table of cadences by its rows: the types that a row of functions has, the rows that a type has."""

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from trainer.drills.question import Row
from trainer.harmony.cadence import CADENCE, CADENCES, formula_for
from trainer.harmony.key import parse_key
from trainer.harmony.numeral import chord_of_any, numeral_of, parse_any

TYPE_BY_NAME: Mapping[str, str] = MappingProxyType({row.name: row.id for row in CADENCES})
"""Ids by the names that players see."""

PLAIN_TYPES: tuple[str, ...] = tuple(row.id for row in CADENCES if not row.shapes)
"""The types of one key; the others are interrupted."""


@lru_cache(maxsize=64)
def rows_of(unit: str) -> tuple[Row, ...]:
    """Every row of a type, toward any of its degrees, as degrees of the key; its formula's is first."""
    cadence = CADENCE[unit]
    key = parse_key("C" if cadence.mode == "major" else "C minor")
    variants = (None, *range(len(cadence.variants)))
    rows = [formula_for(cadence, degree, v) for v in variants for degree in cadence.degrees or (None,)]
    return tuple(
        dict.fromkeys(tuple(numeral_of(chord_of_any(parse_any(t), key), key).text for t in row) for row in rows)
    )


@lru_cache(maxsize=1)
def _types() -> Mapping[Row, tuple[str, ...]]:
    found: dict[Row, list[str]] = {}
    for unit in PLAIN_TYPES:
        for row in rows_of(unit):
            found.setdefault(row, []).append(unit)
    return MappingProxyType({row: tuple(units) for row, units in found.items()})


def types_of(row: Row) -> tuple[str, ...]:
    """The types that have a row, in the table's order."""
    return _types().get(row, ())


@lru_cache(maxsize=32)
def types_as_long(count: int) -> tuple[str, ...]:
    """The types that can be played in so many chords, in the table's order."""
    return tuple(unit for unit in PLAIN_TYPES if any(len(row) == count for row in rows_of(unit)))


def nearest_row(unit: str, row: Row) -> Row:
    """The row of a type that shares most with another: as long where there is one, alike where it can be."""

    def shared(mine: Row) -> tuple[bool, int]:
        return len(mine) == len(row), sum(a == b for a, b in zip(reversed(mine), reversed(row), strict=False))

    return max(rows_of(unit), key=shared)
