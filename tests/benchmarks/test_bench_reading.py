"""How fast a tune is read, against music21's parse, key and roman numerals of the same chords in the same run."""

import time
from collections.abc import Callable

import pytest
from music21 import harmony, roman, stream

from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze

A = "| Ebmaj7 | Cm7 F7 | Fm7 | Bb7 | Gm7 C7b9 | Fm7 Bb7 | Ebmaj7 C7 | Fm7 Bb7 |"
B = "| Bbm7 | Eb7 | Abmaj7 | % | Am7b5 | D7b9 | Gm7 C7 | Fm7 Bb7 |"
CHART = f"title: Thirty-two bars\nform: A A B A\n[A]\n{A}\n[B]\n{B}\n"

FASTER_THAN_MUSIC21 = 5
"""At least so many times, whatever else the machine does; alone it is about ten."""

LINEAR_WITHIN = 1.6
"""Time per chord of a tune four times as long, against the short one; 1 is exactly linear."""


def best_s(work: Callable[[], object], rounds: int = 15) -> float:
    """The shortest time that the work took; other work on the machine only ever makes one slower."""
    times = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def read() -> Timeline:
    """The chart, read and unfolded."""
    return unfold(read_chart(CHART, "a chart"))


def by_music21(timeline: Timeline) -> list[object]:
    """Symbols parsed, the key found, a roman numeral for each chord."""
    score = stream.Stream()
    for span in timeline.spans:
        assert span.symbol is not None
        root = str(span.symbol.root).replace("b", "-")
        symbol = harmony.ChordSymbol(root=root, kind=span.symbol.quality.xml_kind)
        symbol.writeAsChord = True
        score.append(symbol)
    key = score.analyze("key")
    return [roman.romanNumeralFromChord(symbol, key) for symbol in score.getElementsByClass(harmony.ChordSymbol)]


@pytest.mark.bench
def test_thirty_two_bars_against_music21(capsys: pytest.CaptureFixture[str]) -> None:
    """A 32-bar chart is read many times faster than music21 names its chords in one key."""
    timeline = read()
    ours, chart = best_s(lambda: analyze(timeline)), best_s(read)
    theirs = best_s(lambda: by_music21(timeline), 3)
    with capsys.disabled():
        print(
            f"\n32 bars: reading {1000 * ours:.1f} ms, chart {1000 * chart:.1f} ms, "
            f"music21 {1000 * theirs:.0f} ms: {theirs / (ours + chart):.0f} times"
        )
    assert theirs / (ours + chart) >= FASTER_THAN_MUSIC21


@pytest.mark.bench
def test_time_grows_with_the_chords(capsys: pytest.CaptureFixture[str]) -> None:
    """Four times the choruses take about four times as long."""
    once = read()
    longer = unfold(read_chart(CHART.replace("form: A A B A", "form: " + "A A B A " * 8), "a chart"))
    per_chord = best_s(lambda: analyze(once), 5) / len(once.spans)
    per_chord_longer = best_s(lambda: analyze(longer), 3) / len(longer.spans)
    with capsys.disabled():
        print(f"\ntime a chord, {len(longer.spans)} against {len(once.spans)}: {per_chord_longer / per_chord:.2f}")
    assert per_chord_longer / per_chord <= LINEAR_WITHIN
