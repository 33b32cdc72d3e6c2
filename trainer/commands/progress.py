"""`keyfarer progress`: how far each cadence type is, what is due today and why, what is confused, how it went.

Looked at often, so without a type it loads the store and nothing of the trainer beside it; types go by their ids.
"""

import json
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

import click

from trainer import places
from trainer.commands.data_out import ascii_only, put_data
from trainer.commands.player import open_memory, player_naming, player_settings, practice_day_of
from trainer.commands.words import width

if TYPE_CHECKING:  # who has no store yet need not wait for it
    from trainer.memory.store import Store

NOTHING_YET = (
    "Nothing practised yet: your progress begins with the first answer.",
    "Begin with `keyfarer`, or `keyfarer drill --plain` for lines of text.",
    "`keyfarer types` lists the cadence types there are to hear.",
)
TABLES = ("types", "keys", "voicings", "tempi", "drills", "confusions", "days", "weeks", "firsts", "tunes")
"""What can be asked for by itself."""
AT_ONCE = ("types", "confusions", "days", "weeks", "firsts")
"""What the JSON of all types holds where nothing else is asked for."""
OF_ONE = ("types", "keys", "voicings", "tempi", "drills", "confusions", "weeks", "firsts")
"""What there is of one type."""
Form = Literal["text", "json", "csv"]


def run_progress(form: Form, now: datetime, what: str | None = None, unit: str | None = None) -> int:
    """Print the progress of the practice day that `now` belongs to. Raises SettingsError, StoreError.

    what: one of TABLES alone. unit: one cadence type, move or route alone.
    """
    settings = player_settings()
    day = practice_day_of(now, settings)
    path = places.memory_file()
    if not path.exists() and form == "text":
        _echo(NOTHING_YET)
        return 0
    if not path.exists():
        _put(_data(None, day, form, what, unit), form)
        return 0
    with open_memory(settings, path) as store:
        store.refresh()
        if form != "text":
            _put(_data(store, day, form, what, unit), form)
            return 0
        _echo(_told(store, day, what, unit, width()) or NOTHING_YET)
    return 0


def _echo(lines: Sequence[str]) -> None:
    click.echo("\n".join(lines))


def _put(data: str, form: Form) -> None:
    if form == "csv":
        put_data(f"{data}\n")
    else:
        click.echo(data)


def _told(store: "Store", day: date, what: str | None, unit: str | None, columns: int) -> list[str]:
    if what is not None:
        from trainer.commands.told_tables import told_table

        return told_table(what, _rows(store, day, what, unit), columns, player_naming())
    if unit is not None:
        from trainer.commands.told_unit import told_unit

        return told_unit(store, unit, day, columns, player_naming())
    from trainer.commands.told_progress import WEEKS_SHOWN, told_progress
    from trainer.practice.over_time import seen_on

    seen = seen_on(store, day, WEEKS_SHOWN)
    return told_progress(seen, columns) if seen.rows else []


def _rows(store: "Store | None", day: date, what: str, unit: str | None) -> list[dict[str, object]]:
    if what == "tunes":
        from trainer.practice.known_tunes import known_tune_rows
        from trainer.practice.own_tunes import own_tunes

        tunes = own_tunes(places.tunes_folder(), places.tune_facts_file(), exercises=True)
        return known_tune_rows(store, day, tunes)
    from trainer.memory.progress_tables import TABLES as MADE

    return [] if store is None else MADE[what].rows(store, day, unit)


def _columns(what: str) -> tuple[str, ...]:
    if what == "tunes":
        from trainer.practice.known_tunes import COLUMNS

        return COLUMNS
    from trainer.memory.progress_tables import TABLES as MADE

    return MADE[what].columns


def _data(store: "Store | None", day: date, form: str, what: str | None, unit: str | None) -> str:
    from trainer.memory.progress import SCHEMA, csv_text

    if form == "csv":
        name = what or "types"
        return csv_text(_columns(name), _rows(store, day, name, unit)).replace("\r\n", "\n").rstrip("\n")
    names = (what,) if what else AT_ONCE if unit is None else OF_ONE
    values: Mapping[str, object] = {
        "units" if name == "types" else name: _rows(store, day, name, unit) for name in names
    }
    return json.dumps({"schema": SCHEMA, "day": day.isoformat(), **values}, ensure_ascii=ascii_only())
