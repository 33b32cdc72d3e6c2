"""What the device's callback costs: a part of the time that it is called for."""

import sys
import threading
import time

import numpy as np
import pytest

from synth.outputs.converter import Converter
from synth.outputs.feed import Feed, Round
from synth.outputs.source import Source, Whole
from synth.reel import Reel
from synth.score import Note
from tests.synth.scores import RATE, comping, score

PERIOD = 1024
"""Frames a call: what PortAudio asks for on a usual Linux desktop, some 21 ms."""

MOST = 0.01
"""The part of the period that 99 of 100 calls stay under."""

CALLS = 3000


def voices(count: int) -> Reel:
    """Ten seconds in which so many notes sound at once, all of it made."""
    notes = (Note(0.0, 10.0, 36 + key * 48 // count, 60, "keys") for key in range(count))
    reel = Reel(score(*notes, duration_s=10.0), gain=0.05)
    reel.prepare(0, reel.frames)
    return reel


def p99(feed: Feed | Converter, calls: int = CALLS, pause_s: float = 0.0) -> float:
    """What all but one of a hundred calls take, as a part of the period; other threads run in pauses."""
    out = np.empty((PERIOD, 2), dtype=np.float32)
    took = []
    for _ in range(calls):
        began = time.perf_counter()
        feed.fill(out, 0.1)
        took.append(time.perf_counter() - began)
        if pause_s:
            time.sleep(pause_s)
    return sorted(took)[len(took) * 99 // 100] * RATE / PERIOD


def told(capsys: pytest.CaptureFixture[str], words: str) -> None:
    """Show a figure whether or not the test passes."""
    with capsys.disabled():
        sys.stdout.write(f"\n{words}\n")


def looping(source: Source, begin: int = 4800) -> Feed:
    """A feed that has to go round in the middle of a sound, turned down a little."""
    feed = Feed(RATE)
    feed.volume = 0.7
    feed.play(source, 0, Round(begin, source.frames - 4800))
    return feed


def test_the_callback_with_32_voices(capsys: pytest.CaptureFixture[str]) -> None:
    """Copying, seams and volume take less than a hundredth of the period."""
    ratio = p99(looping(voices(32)))
    told(capsys, f"callback, 32 voices: p99 {ratio:.2%} of its period")
    assert ratio <= MOST


def test_the_callback_while_a_tune_is_made(capsys: pytest.CaptureFixture[str]) -> None:
    """While another thread renders a tune on end, the callback still finds its turn in time."""
    feed, ended = looping(voices(32)), threading.Event()

    def make() -> None:
        while not ended.is_set():
            reel = Reel(comping(8), room=0.3)
            reel.prepare(0, reel.frames)

    maker = threading.Thread(target=make)
    maker.start()
    try:
        ratio = p99(feed, CALLS // 3, 0.002)
    finally:
        ended.set()
        maker.join()
    told(capsys, f"callback, 32 voices, a tune being made beside it: p99 {ratio:.2%} of its period")
    assert ratio <= 0.1


def test_the_callback_at_another_rate(capsys: pytest.CaptureFixture[str]) -> None:
    """Where the device takes another rate, converting takes less than a twentieth of the period."""
    ratio = p99(Converter(looping(Whole(np.ones((RATE, 2), dtype=np.float32), RATE)), 44_100), CALLS // 3)
    told(capsys, f"callback with conversion to 44.1 kHz: p99 {ratio:.2%} of its period")
    assert ratio <= 0.05
