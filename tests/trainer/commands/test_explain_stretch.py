"""`analyze --explain`: everything about a bar, a beat or a stretch, and what is refused."""

from pathlib import Path

import pytest
from hypothesis import given, settings

from tests.trainer.charts.chart_strategies import charts
from tests.trainer.commands.commanding import CHART, keyfarer
from trainer.charts.chart import Chart
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.commands.page import Page
from trainer.commands.stretch import StretchError, parse_stretch, spans_in
from trainer.commands.told_stretch import told_stretch
from trainer.reading.analysis import analyze

WALTZ = "title: Weir Gate\nmeter: 3/4\npickup: 1\n[A]\n| G7 | C | Dm7 / G7 | C | % |\n"
"""A tune in three with a pickup."""


def labels(text: str) -> list[str]:
    """What stands before the colon of each line that begins something."""
    return [line.split(":")[0].strip() for line in text.splitlines() if ":" in line and not line.startswith("    ")]


def test_a_bar_is_told_with_all_that_is_known_of_it() -> None:
    """Section, route, center, numeral, share, next chord, own step, reasons, guide tones, cadences, interruption."""
    told = keyfarer("analyze", "the-courier-turns-back", "--explain", "11").stdout
    assert {
        "Home", "Section", "Route", "Center", "Does", "Next", "Strictly by its own step", "Why", "Guide tones",
        "Cadence", "Interruption",
    } <= set(labels(told))  # fmt: skip
    assert "Section: B, bars 9-16; here bar 3 of its 8; number 2 of 3 sections" in told
    assert "Center: Bb major, breaking in on D major" in told
    assert "F7 at 11.3, its root a fifth down" in told
    assert "from Cm7 at 11 to Bbmaj7 at 12" in told


def test_the_strict_reading_stands_beside_the_center() -> None:
    """An applied dominant awaits its own target, and the line says in which center it stands."""
    told = keyfarer("analyze", "-", "--explain", "2.3", given=b"[A]\n| Cmaj7 | Em7 A7 | Dm7 G7 | C6 |\n").stdout
    assert "Strictly by its own step: it awaits D, though its center is C major" in told


def test_pins_are_told_with_their_reach() -> None:
    """A pinned stretch says by which key it is held and from where to where."""
    told = keyfarer("analyze", "-", "--explain", "2", "--pin", "2=Eb", given=CHART.encode()).stdout
    assert "Pin: Eb major, from 2 to 4" in told


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("0", ["0.1"]),
        ("1", ["1.1"]),
        ("2", ["2.1", "2.3"]),
        ("2.2", ["2.1"]),
        ("2.3", ["2.3"]),
        ("2.7/2", ["2.3"]),
        ("1-2", ["1.1", "2.1", "2.3"]),
        ("2.3-4", ["2.3", "3.1", "4.1"]),
        ("0-2.2", ["0.1", "1.1", "2.1"]),
        ("1 – 3.1", ["1.1", "2.1", "2.3", "3.1"]),
    ],
)
def test_what_sounds_in_a_stretch(text: str, places: list[str]) -> None:
    """A bar is all its chords, a beat the chord that sounds there, a range everything from its start to its end."""
    found = spans_in(parse_stretch(text), unfold(read_chart(WALTZ)))
    assert places == [f"{span.bar}.{span.beat}" for span in found]


@pytest.mark.parametrize("text", ["5", "1-5", "0.2", "2.4", "1-4.4"])
def test_a_bar_or_beat_that_the_tune_has_not_is_told(text: str) -> None:
    """The message names the bars or beats that there are."""
    with pytest.raises(StretchError, match=r"expected (bars from 0 to 4, as played|a beat from 1 to below [24])"):
        spans_in(parse_stretch(text), unfold(read_chart(WALTZ)))


@pytest.mark.parametrize("text", ["", "x", "3-", "-3", "4-3", "3.2-3.1", "3.0", "3.1/0", "3..2", "1-2-3", "³"])
def test_what_is_no_stretch_is_refused(text: str) -> None:
    """Anything but bars and beats is refused with what would have been right."""
    with pytest.raises(StretchError, match="expected"):
        parse_stretch(text)


def test_the_command_tells_what_is_wrong(tmp_path: Path) -> None:
    """A missing bar is that file's fault and the others are told; no stretch at all is refused at once."""
    (tmp_path / "short.chart").write_text("[A]\n| C |\n", encoding="utf-8")
    (tmp_path / "two-lamps.chart").write_text(CHART, encoding="utf-8")
    done = keyfarer("analyze", str(tmp_path), "--explain", "3")
    assert 2 == done.returncode
    assert "short.chart: found bar 3 in `3`; expected bars from 1 to 1, as played" in done.stderr
    assert done.stdout.startswith("Two Lamps: bar 3 of 4\n")
    done = keyfarer("analyze", "coal-barge", "--explain", "three")
    assert (2, "") == (done.returncode, done.stdout)
    assert "expected a bar (5), a beat in it (5.3) or a stretch of bars (5-8)" in done.stderr


@settings(max_examples=40, deadline=None)
@given(charts())
def test_any_chart_can_be_told_whole(chart: Chart) -> None:
    """Every chord struck in a random chart is told at its place, in lines that fit."""
    timeline = unfold(chart)
    stretch = parse_stretch(f"{timeline.bars[0].number}-{timeline.bars[-1].number}")
    lines = told_stretch(analyze(timeline), timeline, stretch, Page(80))
    starts = {line.split(":")[0] for line in lines}
    struck = [span for span in timeline.spans if not span.continues]
    assert {str(span.bar) if span.beat == 1 else f"{span.bar}.{span.beat}" for span in struck} <= starts
    assert all(len(line) <= 80 or " " not in line.strip() for line in lines)
