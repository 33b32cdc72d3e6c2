"""Frames for a device that takes another rate."""

import numpy as np
import pytest

from synth.outputs.converter import Converter
from synth.outputs.feed import Feed
from synth.outputs.source import Whole

RATES = [(48_000, 44_100), (48_000, 96_000), (48_000, 32_000), (44_100, 48_000), (48_000, 48_001)]


@pytest.mark.parametrize(("rate", "other"), RATES)
@pytest.mark.parametrize("block", [1, 337, 1024])
def test_sines_keep_pitch_and_level(rate: int, other: int, block: int) -> None:
    """Sines up to 9 kHz, where tones end, come out as the same sines at the other rate, to -80 dBFS of full scale."""
    seconds = 0.2 if block > 1 else 0.02
    hertz = (110.0, 997.0, 9000.0)
    feed = Feed(rate)
    time_s = np.arange(rate) / rate
    sound = sum(0.3 * np.sin(2 * np.pi * hz * time_s) for hz in hertz)
    feed.play(Whole(np.repeat(np.asarray(sound)[:, None], 2, axis=1).astype("f4"), rate))
    converter = Converter(feed, other)
    got = []
    for _ in range(round(seconds * other) // block):
        out = np.full((block, 2), np.nan, dtype=np.float32)
        converter.fill(out, 0.0)
        got.append(out)
    heard = np.concatenate(got)
    from synth.outputs.converter import TAPS

    at_s = np.arange(len(heard)) / other - (TAPS // 2) / rate
    expected = sum(0.3 * np.sin(2 * np.pi * hz * at_s) for hz in hertz)
    settled = slice(round(TAPS * 1.5 * other / rate), None)
    assert np.abs(heard[settled, 0] - np.asarray(expected)[settled]).max() < 1e-4
    assert np.array_equal(heard[:, 0], heard[:, 1])


def test_what_a_low_rate_has_no_room_for_is_not_folded_down() -> None:
    """A sine of 23 kHz is silent at 32 kHz, where it would come back as one of 9 kHz."""
    feed = Feed(48_000)
    wave = 0.5 * np.sin(2 * np.pi * 23_000 * np.arange(48_000) / 48_000)
    feed.play(Whole(np.repeat(wave[:, None], 2, axis=1).astype("f4"), 48_000))
    out = np.empty((8000, 2), dtype=np.float32)
    Converter(feed, 32_000).fill(out, 0.0)
    assert np.abs(out[200:]).max() < 1e-4


def test_the_delay_is_added() -> None:
    """What is heard is told with the converter's own delay."""
    feed = Feed(48_000)
    feed.play(Whole(np.zeros((48_000, 2), dtype=np.float32), 48_000))
    given: list[float] = []
    plain = feed.fill
    feed.fill = lambda out, latency_s: (given.append(latency_s), plain(out, latency_s))[1]  # type: ignore[method-assign]
    Converter(feed, 44_100).fill(np.empty((441, 2), dtype=np.float32), 0.1)
    assert given == [pytest.approx(0.1 + 32 / 48_000)]
