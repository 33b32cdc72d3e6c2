"""`keyfarer chart`: charts as files: checked, tidied, moved to another key."""

from collections import Counter
from dataclasses import replace
from pathlib import Path

import click

from trainer.charts.chart import Chart
from trainer.charts.library import ChartSource, find_charts
from trainer.charts.reader import read_chart
from trainer.charts.transpose import parse_steps, transposed_chart
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.commands.chart_files import OutputError, loaded, one_source, own_file, put
from trainer.commands.instrument import centers_of
from trainer.commands.reports import BAD_INPUT, told_error, told_remark
from trainer.commands.words import counted
from trainer.errors import KeyfarerError
from trainer.harmony.key import Key, parse_key, simplest_key
from trainer.harmony.pitch import HarmonyError, parse_note_name
from trainer.reading.analysis import analyze
from trainer.reading.route import short_way

MOST_SIGNS = 7
"""No signature has more sharps or flats; a key beyond it takes its neighbour's name: Ab for G#."""


def run_chart_check(files: tuple[str, ...]) -> int:
    """Tell all faults of every chart, then how many charts have some; 2 where one has."""
    sources = find_charts(files)
    faulty = 0
    for source in sources:
        try:
            if not isinstance(source, ChartSource):
                raise source
            timeline = unfold(loaded(source))
        except KeyfarerError as error:
            told_error(error)
            faulty += 1
            continue
        bars = counted(sum(bar.number > 0 for bar in timeline.bars), "bar")
        names = [section.name for section in timeline.sections if section.name is not None]
        form = f", form {' '.join(names)}" if len(names) > 1 else ""
        click.echo(f"{source.name}: no faults; {bars} as played{form}")
    click.echo(f"{counted(len(sources), 'chart')}, {faulty or 'none'} with faults")
    return BAD_INPUT if faulty else 0


def run_chart_tidy(file: str, to: Path | None, write: bool, own_spelling: bool, sure: bool) -> int:
    """Write a chart anew, its bars under one another. Raises KeyfarerError and then changes nothing."""
    source = one_source(file)
    if write and to is not None:
        raise OutputError("found `--write` and `--to`; expected one of them: back into the file, or another file")
    if write:
        to = own_file(source)
    chart = loaded(source)
    text = tidied(chart, own_spelling)
    if write and to is not None and to.read_bytes() == text.encode("utf-8"):
        told_remark(f"{to}: is tidy already")
        return 0
    put(text, to, sure)
    return 0


def tidied(chart: Chart, own_spelling: bool = False) -> str:
    """A chart's text, written anew. Raises KeyfarerError where anything would be lost."""
    unfold(chart)
    text = write_chart(chart, house_spelling=not own_spelling)
    back = read_chart(text, chart.file)
    comments = [Counter(" ".join(words.split()) for _, words in one.comments) for one in (chart, back)]
    if chart != back or comments[0] != comments[1]:
        raise OutputError(f"{chart.file}: something in it would be lost in writing; it is left as it is")
    return text


def run_chart_transpose(file: str, by: str | None, key: str | None, to: Path | None, sure: bool) -> int:
    """Write a chart in another key. Raises KeyfarerError."""
    if (by is None) == (key is None):
        found = "neither `--by` nor `--key`" if by is None else "`--by` and `--key`"
        raise OutputError(f"found {found}; expected one of them: `--by m3`, `--by -2`, or `--key Eb`")
    chart = loaded(one_source(file))
    put(tidied(moved(chart, by, key)), to, sure)
    return 0


def moved(chart: Chart, by: str | None, key: str | None) -> Chart:
    """A chart moved by an interval or to a key, spelled by the key centers it is heard in. Raises KeyfarerError."""
    analysis = analyze(unfold(chart))
    asked: Key | None = None
    if by is not None:
        semitones = parse_steps(by)
    else:
        home = None if analysis.home is None else analysis.home.key
        if home is None:
            raise OutputError(f"{chart.file}: nothing sounds in it, so it has no key to move from")
        origin, asked = _asked(key or "", home, chart.key)
        semitones = short_way(asked.tonic.pitch_class - origin.tonic.pitch_class)
        if asked == origin:
            return chart
    result = transposed_chart(chart, semitones, centers_of(analysis), asked)
    return replace(result, file=chart.file)


def _asked(text: str, home: Key, printed: Key | None) -> tuple[Key, Key]:
    """The key that moves, and the one it goes to. Raises OutputError.

    A key of the other mode moves the printed key, where that is of its mode and the home's relative or
    parallel; else a note alone is a key of the home's mode.
    """
    try:
        key = parse_key(text)
    except HarmonyError as error:
        raise OutputError(f"--key {text}: found {error.found}; expected {error.expected}") from None
    origin = home
    if key.mode != home.mode:
        kin = printed is not None and (printed.fifths == home.fifths or printed.tonic == home.tonic)
        if printed is not None and kin and printed.mode == key.mode:
            origin = printed
        elif not _is_note(text):
            raise OutputError(
                f"--key {text}: this tune is in {home.name}; expected a {home.mode} key, or a note as in `Eb`"
            )
        else:
            key = replace(key, mode=home.mode)
    if abs(key.fifths) > MOST_SIGNS:
        key = simplest_key(key.tonic.pitch_class, key.mode, key.fifths < 0)
    return origin, key


def _is_note(text: str) -> bool:
    """Whether a key is named by its note alone."""
    try:
        parse_note_name(text[:1].upper() + text[1:])
    except HarmonyError:
        return False
    return True
