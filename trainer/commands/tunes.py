"""`keyfarer tunes add`, `remove`, `learn` and `rest`: what is kept in the player's folder, told file by file."""

from collections.abc import Sequence
from pathlib import Path

import click

from trainer import places
from trainer.charts.library import ChartSource, exercise_tunes, find_charts
from trainer.commands.options import TunesAddOptions
from trainer.commands.reports import BAD_INPUT, told_error, told_remark
from trainer.commands.side_by_side import in_order, processes_for
from trainer.commands.waiting import Waiting
from trainer.commands.words import joined
from trainer.errors import KeyfarerError, TextError
from trainer.practice.adding import kept_ids, outcome_told, read_in
from trainer.practice.keeping import Outcome, Taken, keep
from trainer.practice.kept_tunes import REMOVED, marked, removed
from trainer.practice.own_tunes import keep_known_facts, own_tunes

WORTH_FROM = 240
"""So many charts take longer than it takes to start processes for them, as for `analyze`."""


def run_tunes_add(options: TunesAddOptions) -> int:
    """Keep what can be kept; 2 where a file was bad or another chart of its title is kept. Raises KeptError."""
    sources = [source for source in find_charts(options.files) if not _put_aside(source, options.files)]
    charts: list[Taken] = []
    at_fault = False
    count = processes_for(len(sources), WORTH_FROM)
    with Waiting(len(sources), shown=True) as waiting:
        for source, got in zip(sources, in_order(_taken, sources, count, _only_here), strict=True):
            if isinstance(got, Taken):
                charts.append(got)
            else:
                waiting.aside()
                at_fault = True
                told_error(got if isinstance(got, KeyfarerError) else KeyfarerError(_died(source)))
            waiting.step()
    outcomes = (
        keep(places.tunes_folder(), charts, options.replace, [id for id, _ in exercise_tunes()]) if charts else ()
    )
    for chart, outcome in zip(charts, outcomes, strict=True):
        at_fault = _told(chart, outcome) or at_fault
    keep_known_facts(places.tune_facts_file(), {chart.sha256: chart.facts for chart in charts})
    if options.learn:
        if ids := kept_ids(outcomes):
            _mark(ids, learning=True)
    return BAD_INPUT if at_fault else 0


def _taken(source: ChartSource | TextError) -> Taken | KeyfarerError:
    """What a process does with one file."""
    try:
        return read_in(source)
    except KeyfarerError as error:
        return KeyfarerError(str(error))


def _put_aside(source: ChartSource | TextError, named: Sequence[str]) -> bool:
    """Whether a chart was found among those that are kept no longer, and not named by itself."""
    name = source.name if isinstance(source, ChartSource) else source.file
    return name not in named and Path(name).parent.resolve() == (places.tunes_folder() / REMOVED).resolve()


def _only_here(source: ChartSource | TextError) -> bool:
    """Whether this process alone can read a source."""
    return not isinstance(source, ChartSource) or not isinstance(source.place, Path)


def _died(source: ChartSource | TextError) -> str:
    name = source.name if isinstance(source, ChartSource) else source.file
    return f"{name}: reading it ended its process, for want of memory or by another's hand; add it by itself"


def _told(chart: Taken, outcome: Outcome) -> bool:
    """Say what came of one chart; returns whether that is a fault."""
    for remark in chart.remarks:
        told_remark(remark)
    words, wrong = outcome_told(chart, outcome)
    if wrong:
        told_error(KeyfarerError(words))
    else:
        click.echo(words)
    return wrong


def run_tunes_mark(ids: Sequence[str], learning: bool) -> int:
    """Mark tunes as ones to learn, or no longer. Raises KeptError."""
    _mark(list(dict.fromkeys(ids)), learning)
    return 0


def _mark(ids: Sequence[str], learning: bool) -> None:
    marked(places.tunes_folder(), ids, learning)
    own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    for id in ids:
        click.echo(f"{id}: {own.learning_told(id)}")


def run_tunes_remove(ids: Sequence[str]) -> int:
    """Keep tunes no longer. Raises KeptError."""
    aside = removed(places.tunes_folder(), ids)
    for id in dict.fromkeys(ids):
        click.echo(f"{id}: kept no longer")
    if aside:
        click.echo(f"Put aside: {joined([str(path) for path in aside])}")
    return 0
