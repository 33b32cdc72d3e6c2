"""Many charts one after the other: each read and made into something, its faults and remarks told beside it.

From some number of charts on, several processes share them. What is made travels between processes and
so is small: finished text, or a few counts.
"""

from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Generic, TypeAlias, TypeVar

from trainer.charts.library import ChartSource, load
from trainer.charts.pins import PlacedPin
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.commands.reports import told_error, told_remark
from trainer.commands.side_by_side import Died, in_order, processes_for
from trainer.commands.waiting import Waiting
from trainer.errors import Fault, KeyfarerError, TextError
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis
from trainer.records import dataclass

WORTH_FROM = 240
"""So many charts take longer than it takes to start processes for them (tests/benchmarks/test_bench_many.py)."""

Made = TypeVar("Made")
Source: TypeAlias = ChartSource | TextError
Make: TypeAlias = Callable[[Timeline, Analysis], Made]


@dataclass(frozen=True, slots=True)
class Finished(Generic[Made]):
    """One chart, done."""

    made: Made | None
    """None where the chart is at fault."""
    remarks: tuple[str, ...] = ()
    error: str = ""


def each_chart(
    sources: Sequence[Source],
    make: Make[Made],
    pins: Sequence[PlacedPin] = (),
    processes: int | None = None,
    bar: bool = False,
) -> Generator[Made | None, None, None]:
    """What is made of each chart, in order; None for one at fault, once it has been told.

    `make` is a function of a module or a partial of one; its KeyfarerError is told as the chart's. `bar`: a
    terminal is shown how far it is.
    """
    count = processes or processes_for(len(sources), WORTH_FROM)
    work: Callable[[Source], Finished[Made]] = partial(finished, make, tuple(pins))
    with Waiting(len(sources), bar) as waiting, closing(in_order(work, sources, count, _only_here)) as all_done:
        for source, done in zip(sources, all_done, strict=True):
            if isinstance(done, Died):
                done = Finished(None, (), _died_told(source))
            if done.error or done.remarks:
                waiting.aside()
            if done.error:
                told_error(KeyfarerError(done.error))
            for remark in done.remarks:
                told_remark(remark)
            yield done.made
            waiting.step()


def finished(make: Make[Made], pins: Sequence[PlacedPin], source: Source) -> Finished[Made]:
    """Read one chart to its end; whatever is wrong with it is told in the result."""
    try:
        if isinstance(source, TextError):
            raise source
        chart = load(source)
        timeline = unfold(chart, pins)
        made = make(timeline, analyze(timeline))
    except KeyfarerError as error:
        return Finished(None, (), str(error))
    return Finished(made, tuple(remark.told(chart.file) for remark in chart.remarks))


def _only_here(source: Source) -> bool:
    """Whether this process alone can read a source: what it was given on standard input, what is no plain file."""
    return not isinstance(source, ChartSource) or not isinstance(source.place, Path)


def _died_told(source: Source) -> str:
    name = source.name if isinstance(source, ChartSource) else source.file
    found = "a chart whose reading ended its process, for want of memory or by another's hand"
    return Fault(0, 0, found, "it to be read; try it by itself").told(name)
