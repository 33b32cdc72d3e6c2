"""Many charts: what charts and JSON cost beside the reading, what sharing them out costs, memory that stays flat."""

import json
import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.benchmarks.test_bench_reading import CHART, best_s
from tests.trainer.commands.many import folder_of
from trainer.charts.library import find_charts, load
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.commands.many_charts import Source
from trainer.commands.side_by_side import in_order
from trainer.reading.analysis import analyze
from trainer.reading.json_form import analysis_text

CHART_AND_JSON = 3.0
"""Reading a chart, playing it out and writing its reading as JSON, in times that the standard library takes to
read and write that JSON; about 2."""
HANDED_OVER = 0.1
"""Of the processors' time for charts of 12 bars goes into handing them over; about a hundredth."""
SIDE_BY_SIDE = 1.4
"""One command with two processes, in times of two commands at once that each read half; alone about 1.1."""
FLAT = 1.15
"""Memory at 1,000 charts, in times of that at 200."""

two_processors = pytest.mark.skipif(
    not hasattr(os, "sched_getaffinity") or len(os.sched_getaffinity(0)) < 2, reason="there is one processor"
)


def test_a_chart_and_its_json_take_little_beside_the_reading(capsys: pytest.CaptureFixture[str]) -> None:
    """Chart text to timeline and reading to JSON, for 32 bars, against the standard library's json on the result."""
    chart = read_chart(CHART, "a chart")
    analysis = analyze(unfold(chart))
    text = analysis_text(analysis)
    reference = best_s(lambda: json.dumps(json.loads(text)), 60)
    parts = {
        "chart": best_s(lambda: read_chart(CHART, "a chart"), 60),
        "played out": best_s(lambda: unfold(chart), 60),
        "JSON": best_s(lambda: analysis_text(analysis), 60),
    }
    with capsys.disabled():
        told = ", ".join(f"{name} {1000 * took:.2f} ms" for name, took in parts.items())
        print(f"\n32 bars: {told}; json {1000 * reference:.2f} ms: {sum(parts.values()) / reference:.1f} times")
    assert sum(parts.values()) / reference <= CHART_AND_JSON


def read_and_written(source: Source) -> str:
    """What a process does with one chart."""
    assert not isinstance(source, Exception)
    return analysis_text(analyze(unfold(load(source))))


@pytest.mark.skipif(sys.platform == "win32", reason="a process's time with its children is not told there")
def test_handing_over_costs_little(tmp_path: Path, rng: random.Random, capsys: pytest.CaptureFixture[str]) -> None:
    """The process that shares the charts out and takes the text back needs a small part of what the others need."""
    sources = find_charts([str(folder_of(rng, tmp_path / "charts", 200))])
    before = os.times()
    assert 200 == sum(1 for _ in in_order(read_and_written, sources, 2))
    after = os.times()
    mine = after.user + after.system - before.user - before.system
    theirs = after.children_user + after.children_system - before.children_user - before.children_system
    with capsys.disabled():
        print(f"\nhanding over 200 charts: {mine:.2f} s of {mine + theirs:.2f} s: {mine / (mine + theirs):.1%}")
    assert mine / (mine + theirs) <= HANDED_OVER


COMMAND = (
    "import sys; from trainer.__main__ import main; code = main(); "
    "print(*(line for line in open('/proc/self/status') if line.startswith('VmHWM')), file=sys.stderr); sys.exit(code)"
)
"""The command, which at its end tells the most memory it has held."""


def seconds(*commands: tuple[str, ...]) -> float:
    """The time by the clock for commands that run at once."""
    began = time.perf_counter()
    running = [subprocess.Popen((sys.executable, "-m", "trainer", *one), stdout=subprocess.DEVNULL) for one in commands]
    assert [0] * len(commands) == [one.wait() for one in running]
    return time.perf_counter() - began


def kilobytes(folder: Path, processes: int) -> int:
    """The most memory that the command itself held meanwhile."""
    command = (sys.executable, "-c", COMMAND, "analyze", str(folder), "--json", "--processes", str(processes))
    done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, encoding="utf-8", check=True)
    return int(done.stderr.split()[1])


@two_processors
def test_two_processes_share_the_work(tmp_path: Path, rng: random.Random, capsys: pytest.CaptureFixture[str]) -> None:
    """1,200 charts through two processes against two commands with 600 each, runs taking turns, the quickest of each.

    So many, for starting processes takes as long as a hundred and more charts and isn't what is measured.
    """
    halves = [str(folder_of(rng, tmp_path / "charts" / name, 600)) for name in ("one", "two")]
    together = ("analyze", *halves, "--json", "--processes", "2")
    apart = [("analyze", half, "--json", "--processes", "1") for half in halves]
    turns = [(seconds(together), seconds(*apart)) for _ in range(3)]
    ours, theirs = (min(column) for column in zip(*turns, strict=True))
    with capsys.disabled():
        print(
            f"\n1,200 charts side by side: {ours:.2f} s, two commands at once {theirs:.2f} s: {ours / theirs:.2f} times"
        )
    assert ours / theirs <= SIDE_BY_SIDE


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc for the most memory held")
@pytest.mark.parametrize("processes", [1, 2])
def test_memory_stays_flat(
    tmp_path: Path, rng: random.Random, capsys: pytest.CaptureFixture[str], processes: int
) -> None:
    """1,000 charts need no more memory than 200."""
    few, many = (folder_of(rng, tmp_path / str(count), count) for count in (200, 1000))
    at_few, at_many = kilobytes(few, processes), kilobytes(many, processes)
    with capsys.disabled():
        print(f"\nmemory, {processes} at once: {at_many} KB at 1,000 charts, {at_many / at_few:.2f} times that at 200")
    assert at_many / at_few <= FLAT
