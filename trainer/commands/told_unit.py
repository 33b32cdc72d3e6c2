"""All about one type in words: where it stands and why, by key, voicing, tempo and drill, confusions, its history."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from trainer.commands.words import counted, table, wrapped
from trainer.drills.units import unit_name
from trainer.harmony.note_names import Naming
from trainer.memory.progress_tables import Confused
from trainer.memory.share import FEW
from trainer.practice.unit_told import (
    HEARD_IS,
    LATELY,
    NOT_MET,
    PAIRS_SHOWN,
    Facet,
    Part,
    differences,
    pair_told,
    part_cells,
    unit_told,
    unit_week,
    what_it_is,
)

if TYPE_CHECKING:  # the store loads SQLite
    from trainer.memory.store import Store


def told_unit(store: "Store", unit: str, day: date, columns: int, naming: Naming = "english") -> list[str]:
    """One type's progress as lines, from a store that was refreshed; a type never asked says so."""
    told = unit_told(store, unit, day, naming)
    name = unit_name(unit)
    lines = wrapped(name if name == unit else f"{name} ({unit})", columns)
    if told is None:
        return [*lines, *wrapped(NOT_MET, columns)]
    lines += [f"Practice day {day.isoformat()}", "", *table(told.standing, columns, "  ")]
    for facet in told.facets:
        lines += ["", *_by(facet, columns)]
    lines += ["", *wrapped(HEARD_IS, columns)]
    if told.pairs:
        lines += ["", "Confusions", *_confusions(unit, told.pairs, columns)]
    lines += ["", LATELY]
    for week in told.weeks:
        lines += wrapped(": ".join(unit_week(week)), columns, "  ", "    ")
    return lines


def _by(facet: Facet, columns: int) -> list[str]:
    """A line for each part of a facet; where one would be too wide, each by itself and wrapped."""
    rows = [(part.name, *_cells(part)) for part in facet.parts]
    wide = [max((len(cells[n]) for cells in rows if n < len(cells) - 1), default=0) for n in range(max(map(len, rows)))]
    lines = ["  " + "  ".join(cell.ljust(w) for cell, w in zip(cells, wide, strict=False)).rstrip() for cells in rows]
    if max(map(len, lines)) > columns:
        lines = [line for cells in rows for line in wrapped(", ".join(filter(None, cells)), columns, "  ", "    ")]
    return [facet.head, *lines]


def _cells(part: Part) -> tuple[str, ...]:
    went, cells = part.counted, part_cells(part)
    if went is None:
        return cells
    answers = counted(went.answers, "answer")
    if went.answers < FEW:
        return answers, *cells
    heard, bounds, after, beside = cells
    return answers, f"heard {heard}", f"({bounds})", after, beside


def _confusions(unit: str, pairs: Sequence[Confused], columns: int) -> list[str]:
    """What the type is, then each pair with how often, and how the two differ."""
    lines = [line for told in what_it_is(unit) for line in wrapped(told, columns, "  ", "    ")]
    told_of: set[str] = set()
    for one in pairs[:PAIRS_SHOWN]:
        other, told = pair_told(one, unit)
        lines += wrapped(told, columns, "  ", "    ")
        if other not in told_of:
            lines += [line for told in differences(unit, other) for line in wrapped(told, columns, "    ", "      ")]
        told_of.add(other)
    if len(pairs) > PAIRS_SHOWN:
        lines += wrapped(f"and {len(pairs) - PAIRS_SHOWN} more: --what confusions has them all", columns, "  ")
    return lines
