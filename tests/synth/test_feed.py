"""What a device is fed with, without a device."""

import threading
import time

import numpy as np
from numpy.typing import NDArray

from synth.outputs.feed import RAMP_S, Feed

RATE = 48_000
Samples = NDArray[np.float32]


def sine(seconds: float, hz: float = 220.0) -> Samples:
    """A sine on both channels that begins and ends at zero."""
    wave = 0.5 * np.sin(2 * np.pi * hz * np.arange(round(seconds * RATE)) / RATE)
    return np.repeat(wave[:, None], 2, axis=1).astype(np.float32)


def drawn(feed: Feed, frames: int, block: int = 480, latency_s: float = 0.0) -> Samples:
    """So many frames, in blocks as a device asks for them."""
    pieces = []
    while frames > 0:
        out = np.full((min(block, frames), 2), np.nan, dtype=np.float32)
        feed.fill(out, latency_s)
        pieces.append(out)
        frames -= len(out)
    return np.concatenate(pieces)


def steepest(sound: Samples) -> float:
    """The largest step between neighbouring samples."""
    return float(np.abs(np.diff(sound, axis=0)).max())


def test_a_sound_is_copied_unchanged() -> None:
    """Blocks of any size put together are the sound, then silence."""
    sound = sine(0.3)
    for block in (1, 64, 479, 4096, 50_000):
        feed = Feed(RATE)
        feed.play(sound)
        got = drawn(feed, len(sound) + 1000, block)
        assert np.array_equal(sound, got[: len(sound)])
        assert not got[len(sound) :].any()


def test_nothing_sounds_before_and_after() -> None:
    """An idle feed gives silence, has no playhead and nothing to wait for."""
    feed = Feed(RATE)
    assert not drawn(feed, 1000).any()
    assert feed.playhead_s is None
    assert feed.wait(0.0)


def test_a_loop_has_no_gap() -> None:
    """A sine of whole periods in a loop is one endless sine."""
    feed = Feed(RATE)
    feed.play(sine(0.1), loop=True)
    assert np.allclose(sine(0.35), drawn(feed, round(0.35 * RATE), 777), atol=1e-4)
    assert not feed.wait(0.01)
    feed.stop()
    assert feed.wait(0.0)


def test_stopping_ramps_out() -> None:
    """After a stop the sound falls within the ramp, no step larger than the sine's own, then silence."""
    feed = Feed(RATE)
    feed.play(sine(1.0))
    got = np.concatenate([drawn(feed, 5000), (feed.stop(), drawn(feed, 5000))[1]])
    assert steepest(got) <= 1.1 * steepest(sine(0.1))
    assert got[5000:5200].any()
    assert not got[5000 + round(RAMP_S * RATE) :].any()


def test_replacing_ramps_the_old_sound_out_under_the_new() -> None:
    """The new sound begins at once and unchanged, the old one fades beneath it."""
    feed, new = Feed(RATE), sine(0.2, 330.0)
    feed.play(sine(1.0))
    before = drawn(feed, 5000)
    feed.play(new)
    after = drawn(feed, len(new), 256)
    ramp = round(RAMP_S * RATE)
    assert np.array_equal(new[ramp:], after[ramp:])
    assert steepest(np.concatenate([before, after])) <= 1.1 * (steepest(sine(0.1)) + steepest(new))


def test_starting_in_the_middle_ramps_in() -> None:
    """A start within the sound rises from silence and then is the sound."""
    feed, sound = Feed(RATE), sine(0.5)
    from_frame = 10_000 + RATE // 220 // 4
    feed.play(sound, from_frame)
    got = drawn(feed, 5000)
    ramp = round(RAMP_S * RATE)
    assert abs(got[0, 0]) < 0.01
    assert steepest(got) <= 1.1 * steepest(sound) + 0.5 / ramp
    tail = slice(ramp + 480, 5000)
    assert np.allclose(sound[from_frame:][tail], got[tail], atol=1e-6)


def test_volume_changes_without_a_step() -> None:
    """From full to nothing the level falls across one block and stays there."""
    feed = Feed(RATE)
    feed.play(np.full((RATE, 2), 0.5, dtype=np.float32))
    drawn(feed, 480)
    feed.volume = 0.0
    fading = drawn(feed, 480)
    assert steepest(fading) < 0.01
    assert not drawn(feed, 480).any()
    feed.volume = 7.0
    assert 1.0 == feed.volume


def test_the_playhead_is_what_is_heard() -> None:
    """With a delay of 100 ms the playhead stays behind what was handed out, and never runs ahead of it."""
    feed = Feed(RATE)
    feed.play(sine(1.0))
    assert 0.0 == feed.playhead_s
    drawn(feed, 24_000, latency_s=0.1)
    head = feed.playhead_s
    assert head is not None
    assert 0.39 - 0.02 <= head <= 0.5
    time.sleep(0.15)
    assert 0.5 == feed.playhead_s


def test_waiting_lasts_until_the_delay_is_over() -> None:
    """A sound has ended when its last frame has been heard, not when it was handed out."""
    feed = Feed(RATE)
    feed.play(sine(0.05))
    began = time.monotonic()
    drawn(feed, 4800, 4800, latency_s=0.12)
    assert not feed.wait(0.01)
    assert feed.wait(1.0)
    assert 0.16 <= time.monotonic() - began < 0.5
    assert feed.playhead_s is None


def test_stopping_frees_who_waits() -> None:
    """Another thread's stop ends a wait at once."""
    feed = Feed(RATE)
    feed.play(sine(5.0))
    threading.Timer(0.05, feed.stop).start()
    began = time.monotonic()
    assert feed.wait(3.0)
    assert time.monotonic() - began < 1.0


def test_a_volume_set_in_silence_holds_from_the_first_frame() -> None:
    """A sound that begins after the volume was turned down begins turned down: nothing startles."""
    feed = Feed(RATE)
    feed.volume = 0.1
    feed.play(np.ones((RATE, 2), dtype=np.float32), 0, False)
    out = np.empty((512, 2), dtype=np.float32)
    feed.fill(out, 0.0)
    assert np.abs(out).max() <= 0.1 + 1e-6
