"""`keyfarer repertoire`: what many tunes are made of, and which few cadence types to learn next for them."""

from collections.abc import Iterator
from contextlib import closing
from datetime import datetime

import click

from trainer.charts.library import find_charts
from trainer.charts.timeline import Timeline
from trainer.commands.data_out import ascii_only, put_data
from trainer.commands.many_charts import each_chart
from trainer.commands.options import RepertoireOptions
from trainer.commands.player import player_naming
from trainer.commands.reports import BAD_INPUT
from trainer.commands.standing import standing_at
from trainer.commands.words import width
from trainer.reading.repertoire import TuneCount, count_tune, repertoire_of
from trainer.reading.values import Analysis


def run_repertoire(options: RepertoireOptions, now: datetime) -> int:
    """Print what the charts have together; 2 when a file was bad. Raises SettingsError, StoreError."""
    standing = standing_at(now)
    at_fault = 0

    def counts() -> Iterator[TuneCount]:
        nonlocal at_fault
        tunes = each_chart(find_charts(options.files), counted_tune, (), options.processes, bar=True)
        with closing(tunes):
            for tune in tunes:
                if tune is None:
                    at_fault += 1
                else:
                    yield tune

    repertoire = repertoire_of(counts())
    if options.form == "json":
        from trainer.commands.repertoire_data import repertoire_json

        click.echo(repertoire_json(repertoire, standing, ascii_only()))
    elif options.form == "csv":
        from trainer.commands.repertoire_data import repertoire_csv

        put_data(repertoire_csv(repertoire, standing))
    elif repertoire.tunes:
        from trainer.commands.told_repertoire import told_repertoire

        click.echo("\n".join(told_repertoire(repertoire, standing, width(), player_naming())))
    return BAD_INPUT if at_fault else 0


def counted_tune(_: Timeline, analysis: Analysis) -> TuneCount:
    """What one tune has; all that a process sends back of it."""
    return count_tune(analysis)
