"""Whatever text a chart has and whatever a chart says: it is refused with reasons, or read whole."""

import os
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest
from hypothesis import given

from tests.trainer.charts.chart_strategies import charts
from tests.trainer.reading.charting import timeline_of
from tests.trainer.reading.complete import faults_of
from trainer.charts.chart import Chart
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.reading.analysis import analyze

FUZZED_S = 240
"""How long the long test fuzzes; `KEYFARER_FUZZ_S` sets another time."""
FEWEST_RUNS = 1000
"""In that time; fewer would mean that it isn't fuzzing."""


@given(charts())
def test_every_chart_that_can_be_written_is_read_whole(chart: Chart) -> None:
    """Each sounding chord of a random chart has center, numeral, function and reason, its shares sum to 1."""
    timeline = unfold(read_chart(write_chart(chart), "a random chart"))
    assert [] == faults_of(analyze(timeline), timeline)


def test_what_is_missing_is_seen() -> None:
    """A reading of another chart, with fewer chords, is not the whole reading of this one."""
    one, other = timeline_of("Dm7 | G7 | Cmaj7 | %"), timeline_of("Dm7 | G7 | Cmaj7 | N.C.")
    assert [] == faults_of(analyze(one), one)
    assert ["the chords are not those of the timeline"] == faults_of(analyze(other), one)


@pytest.mark.long
@pytest.mark.skipif(find_spec("atheris") is None, reason="the fuzzer has no build for this system")
def test_fuzzing_finds_nothing(tmp_path: Path) -> None:
    """For some minutes the fuzzer finds no text that crashes, hangs or is read in part."""
    limit_s = int(os.environ.get("KEYFARER_FUZZ_S", FUZZED_S))
    command = (sys.executable, "-m", "tests.trainer.reading.fuzz_charts", f"-max_total_time={limit_s}")
    root = Path(__file__).resolve().parents[3]
    surroundings = {**os.environ, "TMPDIR": str(tmp_path)}
    done = subprocess.run(
        command, cwd=root, env=surroundings, capture_output=True, encoding="utf-8", errors="replace",
        timeout=limit_s + 300, check=False,
    )  # fmt: skip
    assert 0 == done.returncode, done.stderr[-4000:]
    found = re.search(r"Done (\d+) runs", done.stderr)
    assert found is not None
    assert int(found[1]) >= FEWEST_RUNS * min(1.0, limit_s / FUZZED_S)
