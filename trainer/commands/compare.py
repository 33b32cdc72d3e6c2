"""`keyfarer analyze --compare`: where two readings differ, of one chart without and with pins, or of two charts."""

from collections.abc import Sequence

import click

from trainer.charts.chart import Chart
from trainer.charts.library import ChartSource, find_charts, load
from trainer.charts.pins import PlacedPin
from trainer.charts.transpose import transposed_timeline
from trainer.charts.unfold import unfold
from trainer.commands.instrument import Instrument, centers_of, written_for
from trainer.commands.options import AnalyzeOptions
from trainer.commands.page import Page, page_for
from trainer.commands.paired_bars import Side, compared, heard_alike
from trainer.commands.reports import told_remark
from trainer.commands.told_compare import told_compare
from trainer.errors import KeyfarerError
from trainer.harmony.interval import between
from trainer.reading.analysis import analyze
from trainer.records import dataclass

COMPARE_TOLD = "`--compare` takes one chart with `--pin BAR=KEY`, or two charts without pins"


@dataclass(frozen=True, slots=True)
class Sides:
    """The two readings, what each is called in the lines, and what is to be known of them."""

    names: tuple[str, str]
    first: Side
    second: Side
    head: tuple[str, ...]


def run_compare(options: AnalyzeOptions, pins: Sequence[PlacedPin]) -> int:
    """Print where two readings differ. Raises KeyfarerError."""
    if options.explain is not None:
        raise KeyfarerError("found `--explain` beside `--compare`; expected one of them")
    sources = list(find_charts(options.files))
    if len(sources) != (1 if pins else 2):
        given = "no pin" if not pins else "one pin" if len(pins) == 1 else f"{len(pins)} pins"
        found = "one chart" if len(sources) == 1 else f"{len(sources)} charts"
        raise KeyfarerError(f"found {found} and {given}; {COMPARE_TOLD}")
    page = page_for(options.numerals, options.instrument)
    charts = [_chart(source) for source in sources]
    sides = _with_pins(charts[0], pins) if pins else _two_charts(page, *charts)
    for side in (sides.first, sides.second):
        page = page.read_on(side.analysis)
    comparison = compared(_written(sides.first, page.instrument), _written(sides.second, page.instrument))
    for line in told_compare(comparison, sides.names, sides.head, page, options.why):
        click.echo(line)
    return 0


def _chart(source: ChartSource | Exception) -> Chart:
    if not isinstance(source, ChartSource):
        raise source
    chart = load(source)
    for remark in chart.remarks:
        told_remark(remark.told(chart.file))
    return chart


def _read(chart: Chart, pins: Sequence[PlacedPin] = ()) -> Side:
    timeline = unfold(chart, pins)
    return Side(timeline, analyze(timeline))


def _written(side: Side, instrument: Instrument) -> Side:
    return Side(*written_for(instrument, side.timeline, side.analysis))


def _with_pins(chart: Chart, pins: Sequence[PlacedPin]) -> Sides:
    plain, pinned = _read(chart), _read(chart, pins)
    title = plain.analysis.title or plain.analysis.file
    given = " ".join(f"--pin {pin.text}" for pin in pins)
    return Sides(("as it stands", "pinned"), plain, pinned, (title, f"As it stands, and pinned: {given}."))


def _two_charts(page: Page, one: Chart, other: Chart) -> Sides:
    """Two charts; the second is moved into the first one's key where more of it is the same then."""
    first, second = _read(one), _read(other)
    head = [f"First: {_named(first)}", f"Second: {_named(second)}"]
    homes = (first.analysis.home, second.analysis.home)
    if homes[0] is not None and homes[1] is not None and homes[0].key.mode == homes[1].key.mode:
        mine, theirs = homes[0].key, homes[1].key
        semitones = between(theirs.tonic, mine.tonic).semitones
        timeline = transposed_timeline(second.timeline, semitones, centers_of(second.analysis), mine)
        moved = Side(timeline, analyze(timeline))
        if semitones % 12 and heard_alike(first, moved) > heard_alike(first, second):
            head.append(f"The second is in {page.key(theirs)} and was moved to {page.key(mine)} to compare them.")
            second = moved
    return Sides(("first", "second"), first, second, tuple(head))


def _named(side: Side) -> str:
    title, file = side.analysis.title, side.analysis.file
    return f"{title} ({file})" if title and title != file else file
