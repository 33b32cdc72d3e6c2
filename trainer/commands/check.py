"""`keyfarer check`: what works here, and the mend for what doesn't."""

import os
import shutil
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import click

from trainer import places
from trainer.commands.words import table, width
from trainer.errors import KeyfarerError
from trainer.settings import Settings, load
from trainer.terminal import colors, shows_ascii_only

Row = tuple[str, bool, str, str | None]
"""What was looked at, whether it works, what was found, and the mend."""

SMALLEST = (80, 24)
"""Columns and lines that the terminal app is made for."""


def run_check() -> int:
    """Say what works; 1 when settings, store or the list of tunes are broken, for there is no practice then."""
    rows: list[Row] = []
    for row in (*_own_things(), *_terminal(), *_sound()):
        rows.append(row)
        thing, works, told, mend = row
        words = f"{told}; mend: {mend}" if mend else told
        for line in table([(thing.ljust(9), "ok" if works else "NOT", words)], width()):
            click.echo(line)
    broken = [thing for thing, works, _, _ in rows if not works]
    return 1 if {"settings", "store", "tunes"} & set(broken) else 0


def _own_things() -> Iterator[Row]:
    file = places.settings_file()
    try:
        settings = load(file)
        yield "settings", True, str(file) if file.exists() else f"all defaults; {file} would hold others", None
    except KeyfarerError as error:
        settings = Settings()
        yield "settings", False, " ".join(str(error).split()), None
    yield _store(settings)
    yield _tunes()


def _tunes() -> Row:
    """The player's own charts."""
    from trainer.commands.words import counted
    from trainer.practice.own_tunes import own_tunes

    folder = places.tunes_folder()
    try:
        own = own_tunes(folder, places.tune_facts_file())
    except KeyfarerError as error:
        return "tunes", False, " ".join(str(error).split()), None
    if not own.index.tunes:
        return "tunes", True, f"none of your own yet; `keyfarer tunes add` keeps them in {folder}", None
    told = f"{counted(len(own.index.tunes), 'tune')} of your own in {folder}"
    if not own.faults:
        return "tunes", True, told, None
    return "tunes", True, f"{told}, {len(own.faults)} can't be read", "`keyfarer tunes` tells which and why"


def _store(settings: Settings) -> Row:
    path = places.memory_file()
    if not path.exists():
        folder = next(folder for folder in path.parents if folder.exists())
        if os.access(folder, os.W_OK) and folder.is_dir():
            return "store", True, f"none yet; {path} will be made at the first drill", None
        return "store", False, f"none yet, and {folder} can't be written", _write_mend(folder)
    from trainer.commands.player import open_memory
    from trainer.memory.store import newest_version
    from trainer.practice.clock import clock_remark

    try:
        with open_memory(settings) as store:
            late = clock_remark(store.newest_at(), datetime.now(UTC))
    except KeyfarerError as error:
        return "store", False, " ".join(str(error).split()), None
    for needed in (path, path.parent):
        if not os.access(needed, os.W_OK):
            return "store", False, f"{path}: can be read, not written", _write_mend(needed)
    return "store", True, f"{path}, version {newest_version()}, can be written{f'; {late}' if late else ''}", None


def _write_mend(place: Path) -> str:
    return f"allow writing to {place}, or put KEYFARER_HOME to another folder"


def _terminal() -> Iterator[Row]:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        yield "terminal", True, "none here (input or output is not a terminal); commands print plain lines", None
        return
    columns, lines = shutil.get_terminal_size()
    told = [f"{columns} x {lines}", _colors(), "unicode" if _unicode() else "no unicode"]
    mends = []
    if columns < SMALLEST[0] or lines < SMALLEST[1]:
        mends.append(f"make it {SMALLEST[0]} x {SMALLEST[1]} or larger for the app")
    if not _unicode():
        mends.append("choose a UTF-8 locale, such as LANG=C.UTF-8")
    if os.environ.get("TERM") == "dumb":
        mends.append("TERM is dumb: use `keyfarer drill --plain`")
    yield "terminal", not mends, ", ".join(told), "; ".join(mends) or None


def _colors() -> str:
    if os.environ.get("NO_COLOR"):
        return "no colors (NO_COLOR is set)"
    if os.environ.get("COLORTERM") in ("truecolor", "24bit") or sys.platform == "win32":
        return "16 million colors"
    return {"none": "no colors", "few": "16 colors", "many": "256 colors"}[colors(os.environ)]


def _unicode() -> bool:
    return not shows_ascii_only(os.environ, sys.stdout.encoding or "ascii", bool(sys.flags.utf8_mode))


def _sound() -> Iterator[Row]:
    from synth.noise import divert_noise
    from synth.probe import probe

    divert_noise()
    for finding in probe():
        yield finding.thing, finding.works, finding.told, finding.mend
