"""How fast tunes are read, against music21's parse, key and roman numerals of the same chords in the same run.

Only ratios are held; the times are told for whoever reads along.
"""

import gc
import os
import random
import time
import tracemalloc
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor

import pytest
from music21 import harmony, roman, stream

from tests.trainer.commands.many import NAMES, tune
from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze

A = "| Ebmaj7 | Cm7 F7 | Fm7 | Bb7 | Gm7 C7b9 | Fm7 Bb7 | Ebmaj7 C7 | Fm7 Bb7 |"
B = "| Bbm7 | Eb7 | Abmaj7 | % | Am7b5 | D7b9 | Gm7 C7 | Fm7 Bb7 |"
CHART = f"title: Thirty-two bars\nform: A A B A\n[A]\n{A}\n[B]\n{B}\n"

FASTER_THAN_MUSIC21 = 20
"""At least so many times, whatever else the machine does."""

LINEAR_WITHIN = 1.1
"""Time per chord of 10,000 chords against 1,000; 1 is exactly linear."""

MANY_FASTER = 20
"""1,000 charts on two processes, the processes' start counted, against music21's time for a sample of them."""

FLAT_BYTES = 0.02
"""What 800 charts more may leave in memory, as a part of what reading one takes at its height, a chart."""


def best_s(work: Callable[[], object], rounds: int = 15) -> float:
    """The shortest time that the work took; other work on the machine only ever makes one slower."""
    times = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def processor_s(work: Callable[[], object], rounds: int = 5) -> float:
    """The shortest time that the processor spent on the work: what else it does meanwhile doesn't count."""
    times = []
    for _ in range(rounds):
        began = time.process_time()
        work()
        times.append(time.process_time() - began)
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
    ours, chart = processor_s(lambda: analyze(timeline), 15), processor_s(read, 15)
    theirs = processor_s(lambda: by_music21(timeline), 3)
    with capsys.disabled():
        print(
            f"\n32 bars: reading {1000 * ours:.1f} ms, chart {1000 * chart:.1f} ms, "
            f"music21 {1000 * theirs:.0f} ms: {theirs / (ours + chart):.0f} times"
        )
    assert theirs / (ours + chart) >= FASTER_THAN_MUSIC21


FRAGMENTS = (
    "{2}m7 {7}7 {0}maj7 {9}7",
    "{2}m7b5 {7}7b9 {0}m6 {8}maj7",
    "{5}maj7 {10}7 {4}m7 {9}7",
    "{6}m7 {11}7 {2}m7 {7}7",
)
"""A bar of four chords each; a number is the half steps above the tonic."""


def long_tune(rng: random.Random, chords: int) -> Timeline:
    """A tune of so many chords that never comes back to itself, in a key for every four bars."""
    bars = []
    tonics = [rng.randrange(12) for _ in range(0, chords, 16)]
    for number in range(chords // 4):
        tonic = tonics[number // 4]
        names = (NAMES[(tonic + up) % 12] for up in range(12))
        bars.append(rng.choice(FRAGMENTS).format(*names))
    return unfold(read_chart("title: Long\n" + "".join(f"| {bar} |\n" for bar in bars), "a long chart"))


@pytest.mark.bench
def test_time_grows_with_the_chords(rng: random.Random, capsys: pytest.CaptureFixture[str]) -> None:
    """A chord of a tune of 10,000 takes as long as one of a tune of 1,000."""
    short, longer = long_tune(rng, 1_000), long_tune(rng, 10_000)
    assert (1_000, 10_000) == (len(short.spans), len(longer.spans))
    gc.collect()
    gc.freeze()  # what the libraries hold that are compared with is not to be walked through each time
    try:
        turns = [(processor_s(lambda: analyze(short), 5), processor_s(lambda: analyze(longer), 1)) for _ in range(5)]
    finally:
        gc.unfreeze()
    at_short, at_longer = (min(column) for column in zip(*turns, strict=True))
    ratio = at_longer / 10 / at_short
    with capsys.disabled():
        print(f"\na chord of 1,000 {1000 * at_short:.0f} µs, of 10,000 {100 * at_longer:.0f} µs: {ratio:.2f} times")
    assert ratio <= LINEAR_WITHIN


def read_alone(text: str) -> int:
    """What a process does with one chart."""
    return len(analyze(unfold(read_chart(text, "a chart"))).chords)


@pytest.mark.bench
@pytest.mark.skipif(
    not hasattr(os, "sched_getaffinity") or len(os.sched_getaffinity(0)) < 2, reason="there is one processor"
)
def test_a_thousand_charts_on_two_processes(rng: random.Random, capsys: pytest.CaptureFixture[str]) -> None:
    """1,000 charts read on two processes, against music21 naming the chords of ten, by processor time."""
    texts = [tune(rng, number) for number in range(1_000)]
    before, began = os.times(), time.perf_counter()
    with ProcessPoolExecutor(2) as pool:
        assert 1_000 == sum(1 for count in pool.map(read_alone, texts, chunksize=50) if count)
    took, after = time.perf_counter() - began, os.times()
    ours = sum(after[:4]) - sum(before[:4])
    sample = [unfold(read_chart(text, "a chart")) for text in texts[:10]]
    theirs = processor_s(lambda: [by_music21(timeline) for timeline in sample], 2) / len(sample) * len(texts)
    with capsys.disabled():
        told = f"{ours:.2f} s of the processors, music21 {theirs:.0f} s: {theirs / ours:.0f} times"
        print(f"\n1,000 charts on two processes: {took:.2f} s; {told}")
    assert theirs / ours >= MANY_FASTER


@pytest.mark.bench
def test_memory_stays_flat_over_a_thousand_charts(rng: random.Random, capsys: pytest.CaptureFixture[str]) -> None:
    """After 1,000 charts no more is held than after 200: each reading leaves as good as nothing behind."""
    held, heights = [], []
    tracemalloc.start()
    try:
        for count in (200, 800):
            for number in range(count):
                tracemalloc.reset_peak()
                before = tracemalloc.get_traced_memory()[0]
                read_alone(tune(rng, number))
                heights.append(tracemalloc.get_traced_memory()[1] - before)
            gc.collect()
            held.append(tracemalloc.get_traced_memory()[0])
    finally:
        tracemalloc.stop()
    left = (held[1] - held[0]) / 800
    height = sorted(heights)[len(heights) // 2]
    with capsys.disabled():
        print(
            f"\nmemory: a chart takes {height / 1024:.0f} KB at its height and leaves {left:.0f} B, {left / height:.2%}"
        )
    assert left / height <= FLAT_BYTES
