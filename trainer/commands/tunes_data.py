"""Tunes as data: JSON of schemas keyfarer/tunes/1 and keyfarer/tune/1, and rows of comma-separated values (RFC 4180).

A public contract: fields and columns are added, never changed. A type or move is heard where it may rest, for it
holds on the top rung; shares are of a tune's cadences, 0 to 1.
"""

import csv
import io
import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from trainer.commands.standing import NEW, learned_of
from trainer.drills.units import MOVE, ROUTE, unit_name
from trainer.memory.unit import Unit
from trainer.practice.own_tunes import OwnTunes
from trainer.practice.tune_facts import Met
from trainer.practice.wanted import next_for, ready_now

LIST_SCHEMA, TUNE_SCHEMA = "keyfarer/tunes/1", "keyfarer/tune/1"
LIST_COLUMNS = (
    "id", "own", "title", "key", "meter", "tempo", "bars", "home", "learning", "cadence_types",
    "cadence_types_heard", "cadences", "cadences_heard", "share", "learn_next",
)  # fmt: skip
"""learn_next: ids of units in their order, with spaces between."""
TUNE_COLUMNS = ("id", "unit", "name", "sort", "times", "bars", "status", "heard", "learn_next", "ready")
"""sort: cadence, move or route; bars: as played, such as 1-4 9; learn_next: its place in that order, from 1."""

Json = dict[str, Any]


class Told:
    """Tunes and where the player stands with what they are made of."""

    def __init__(
        self, own: OwnTunes, table: Mapping[str, Unit], order: Sequence[str], standing: Mapping[str, str]
    ) -> None:
        self.own, self.table, self.order, self.standing = own, table, order, standing
        self.heard: Collection[str] = learned_of(standing)

    def next_of(self, id: str) -> tuple[str, ...]:
        """What to learn, in order, to hear a tune; at last its route, where that is to be learned."""
        facts = self.own.facts[id]
        learn = (*facts.units, ROUTE + id) if id in self.own.index.learning else facts.units
        return next_for(learn, self.table, self.heard, self.order)

    def ready(self, unit: str) -> bool:
        """Whether all that comes before a unit is heard."""
        return ready_now(unit, self.table, self.heard)

    def status(self, unit: str) -> str:
        """Where the player stands with a unit."""
        return self.standing.get(unit, NEW)

    def in_short(self, id: str) -> Json:
        """A tune's own values."""
        facts = self.own.facts[id]
        heard = [met for met in facts.cadences if met.unit in self.heard]
        cadences, known = _times(facts.cadences), _times(heard)
        return {
            "id": id, "own": self.own.own(id), "title": facts.title, "key": facts.key, "meter": facts.meter,
            "tempo": facts.tempo, "bars": facts.bars, "home": facts.home,
            "learning": id in self.own.index.learning,
            "cadence_types": len(facts.cadences), "cadence_types_heard": len(heard),
            "cadences": cadences, "cadences_heard": known,
            "share": round(known / cadences, 4) if cadences else None,
        }  # fmt: skip

    def units_of(self, id: str) -> list[Json]:
        """What a tune is made of, and its route."""
        facts = self.own.facts[id]
        route = Met(ROUTE + id, ((1, facts.bars),))
        return [
            {
                "unit": met.unit, "name": unit_name(met.unit), "sort": _sort(met.unit), "times": len(met.bars),
                "bars": [list(bars) for bars in met.bars], "status": self.status(met.unit),
                "heard": met.unit in self.heard,
            }
            for met in (*facts.cadences, *facts.moves, route)
        ]  # fmt: skip


def tunes_json(told: Told, ascii_only: bool = False) -> str:
    """All tunes as one line of JSON."""
    tunes = [{**told.in_short(id), "learn_next": list(told.next_of(id))} for id in told.own.facts]
    return json.dumps({"schema": LIST_SCHEMA, "tunes": tunes}, ensure_ascii=ascii_only)


def tune_json(told: Told, id: str, ascii_only: bool = False) -> str:
    """One tune as one line of JSON."""
    values = {
        "schema": TUNE_SCHEMA,
        **told.in_short(id),
        "units": told.units_of(id),
        "learn_next": [
            {"unit": unit, "name": unit_name(unit), "status": told.status(unit), "ready": told.ready(unit)}
            for unit in told.next_of(id)
        ],
    }
    return json.dumps(values, ensure_ascii=ascii_only)


def tunes_csv(told: Told) -> str:
    """A row a tune."""
    rows = ({**told.in_short(id), "learn_next": " ".join(told.next_of(id))} for id in told.own.facts)
    return _csv(LIST_COLUMNS, rows)


def tune_csv(told: Told, id: str) -> str:
    """A row for each unit of a tune, then for what comes before these."""
    places = {unit: n for n, unit in enumerate(told.next_of(id), 1)}
    rows = [{**row, "bars": bars_cell(row["bars"])} for row in told.units_of(id)]
    there = {row["unit"] for row in rows}
    rows += [
        {
            "unit": unit, "name": unit_name(unit), "sort": _sort(unit), "times": 0, "bars": "",
            "status": told.status(unit), "heard": False,
        }
        for unit in places
        if unit not in there
    ]  # fmt: skip
    for row in rows:
        unit = row["unit"]
        row.update(id=id, learn_next=places.get(unit), ready=told.ready(unit) if unit in places else None)
    return _csv(TUNE_COLUMNS, rows)


def bars_cell(bars: Iterable[Sequence[int]]) -> str:
    """Bars as one reads them: `1-4 9`."""
    return " ".join(str(first) if first == last else f"{first}-{last}" for first, last in bars)


def _csv(columns: Sequence[str], rows: Iterable[Json]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row[column]) for column in columns])
    return text.getvalue()


def _cell(value: Any) -> Any:
    return str(value).lower() if isinstance(value, bool) else "" if value is None else value


def _times(all_met: Iterable[Met]) -> int:
    return sum(len(met.bars) for met in all_met)


def _sort(unit: str) -> str:
    return "move" if unit.startswith(MOVE) else "route" if unit.startswith(ROUTE) else "cadence"
