"""One chart in, one file out: nothing is written over before the player has said so, and never by halves."""

import os
import shutil
import sys
from pathlib import Path

import click

from trainer.charts.chart import Chart
from trainer.charts.library import CHART_SUFFIX, STANDARD_INPUT, ChartSource, find_charts, load
from trainer.commands.reports import told_remark
from trainer.errors import KeyfarerError


class OutputError(KeyfarerError):
    """A file that can't be written, or may not be."""


def one_source(name: str) -> ChartSource:
    """The one chart that an argument names. Raises TextError, and OutputError for a folder."""
    if name and Path(name).is_dir():
        raise OutputError(f"{name}: found a folder; expected one chart: name a file in it")
    (found,) = find_charts((name,))
    if not isinstance(found, ChartSource):
        raise found
    return found


def loaded(source: ChartSource) -> Chart:
    """The chart of a source, its remarks told. Raises TextError."""
    chart = load(source)
    for remark in chart.remarks:
        told_remark(remark.told(chart.file))
    return chart


def own_file(source: ChartSource) -> Path:
    """The chart text that a source was read from and may be written back to. Raises OutputError."""
    if source.name == STANDARD_INPUT:
        raise OutputError("-: `--write` changes a file, and this came in by a pipe; leave it out to print")
    path = Path(source.name)
    if not path.exists():
        raise OutputError(f"{source.name}: an exercise tune stays as it is; `--to` writes a copy")
    if path.suffix.casefold() != CHART_SUFFIX:
        raise OutputError(f"{path}: `--write` changes a `{CHART_SUFFIX}` file; `--to` writes another")
    return path


def put(content: str | bytes, path: Path | None, sure: bool) -> None:
    """Write to a file, or to standard output where there is none. Raises OutputError.

    sure: a file that is there is written over without asking. Text that goes to no terminal is UTF-8 whatever
    the terminal's encoding is, so that it can be read again; bytes never go to a terminal.
    """
    if path is None and sys.stdout.isatty():
        if isinstance(content, bytes):
            raise OutputError("found a terminal; expected a file for what is no text: name one, or add `> FILE`")
        click.echo(content, nl=False)
        return
    data = content.encode("utf-8") if isinstance(content, str) else content
    if path is None:
        click.echo(data, nl=False)
        return
    _check(path)
    if path.exists() and not sure and not _agreed(path):
        raise OutputError(f"{path}: left as it is")
    target = path.resolve()
    fresh = target.with_name(f".{target.name}.new")
    try:
        fresh.write_bytes(data)
        if target.exists():
            shutil.copymode(target, fresh)
        os.replace(fresh, target)
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise OutputError(f"{path}: can't be written ({error.strerror})") from None
    click.echo(f"wrote {path}")


def _check(path: Path) -> None:
    if path.is_dir():
        raise OutputError(f"{path}: found a folder of that name; expected a file's name")
    if not path.parent.is_dir():
        raise OutputError(f"{path}: there is no folder {path.parent}; make it first, or choose another place")


def _agreed(path: Path) -> bool:
    """Whether the player lets a file be written over; who can't be asked is told how to say so."""
    if not sys.stdin.isatty():
        raise OutputError(f"{path}: is there already, and nobody can be asked here; `--yes` writes over it")
    return click.confirm(f"{path} is there already. Write over it?", default=False, err=True)
