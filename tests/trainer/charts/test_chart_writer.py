"""Writing a chart and reading it back is the identity, and what is written is tidy."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given

from tests.trainer.charts.chart_strategies import charts
from trainer.charts.chart import Chart, Meter, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.library import exercise_tunes, load
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.errors import KeyfarerError
from trainer.harmony.symbol import parse_chord

PLAIN = """\
# An evening piece.
title: Harbour Lights at Noon
key: none  # what the printed signature says
meter: 4/4
tempo: 132
form: A B A

# The first eight.
[A]  # softly
|: Ebmaj7  | Cm7 / / F7 | C-7      | Bb7    |  # four
|  [1.] F7 | Bb7        :| [2.] Fm7 | {Eb} % ||

[B]
| Am7b5 | {g: V7} D7b9 | Gm6 / N.C. F7 | / |
# Back to common time.
meter: 3/4
| Bb7 |]
# The end.
"""


@given(charts())
def test_written_chart_reads_back(chart: Chart) -> None:
    """Reading what was written gives the same chart, and writing that the same text."""
    text = write_chart(chart)
    back = read_chart(text)
    assert chart == back
    assert text == write_chart(back)


@given(charts())
def test_written_chart_plays_the_same(chart: Chart) -> None:
    """A chart and its text are played alike."""
    assert replace(unfold(chart), file="-") == unfold(read_chart(write_chart(chart)))


@pytest.mark.parametrize("name", [name for name, _ in exercise_tunes()])
def test_exercise_tunes_read_back(name: str) -> None:
    """Every tune that comes with the program survives writing, its comments and spellings included."""
    chart = load(name)
    back = read_chart(write_chart(chart))
    assert chart == back
    assert [text for _, text in chart.comments] == [text for _, text in back.comments]
    assert [span.written for span in unfold(chart).spans] == [span.written for span in unfold(back).spans]


def test_tidy_text_is_left_alone() -> None:
    """Four bars a line, barlines under one another, comments where they stood."""
    text = PLAIN.replace(
        "|  [1.] F7 | Bb7        :| [2.] Fm7 | {Eb} % ||", "|  [1.] F7 | Bb7        :| [2.] Fm7 | {Eb} % ||"
    )
    written = write_chart(read_chart(text))
    assert read_chart(text) == read_chart(written)
    assert written == write_chart(read_chart(written))
    assert [line for line in text.splitlines() if "|" not in line] == [
        line for line in written.splitlines() if "|" not in line
    ]
    bars = [line for line in written.splitlines() if line.startswith("|")]
    assert "|: Ebmaj7  | Cm7 / / F7 |  C-7      | Bb7    |  # four" == bars[0]
    assert "|  [1.] F7 | Bb7        :| [2.] Fm7 | {Eb} % ||" == bars[1]
    assert "| Am7b5 | {G minor: V7} D7b9 | Gm6 / N.C. F7 | / |" == bars[2]


def test_house_spelling_is_on_demand() -> None:
    """The player's spelling stays unless the house spelling is asked for, or the chord has become another."""
    chart = read_chart("| C-7 | CΔ7 |")
    assert "| C-7 | CΔ7 |" in write_chart(chart)
    assert "| Cm7 | Cmaj7 |" in write_chart(chart, house_spelling=True)
    bar = chart.sections[0].bars[0]
    other = replace(bar, chords=(replace(bar.chords[0], symbol=parse_chord("Dm7")),))
    changed = replace(chart, sections=(replace(chart.sections[0], bars=(other, *chart.sections[0].bars[1:])),))
    assert "| Dm7 | CΔ7 |" in write_chart(changed)


def test_more_than_four_bars_take_lines() -> None:
    """A line ends after four bars, a pickup beside them; a `|:` behind a `||` begins a new one."""
    lines = write_chart(read_chart("pickup: 1\n| G7 | C | D | E | F | G | A |")).splitlines()
    assert "| G7 | C | D | E | F |" == lines[-2]
    assert "| G  | A |" == lines[-1]
    lines = write_chart(read_chart("| C ||\n|: D :|")).splitlines()
    assert ["|  C ||", "|: D :|"] == lines[-2:]


def test_counts_and_meeting_repeats_are_written() -> None:
    """`:|:` joins two repeats, and a count keeps its `|:` behind it."""
    assert "|: C :|: D :| x3 |: E :| x4" in write_chart(read_chart("|: C :|: D :| x3\n|: E :| x4"))


def test_text_that_would_be_a_comment_is_made_harmless() -> None:
    """A lone `#` in a free text of another program becomes a sharp sign; a title is never cut at it and keeps it."""
    chart = replace(read_chart("| C |"), composer="Opus # 3\nof many", title="Opus # 3")
    back = read_chart(write_chart(chart))
    assert ("Opus ♯ 3 of many", "Opus # 3", ()) == (back.composer, back.title, back.comments)


def bar_of(*chords: tuple[Fraction, Fraction]) -> Chart:
    """A chart of one bar in 4/4 with chords at and for some beats."""
    symbol = parse_chord("C")
    bar = WrittenBar(1, Meter(4, 4), tuple(WrittenChord(at, beats, symbol) for at, beats in chords))
    return Chart("Weir", (WrittenSection(None, (bar,)),), Meter(4, 4))


def test_what_the_text_cannot_say_is_refused() -> None:
    """Gaps, overlaps and places off any grid are told with the bar's number."""
    zero, one, four = Fraction(0), Fraction(1), Fraction(4)
    assert read_chart(write_chart(bar_of((zero, four)))) == bar_of((zero, four))
    for chart in (
        bar_of((one, Fraction(3))),
        bar_of((zero, one), (Fraction(2), Fraction(2))),
        bar_of((zero, four), (four, zero)),
        bar_of((zero, Fraction(1, 7)), (Fraction(1, 7), Fraction(27, 7) + Fraction(1, 997))),
    ):
        with pytest.raises(KeyfarerError, match="bar 1"):
            write_chart(chart)


def test_first_bar_in_another_meter_is_refused() -> None:
    """The header's meter is that of the first bar where no section name stands between."""
    chart = replace(bar_of((Fraction(0), Fraction(4))), meter=Meter(3, 4))
    with pytest.raises(KeyfarerError, match="3/4"):
        write_chart(chart)


def test_second_section_without_a_name_is_refused() -> None:
    """Only what stands before the first name can go without one."""
    chart = bar_of((Fraction(0), Fraction(4)))
    with pytest.raises(KeyfarerError, match="first section"):
        write_chart(replace(chart, sections=chart.sections * 2))
