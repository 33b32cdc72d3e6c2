"""`keyfarer analyze`: the reading of each chart, as text or as JSON; a bad file leaves the others their turn."""

import sys
from collections.abc import Iterator

import click

from trainer.charts.library import ChartSource, find_charts, load
from trainer.charts.pins import parse_pin_option
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.commands.options import AnalyzeOptions
from trainer.commands.reports import told_error, told_remark
from trainer.errors import KeyfarerError
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis

BAD_INPUT = 2


def run_analyze(options: AnalyzeOptions) -> int:
    """Print every reading; 2 when a file was bad, after the others are done. Raises TextError for a bad pin."""
    pins = tuple(parse_pin_option(text) for text in options.pins)
    code = 0
    first = True
    for source in find_charts(options.files):
        try:
            if not isinstance(source, ChartSource):
                raise source
            chart = load(source)
            timeline = unfold(chart, pins)
        except KeyfarerError as error:
            told_error(error)
            code = BAD_INPUT
            continue
        for remark in chart.remarks:
            told_remark(remark.told(chart.file))
        for line in _lines(options, timeline, analyze(timeline), first):
            click.echo(line)
        first = False
    return code


def _lines(options: AnalyzeOptions, timeline: Timeline, analysis: Analysis, first: bool) -> Iterator[str]:
    if options.json:
        import json

        from trainer.reading.json_form import analysis_json

        plain = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
        yield json.dumps(analysis_json(analysis), ensure_ascii=plain)
        return
    from trainer.commands.told_analysis import told_analysis
    from trainer.commands.words import width

    if not first:
        yield ""
        yield ""
    yield from told_analysis(analysis, timeline, width(), options.why)
