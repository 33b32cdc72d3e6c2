"""Whatever text a chart has and whatever a chart says: it is refused with reasons, or read whole."""

from pathlib import Path

import pytest
from hypothesis import given

from tests.fuzzing import fuzzes_clean, needs_fuzzer
from tests.trainer.charts.chart_strategies import charts
from tests.trainer.reading.charting import timeline_of
from tests.trainer.reading.complete import faults_of
from trainer.charts.chart import Chart
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.reading.analysis import analyze


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
@needs_fuzzer
def test_fuzzing_finds_nothing(tmp_path: Path) -> None:
    """For some minutes the fuzzer finds no text that crashes, hangs or is read in part."""
    fuzzes_clean("tests.trainer.reading.fuzz_charts", tmp_path)
