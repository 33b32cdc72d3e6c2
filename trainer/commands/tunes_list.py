"""`keyfarer tunes` and `keyfarer tunes show`: the tunes there are, and what one is made of, in words or as data."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any, Literal

import click

from trainer import places
from trainer.commands.data_out import ascii_only, put_data
from trainer.commands.player import player_naming
from trainer.commands.reports import BAD_INPUT, told_error
from trainer.commands.standing import standing_at
from trainer.commands.tunes_data import Told, bars_cell, tune_csv, tune_json, tunes_csv, tunes_json
from trainer.commands.words import counted, table, width, wrapped
from trainer.drills.units import unit_name
from trainer.errors import KeyfarerError
from trainer.harmony.note_names import key_told, named
from trainer.practice.course import shipped_course, units
from trainer.practice.own_tunes import OwnTunes, own_tunes

Form = Literal["text", "json", "csv"]
SHOWN_NEXT = 3
"""So many units are told as the next to learn; the data have all."""


def run_tunes(form: Form, now: datetime) -> int:
    """List the player's tunes and the exercise tunes; 2 where a chart can't be read. Raises KeyfarerError."""
    told = _told(own_tunes(places.tunes_folder(), places.tune_facts_file(), exercises=form != "text"), now)
    if form != "text":
        _put(tunes_csv(told) if form == "csv" else tunes_json(told, ascii_only()), form)
    else:
        click.echo("\n".join((*_own_lines(told, width()), *_exercise_lines(told, width()))))
    return _faults(told.own)


def run_tunes_show(id: str, form: Form, now: datetime) -> int:
    """Tell what one tune is made of. Raises KeyfarerError, also where its chart can't be read."""
    own = own_tunes(places.tunes_folder(), places.tune_facts_file(), exercises=True)
    if id not in own.facts:
        raise KeyfarerError(own.faults[id])
    told = _told(own, now)
    if form != "text":
        _put(tune_csv(told, id) if form == "csv" else tune_json(told, id, ascii_only()), form)
    else:
        click.echo("\n".join(tune_lines(told, id, width())))
    return 0


def _told(own: OwnTunes, now: datetime) -> Told:
    return Told(own, units(own.routes), shipped_course().order, standing_at(now))


def _put(text: str, form: Form) -> None:
    if form == "csv":
        put_data(text)
    else:
        click.echo(text)


def _faults(own: OwnTunes) -> int:
    for fault in own.faults.values():
        told_error(KeyfarerError(fault))
    return BAD_INPUT if own.faults else 0


def _own_lines(told: Told, columns: int) -> Iterator[str]:
    """The player's own tunes: what each is, and how far the player is with it."""
    for id in told.own.charts:
        yield id
        yield from wrapped(_head(told, id), columns, "  ")
        yield from wrapped(
            f"yours{_marked(told, id)}; {_share(told.in_short(id))}{_next_word(told, id)}", columns, "  "
        )


def _exercise_lines(told: Told, columns: int) -> Iterator[str]:
    """The exercise tunes, and what each trains."""
    from trainer.charts.library import exercise_tunes, load

    naming = player_naming()
    for name, _ in exercise_tunes():
        chart = load(name)
        key = "no key given" if chart.key is None else key_told(chart.key, naming)
        yield name
        tempo = "" if chart.tempo is None else f", at {float(chart.tempo):g}"
        yield from wrapped(f"{chart.title}: {key}, {chart.meter}{tempo}{_marked(told, name)}", columns, "  ")
        yield from wrapped(f"trains {chart.trains}" if chart.trains else "", columns, "  ")


def _head(told: Told, id: str) -> str:
    facts = told.own.facts[id]
    tempo = "" if facts.tempo is None else f", at {facts.tempo:g}"
    key = named(facts.key, player_naming()) if facts.key else "no key given"
    return f"{facts.title or id}: {key}, {facts.meter}{tempo}"


def _marked(told: Told, id: str) -> str:
    return ", to learn" if id in told.own.index.learning else ""


def _share(row: dict[str, Any]) -> str:
    if not row["cadence_types"]:
        return "no cadence of the table in it"
    return f"{row['cadence_types_heard']} of {counted(row['cadence_types'], 'cadence type')} heard"


def _next_word(told: Told, id: str) -> str:
    coming = told.next_of(id)
    return f"; learn next: {coming[0]}" if coming else ""


def tune_lines(told: Told, id: str, columns: int) -> list[str]:
    """One tune in words: what it is made of and where, what of it is heard, what comes next."""
    facts, row = told.own.facts[id], told.in_short(id)
    whose = "yours" if row["own"] else "an exercise tune"
    home = f", home {named(facts.home, player_naming())}" if facts.home else ""
    lines = [
        *wrapped(_head(told, id), columns, "", "  "),
        *wrapped(f"{id}: {whose}{_marked(told, id)}; {counted(facts.bars, 'bar')} as played{home}", columns, "  "),
    ]
    for head, met in (("Cadence types", facts.cadences), ("Moves of the center", facts.moves)):
        if met:
            cells = [(_called(one.unit), told.status(one.unit), _bars(one.bars)) for one in met]
            lines += ["", head, *table(cells, columns, "  ")]
    share = "" if row["share"] is None else f", {row['share']:.0%} of its cadences"
    lines += ["", *wrapped(f"By ear: {_share(row)}{share}.", columns, "", "  ")]
    coming = told.next_of(id)
    if coming:
        lines += ["", "Learn next to hear this tune"]
        lines += table([(_called(unit), _why(told, unit, coming)) for unit in coming[:SHOWN_NEXT]], columns, "  ")
        if len(coming) > SHOWN_NEXT:
            lines += wrapped(f"and {len(coming) - SHOWN_NEXT} more after these", columns, "  ")
    elif row["cadence_types"]:
        lines += ["", "You hear all that it is made of."]
    return lines


def _called(unit: str) -> str:
    """A type by its id, for that is what is typed; a move or a route by its name."""
    return unit_name(unit) if ":" in unit else unit


def _bars(bars: Iterable[tuple[int, int]]) -> str:
    text = bars_cell(bars).replace(" ", ", ")
    return f"bar {text}" if text.isdigit() else f"bars {text}"


def _why(told: Told, unit: str, coming: tuple[str, ...]) -> str:
    """Where one stands with a unit, and what comes before it."""
    before = [_called(one) for one in told.table[unit].after if one in coming]
    after = f", after {', '.join(before)}" if before else ""
    return f"{told.status(unit)}{after}"
