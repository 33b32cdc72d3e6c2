"""Tunes written as onset, offset and chord, as mir_eval reads such lines."""

import io
from itertools import pairwise

import mir_eval.io
import mir_eval.util
import pytest

from trainer.charts.library import exercise_tunes, load
from trainer.charts.reader import read_chart
from trainer.charts.timed_chords import write_timed_chords
from trainer.charts.unfold import unfold
from trainer.harmony.harte import symbol_of_harte


def test_times_and_chords() -> None:
    """Times are seconds at the chart's tempo; a chord held over a barline is one line, silence is N."""
    timeline = unfold(read_chart("tempo: 60\n\n| Dm7 / G7 / | / | N.C. | Cmaj7/E |"))
    expected = [
        ("0.000000", "2.000000", "D:min7"),
        ("2.000000", "8.000000", "G:7"),
        ("8.000000", "12.000000", "N"),
        ("12.000000", "16.000000", "C:maj7/3"),
    ]
    assert expected == [tuple(line.split("\t")) for line in write_timed_chords(timeline).splitlines()]


def test_a_compound_meter_counts_dotted_quarters() -> None:
    """A bar of 6/8 at 60 lasts two seconds, and another tempo may be asked for."""
    timeline = unfold(read_chart("meter: 6/8\ntempo: 60\n\n| C |"))
    assert "0.000000\t2.000000\tC:maj\n" == write_timed_chords(timeline)
    assert "0.000000\t1.000000\tC:maj\n" == write_timed_chords(timeline, timeline.tempo * 2)


@pytest.mark.parametrize("name", [name for name, _ in exercise_tunes()])
def test_exercise_tunes_are_read_elsewhere(name: str) -> None:
    """mir_eval reads each tune's lines without a gap, and the chords are the tune's own in their order."""
    timeline = unfold(load(name))
    times, labels = mir_eval.io.load_labeled_intervals(io.StringIO(write_timed_chords(timeline)), delimiter="\t")
    mir_eval.util.validate_intervals(times)
    assert all(end == start for (_, end), (start, _) in pairwise(times))
    compound = timeline.bars[0].meter.compound
    assert float(timeline.quarters) * 60 / float(timeline.tempo) / (1.5 if compound else 1) == pytest.approx(
        times[-1][1]
    )
    struck = [span.symbol for index, span in enumerate(timeline.spans) if not (index and span.continues)]
    assert [symbol for symbol in struck if symbol] == [symbol for label in labels if (symbol := symbol_of_harte(label))]
