"""`keyfarer analyze`: the reading of each chart, as text or as data; a bad file leaves the others their turn."""

import sys
from contextlib import closing
from functools import partial
from pathlib import Path

import click

from trainer.charts.library import find_charts
from trainer.charts.pins import parse_pin_option
from trainer.charts.timeline import Timeline
from trainer.commands.data_out import ascii_only, put_data
from trainer.commands.instrument import instrument_told, written_for
from trainer.commands.many_charts import each_chart
from trainer.commands.options import AnalyzeOptions, Form
from trainer.commands.page import Page, page_for
from trainer.commands.reports import BAD_INPUT, told_remark
from trainer.commands.words import width, wrapped
from trainer.reading.values import Analysis


def run_analyze(options: AnalyzeOptions) -> int:
    """Print every reading; 2 when a file was bad, after the others are done. Raises TextError for a bad pin."""
    pins = tuple(map(parse_pin_option, options.pins))
    form = _form(options)
    if options.compare and form in ("text", "table"):
        from trainer.commands.compare import run_compare

        return run_compare(options, pins)
    if form != "text" and (options.compare or options.explain):
        told_remark(f"`--explain` and `--compare` are told in words and change nothing in --{form}")
    page = page_for(options.numerals, options.instrument) if form in ("text", "table") else Page(width())
    told = partial(told_reading, options, form, page, ascii_only())
    sources = find_charts(options.files)
    before = _head(form, page)
    code = 0
    readings = each_chart(sources, told, pins, options.processes, bar=not sys.stdout.isatty())
    with closing(readings):
        for text in readings:
            if text is None:
                code = BAD_INPUT
                continue
            _print(before + text, form)
            before = "\n\n" if form == "text" else ""
    return code


def told_reading(
    options: AnalyzeOptions, form: Form, page: Page, escaped: bool, timeline: Timeline, analysis: Analysis
) -> str:
    """One reading in the form that was asked for, as whole lines. Raises StretchError."""
    if form == "json":
        from trainer.reading.json_form import analysis_text

        return analysis_text(analysis, escaped) + "\n"
    if form == "csv":
        from trainer.commands.chord_rows import chord_rows

        return chord_rows(analysis)
    timeline, analysis = written_for(page.instrument, timeline, analysis)
    page = page.read_on(analysis)
    if form == "table":
        from trainer.commands.told_tunes import tune_line

        return tune_line(analysis, page) + "\n"
    if options.explain is not None:
        from trainer.commands.told_stretch import told_stretch

        return "\n".join((*told_stretch(analysis, timeline, options.explain, page), ""))
    from trainer.commands.told_analysis import told_analysis

    return "\n".join((*told_analysis(analysis, timeline, page, options.why), ""))


def _form(options: AnalyzeOptions) -> Form:
    """How to tell it: a folder is told as a table, unless reasons or a stretch are asked for."""
    if (
        options.form == "text"
        and not (options.why or options.explain)
        and any(name and Path(name).is_dir() for name in options.files)
    ):
        return "table"
    return options.form


def _head(form: Form, page: Page) -> str:
    """What stands above all readings."""
    if form == "csv":
        from trainer.commands.chord_rows import header_row

        return header_row()
    if form == "table":
        from trainer.commands.told_tunes import heads_line

        told = page.say(instrument_told(page.instrument))
        above = "\n".join((*wrapped(told, page.columns), "", "")) if told else ""
        return above + heads_line(page.columns) + "\n"
    return ""


def _print(text: str, form: Form) -> None:
    """To standard output; rows of values as they are, in UTF-8, with the line ends of their standard."""
    if form == "csv":
        put_data(text)
    else:
        click.echo(text, nl=False)
