"""A repertoire as data: JSON of schema keyfarer/repertoire/1, and rows of comma-separated values (RFC 4180).

A public contract: fields and columns are added, never changed. Shares are of all tunes, 0 to 1.
"""

import csv
import io
import json
from collections.abc import Iterator, Mapping
from typing import Any

from trainer.commands.standing import NEW, learned_of
from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import Key
from trainer.reading.repertoire import Counted, Repertoire, TuneInShort, most_centers, next_types, not_learned

SCHEMA = "keyfarer/repertoire/1"
COLUMNS = ("kind", "what", "name", "times", "tunes", "share", "status")
"""kind: tune, home, center, move, cadence, interruption or next; what: its id; status: where you stand with a type."""

Json = dict[str, Any]


def repertoire_values(repertoire: Repertoire, standing: Mapping[str, str]) -> Json:
    """The repertoire as plain values; `standing` says of each type ever asked where the player stands with it."""
    learned = learned_of(standing)

    def row(counted: Counted[Any], **what: Any) -> Json:
        return {**what, "times": counted.times, "tunes": counted.tunes, "share": _share(counted.tunes, repertoire)}

    def of_type(counted: Counted[str]) -> Json:
        known = CADENCE.get(counted.what)
        name = counted.what if known is None else known.name
        return row(counted, type=counted.what, name=name, status=standing.get(counted.what, NEW))

    return {
        "schema": SCHEMA,
        "tunes": len(repertoire.tunes),
        "bars": repertoire.bars,
        "homes": [row(one, home=_key(one.what)) for one in repertoire.homes],
        "centers": [row(one, center=_key(one.what)) for one in repertoire.centers],
        "moves": [
            row(
                one, semitones=one.what.semitones, mode_from=one.what.mode_from, mode_to=one.what.mode_to,
                name=one.what.name,
            )
            for one in repertoire.moves
        ],
        "cadences": [of_type(one) for one in repertoire.cadences],
        "interruptions": [
            row(one, shape=one.what.shape, semitones=one.what.semitones) for one in repertoire.interruptions
        ],
        "most_centers": [{**_tune(tune), "centers": tune.centers} for tune in most_centers(repertoire)],
        "not_learned": [of_type(one) for one in not_learned(repertoire, learned)],
        "learn_next": [
            {"types": list(one.types), "opens": len(one.opens), "tunes": [_tune(tune) for tune in one.opens]}
            for one in next_types(repertoire, learned)
        ],
    }  # fmt: skip


def repertoire_json(repertoire: Repertoire, standing: Mapping[str, str], ascii_only: bool = False) -> str:
    """The repertoire as one line of JSON."""
    return json.dumps(repertoire_values(repertoire, standing), ensure_ascii=ascii_only)


def repertoire_csv(repertoire: Repertoire, standing: Mapping[str, str]) -> str:
    """The repertoire as rows under a header; what a thing hasn't is empty."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    writer.writerows(_rows(repertoire_values(repertoire, standing), repertoire))
    return text.getvalue()


def _rows(values: Json, repertoire: Repertoire) -> Iterator[tuple[Any, ...]]:
    for tune in repertoire.tunes:
        yield "tune", tune.file, tune.title, tune.centers, 1, _share(1, repertoire), ""
    for kind, name in (("home", "homes"), ("center", "centers")):
        for one in values[name]:
            key = one[kind]
            yield kind, f"{key['tonic']} {key['mode']}", "", one["times"], one["tunes"], one["share"], ""
    for one in values["moves"]:
        what = f"{one['semitones']} {one['mode_from']} {one['mode_to']}"
        yield "move", what, one["name"], one["times"], one["tunes"], one["share"], ""
    for one in values["cadences"]:
        yield "cadence", one["type"], one["name"], one["times"], one["tunes"], one["share"], one["status"]
    for one in values["interruptions"]:
        what = f"{one['shape']} {one['semitones']}"
        yield "interruption", what, "", one["times"], one["tunes"], one["share"], ""
    for one in values["learn_next"]:
        share = _share(one["opens"], repertoire)
        yield "next", " ".join(one["types"]), "", len(one["types"]), one["opens"], share, ""


def _share(tunes: int, repertoire: Repertoire) -> float:
    return round(tunes / len(repertoire.tunes), 4)


def _key(key: Key) -> Json:
    return {"tonic": str(key.tonic), "mode": key.mode}


def _tune(tune: TuneInShort) -> Json:
    return {"file": tune.file, "title": tune.title}
