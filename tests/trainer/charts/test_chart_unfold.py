"""The timeline: places, lengths and what sounds, as played."""

import time
from fractions import Fraction

import pytest
from hypothesis import given

from tests.trainer.charts.asked import places_of, timeline_of
from tests.trainer.charts.chart_strategies import charts
from trainer.charts.chart import Chart
from trainer.charts.reader import read_chart
from trainer.charts.timeline import Place, Timeline
from trainer.charts.unfold import unfold
from trainer.errors import TextError

EXAMPLE = """\
title: Harbour Lights at Noon
key: none            # what the printed signature says: a hint, never a verdict (Eb, F# minor, none)
meter: 4/4
tempo: 132
form: A A B A

[A]
|: Ebmaj7 | Cm7 / / F7 | Fm7 | Bb7 |
| Gm7 | C7b9 | [1.] Fm7 | Bb7 :| [2.] Fm7 Bb7 | Eb6 |

[B]
| Am7b5 | D7b9 | Gm6 | N.C. |
"""
"""The worked example of the project's design paper."""


def symbols_of(timeline: Timeline) -> list[str]:
    """What sounds, span by span."""
    return [span.symbol.text if span.symbol else "N.C." for span in timeline.spans]


def test_worked_example_is_played_out() -> None:
    """AABA with a repeat and two endings in A: three times 16 bars, and four of B."""
    timeline = timeline_of(EXAMPLE)
    a_section = [1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 6, 9, 10]
    assert [*a_section, *a_section, 11, 12, 13, 14, *a_section] == [bar.written_bar for bar in timeline.bars]
    assert ("A", "A", "B", "A") == timeline.form
    assert list(range(1, 53)) == [bar.number for bar in timeline.bars]
    assert ["Ebmaj7", "Cm7", "F7", "Fm7"] == symbols_of(timeline)[:4]
    assert [(2, Fraction(1)), (2, Fraction(4))] == [(span.bar, span.beat) for span in timeline.spans[1:3]]
    assert Place(2, Fraction(4)) == timeline.spans[2].place
    assert 52 * 4 == timeline.quarters
    assert ("Harbour Lights at Noon", None, 132) == (timeline.title, timeline.key, timeline.tempo)


def test_hold_in_an_ending_goes_on_with_what_sounded_as_played() -> None:
    """The second ending's `/` holds the chord before the endings, not the first ending's."""
    timeline = timeline_of("|: C | [1.] D :| [2.] / E |")
    assert ["C", "D", "C", "C", "E"] == symbols_of(timeline)
    assert [False, False, False, True, False] == [span.continues for span in timeline.spans]


def test_hold_at_a_repeats_start_goes_on_with_what_sounded_as_played() -> None:
    """At the second pass the hold takes the repeat's own last chord."""
    assert ["C", "C", "D", "D", "D", "E"] == symbols_of(timeline_of("| C |: / | D :| E |"))


def test_hold_at_a_sections_start_depends_on_the_form() -> None:
    """A section that begins with a hold may follow others, and can't come first."""
    text = "form: {}\n[A]\n| / |\n[B]\n| D |"
    assert ["D", "D"] == symbols_of(timeline_of(text.format("B A")))
    assert [(3, 3)] == places_of(text.format("A B"))


def test_percent_follows_what_its_bar_sounded() -> None:
    """A `%` behind a bar that begins with a hold repeats it as it was played."""
    timeline = timeline_of("form: A C B C\n[A]\n| A7 |\n[B]\n| B7 |\n[C]\n| / F7 | % |")
    assert ["A7", "A7", "F7", "A7", "F7", "B7", "B7", "F7", "B7", "F7"] == symbols_of(timeline)


def test_chart_made_elsewhere_is_judged_too() -> None:
    """The rules of order hold for charts that never were text."""
    chart = read_chart("[A]\n|: C | D :|")
    section = chart.sections[0]
    bars = (section.bars[0], section.bars[0])
    broken = Chart("Weir", (type(section)("A", bars),), chart.meter, file="weir.xml")
    with pytest.raises(TextError) as caught:
        unfold(broken)
    assert "weir.xml" == caught.value.file
    assert 2 == len(caught.value.faults)


@given(charts())
def test_spans_fill_their_bars_without_gaps(chart: Chart) -> None:
    """Spans follow one another in time, fill each bar, and count as the bars do."""
    timeline = unfold(chart)
    start = Fraction(0)
    for index, span in enumerate(timeline.spans):
        assert index == span.index
        assert start == span.start
        assert span.quarters == span.beats * Fraction(4, span.meter.unit) > 0
        start += span.quarters
    assert start == timeline.quarters
    bars = {bar.number: bar for bar in timeline.bars}
    assert len(bars) == len(timeline.bars)
    assert list(bars) == list(range(0 if chart.pickup else 1, len(bars) + (0 if chart.pickup else 1)))
    for bar in timeline.bars:
        inside = [span for span in timeline.spans if span.bar == bar.number]
        assert bar.quarters == sum(span.quarters for span in inside)
        assert bar.start == inside[0].start
        assert {(bar.written_bar, bar.section)} == {(span.written_bar, span.section) for span in inside}
    assert timeline.spans[0].continues is False


@given(charts())
def test_sections_part_the_timeline(chart: Chart) -> None:
    """Playings of sections follow one another and cover every bar and span once."""
    timeline = unfold(chart)
    first_bar, first_span = timeline.bars[0].number, 0
    for index, section in enumerate(timeline.sections):
        assert (first_bar, first_span) == (section.first_bar, section.first_span)
        assert {index} == {span.section for span in timeline.spans[section.first_span : section.until_span]}
        first_bar, first_span = section.until_bar, section.until_span
    assert (timeline.bars[-1].number + 1, len(timeline.spans)) == (first_bar, first_span)
    assert tuple(section.name for section in timeline.sections if section.name) == timeline.form


def test_chart_of_thirty_two_bars_takes_milliseconds() -> None:
    """Reading and unfolding a tune is not what anybody waits for."""
    text = "form: A A B A\n[A]\n" + "| Cm7 / / F7 | Bbmaj7 | Am7b5 D7b9 | Gm6 |\n" * 2
    text += "[B]\n" + "| Cm7 F7 | Bbmaj7 | Am7b5 D7b9 | % |\n" * 2
    unfold(read_chart(text))
    took = []
    for _ in range(5):
        start = time.perf_counter()
        unfold(read_chart(text))
        took.append(time.perf_counter() - start)
    assert min(took) < 0.02  # about 2 ms on a slow core of 2024; the rest is room for busy machines
