"""`keyfarer memory`: check, rebuild, export, import, backup, restore."""

import os
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import click

from trainer import places
from trainer.commands.player import open_memory, player_settings
from trainer.commands.reports import BAD_INPUT, told_error, told_remark
from trainer.commands.words import counted, table, width, wrapped
from trainer.errors import KeyfarerError
from trainer.memory.log_file import read_log, write_log
from trainer.memory.logged import LineError, Logged
from trainer.memory.merge import Merged
from trainer.memory.store import Holds, Store, open_store
from trainer.memory.store_faults import StoreError
from trainer.practice.clock import clock_remark

if TYPE_CHECKING:
    from trainer.drills.material import TuneMaterial

BROKEN = 1
FAULTS_TOLD = 20
"""Lines that can't be read, told one by one."""
DATABASE = b"SQLite format 3\0"
"""How a store's file begins (SQLite documentation, "Database File Format")."""
STANDARD = Path("-")


class FileError(KeyfarerError):
    """A file that can't be read or written, or may not be."""


def run_memory_check(now_utc: datetime) -> int:
    """Say what is in the memory; 1 where it is broken. Raises SettingsError, StoreError."""
    path = places.memory_file()
    if not path.exists():
        click.echo(f"No memory yet: {path} will be made at the first drill.")
        return 0
    with open_memory(player_settings(), path) as store:
        broken = store.faults()
        if broken:
            for fault in broken:
                told_error(StoreError(f"{path} is damaged: {fault}"))
            told_remark("copy the file first, then `keyfarer memory restore` the last backup; or, if it still can be")
            told_remark("read, `keyfarer memory export` what is left, move the file away and import that")
            return BROKEN
        store.refresh()
        holds = store.holds()
        click.echo("\n".join(told_holds(store, holds, len(store.days_practised()))))
    remark = clock_remark(holds.last_at, now_utc)
    if remark:
        told_remark(remark)
    return 0


def told_holds(store: Store, holds: Holds, days: int) -> list[str]:
    """What is in a memory, as lines."""
    rows = [("file", f"{store.path}, sound"), ("answers", str(holds.trials))]
    if holds.first_at and holds.last_at:
        rows.append(("practised", f"{counted(days, 'day')}, {holds.first_at:%Y-%m-%d} to {holds.last_at:%Y-%m-%d}"))
    if holds.slips:
        rows.append(("slips", f"{holds.slips}, which count for nothing"))
    others = [count for name, count in holds.stores if name != store.id]
    if others:
        rows.append(
            ("imported", f"{counted(sum(others), 'answer')} from {counted(len(others), 'other memory', 'others')}")
        )
    return table(rows, width())


def run_rebuild() -> int:
    """Compute everything anew. Raises SettingsError, StoreError."""
    from trainer.practice.remark import remarked

    with _memory() as store:
        store.refresh()
        again = remarked(store, _all_tunes)
        store.rebuild(again.marks)
        holds, reviews = store.holds(), len(store.reviews())
    told = (
        f"Computed anew from {counted(holds.trials, 'answer')}: {counted(reviews, 'type or tune', 'types or tunes')}."
    )
    if again.marks:
        told += f" {counted(len(again.marks), 'answer')} marked again by this keyfarer's rules."
    if again.left:
        told += (
            f" {counted(again.left, 'answer')} of other rules kept the mark of the day: "
            "the question can't be made quite alike any more."
        )
    click.echo("\n".join(wrapped(told, width())))
    return 0


@cache
def _all_tunes() -> "Sequence[TuneMaterial]":
    """The exercise tunes and the player's own that can be read; without these where their list can't be."""
    from trainer.practice.materials import tune_material
    from trainer.practice.own_tunes import NONE_KEPT, own_tunes

    try:
        own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    except KeyfarerError as error:
        told_error(error)
        told_remark("answers from your own tunes keep their marks until then")
        own = NONE_KEPT
    return tune_material(own)


def run_export(file: Path, sure: bool) -> int:
    """Write every answer into one file. Raises SettingsError, StoreError, FileError."""
    with _memory() as store:
        if file == STANDARD:
            write_log(store, sys.stdout.buffer)
            sys.stdout.buffer.flush()
            return 0
        _may_write(file, sure)
        with _written_whole(file) as out:
            count = write_log(store, out)
    click.echo(f"wrote {file}, {counted(count, 'answer')}")
    return 0


def run_import(files: tuple[Path, ...]) -> int:
    """Add the answers of files, all that can be read; 2 where something couldn't. Raises StoreError."""
    from trainer.drills.mark import RULES_VERSION

    code = 0
    with open_memory(player_settings()) as store:
        for file in files:
            faults = _Faults(file)
            try:
                merged = _merged(store, file, faults)
            except (LineError, FileError) as error:
                told_error(FileError(f"{file}: {error}"))
                code = BAD_INPUT
                continue
            click.echo(told_merged(file, merged))
            if faults.count:
                faults.told_rest()
                code = BAD_INPUT
        store.refresh()
        if any(True for _ in store.marked_otherwise(RULES_VERSION)):
            told_remark("some answers were marked by other rules; `keyfarer memory rebuild` marks them by these")
    return code


def told_merged(file: Path, merged: Merged) -> str:
    """What importing has done."""
    told = f"{file}: {counted(merged.added, 'new answer')}, {merged.known} known already"
    return f"{told}, {counted(merged.slips, 'slip')}" if merged.slips else told


class _Faults:
    """Lines that couldn't be read, told as they come and only counted where there are many."""

    def __init__(self, file: Path) -> None:
        self.file, self.count = file, 0

    def tell(self, line: int, why: str) -> None:
        """One more."""
        self.count += 1
        if self.count <= FAULTS_TOLD:
            told_error(FileError(f"{self.file}, line {line}: {why}" if line else f"{self.file}: {why}"))

    def told_rest(self) -> None:
        """How many were not told."""
        if self.count > FAULTS_TOLD:
            told_error(FileError(f"{self.file}: {self.count - FAULTS_TOLD} more lines can't be read"))


def _merged(store: Store, file: Path, faults: _Faults) -> Merged:
    if file == STANDARD:
        return store.merge(read_log(sys.stdin.buffer, faults.tell))
    try:
        with file.open("rb") as opened:
            if opened.read(len(DATABASE)) != DATABASE:
                opened.seek(0)
                return store.merge(read_log(opened, faults.tell))
    except OSError as error:
        raise FileError(f"it can't be read ({error.strerror})") from None
    with _other_memory(file) as trials:
        return store.merge(trials)


@contextmanager
def _other_memory(file: Path) -> Iterator[Iterator[Logged]]:
    """The trials of another store, read from a copy, so that it stays as it is."""
    from trainer.memory.copies import backup

    with tempfile.TemporaryDirectory() as folder:
        backup(file, Path(folder) / "other.db")
        with open_store(Path(folder) / "other.db") as other:
            other.refresh()
            yield other.logged(other.places())


def run_backup(file: Path, sure: bool) -> int:
    """Copy the memory into one file. Raises StoreError, FileError."""
    from trainer.memory.copies import backup

    _may_write(file, sure)
    trials = backup(places.memory_file(), file)
    click.echo(f"wrote {file}, {counted(trials, 'answer')}")
    return 0


def run_restore(file: Path) -> int:
    """Put a backup in the memory's place. Raises StoreError."""
    from trainer.memory.copies import restore

    trials, kept = restore(places.memory_file(), file)
    click.echo(f"restored {places.memory_file()} from {file}, {counted(trials, 'answer')}")
    if kept is not None:
        told_remark(f"the memory before is kept as {kept}")
        told_remark(f"answers that only it has can be added: keyfarer memory import {kept}")
    return 0


@contextmanager
def _memory() -> Iterator[Store]:
    """The player's store, which must be there. Raises StoreError."""
    path = places.memory_file()
    if not path.exists():
        raise StoreError(f"there is no memory yet; {path} will be made at the first drill")
    with open_memory(player_settings(), path) as store:
        yield store


def _may_write(file: Path, sure: bool) -> None:
    if file == STANDARD:
        raise FileError("-: a memory is no text; name a file to copy it into")
    if file.is_dir():
        raise FileError(f"{file}: found a folder of that name; expected a file's name")
    if not file.parent.is_dir():
        raise FileError(f"{file}: there is no folder {file.parent}; make it first, or choose another place")
    if not file.exists() or sure:
        return
    if not sys.stdin.isatty():
        raise FileError(f"{file}: is there already, and nobody can be asked here; `--yes` writes over it")
    if not click.confirm(f"{file} is there already. Write over it?", default=False, err=True):
        raise FileError(f"{file}: left as it is")


@contextmanager
def _written_whole(file: Path) -> Iterator[BinaryIO]:
    """A file that takes its place when all of it is on the disk, and not at all if that fails."""
    fresh = file.with_name(f".{file.name}.new")
    try:
        with fresh.open("wb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        os.replace(fresh, file)
    except OSError as error:
        raise FileError(f"{file}: can't be written ({error.strerror})") from None
    finally:
        fresh.unlink(missing_ok=True)
