"""Timed chords read as charts: what was written as such comes back, and faults are told."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.charts.library import exercise_tunes, load
from trainer.charts.timed_chords import write_timed_chords
from trainer.charts.timed_chords_in import read_timed_chords
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.errors import TextError
from trainer.harmony.harte import harte_of


def struck(timeline: Timeline) -> list[tuple[str, Fraction]]:
    """The chords as they change, with their quarters; silence before the first is left out."""
    out: list[tuple[str, Fraction]] = []
    for span in timeline.spans:
        text = harte_of(span.symbol)
        if out and out[-1][0] == text:
            out[-1] = text, out[-1][1] + span.quarters
        elif out or span.symbol is not None:
            out.append((text, span.quarters))
    return out


@pytest.mark.parametrize("name", [name for name, _ in exercise_tunes()])
def test_exercise_tunes_come_back(name: str) -> None:
    """Every chord of a tune comes back in its order; lengths too, at a tempo in the octave that is looked in."""
    timeline = unfold(load(name))
    beats = {span.quarters.denominator for span in timeline.spans}
    back = struck(unfold(read_timed_chords(write_timed_chords(timeline, Fraction(100)).encode(), name)))
    expected = struck(timeline)
    assert [text for text, _ in expected] == [text for text, _ in back]
    if beats == {1}:
        assert [quarters for _, quarters in expected[:-1]] == [quarters for _, quarters in back[:-1]]


def test_a_hand_that_was_not_exact_is_set_to_the_beat() -> None:
    """Onsets some hundredths of a second off still make bars of whole beats, and the tempo is told."""
    lines = "0.03 2.02 D:min7\n2.02 3.97 G:7\n3.97 8.04 C:maj7\n8.5 9 N\n9.0 12.1 F:maj6/3\n"
    chart = read_timed_chords(lines.encode(), "by-hand.lab")
    assert any("120 quarters a minute" in remark.text for remark in chart.remarks)
    found = struck(unfold(chart))
    assert [("D:min7", 4), ("G:7", 4), ("C:maj7", 8)] == found[:3]
    assert ["N", "F:maj6/3"] == [text for text, _ in found[3:]]


@pytest.mark.parametrize(
    ("lines", "line", "found"),
    [
        ("0 1 C:maj\n1 2\n", 2, "`1 2`"),
        ("0 one C:maj\n", 1, "`0 one`"),
        ("0 2 C:maj\n1 3 F:maj\n", 2, "1 to 3"),
        ("0 2 H:maj\n", 1, "H"),
        ("0 2 N\n", 0, "no chord"),
        ("0 1e9 C:maj\n", 1, "0 to 1e9"),
        ("0 nan C:maj\n", 1, "0 to nan"),
    ],
)
def test_faults_are_told_where_they_are(lines: str, line: int, found: str) -> None:
    """A fault names its line, what stands there and what would have been right."""
    with pytest.raises(TextError) as caught:
        read_timed_chords(lines.encode(), "x.lab")
    assert line == caught.value.faults[0].line
    assert found in caught.value.faults[0].found
    assert caught.value.faults[0].expected


@given(st.text(alphabet="0123456789. \tCNG:maj7/b\n", max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Whatever stands there is read as a chart that can be played out, or refused with a fault."""
    try:
        chart = read_timed_chords(text.encode(), "x.lab")
    except TextError as error:
        assert error.faults
    else:
        assert unfold(chart).spans
