"""What a device is fed with, without a device."""

import threading
import time
from collections.abc import Callable, Iterator

import numpy as np
import pytest

from synth.outputs.feed import RAMP_S, Feed, Round
from synth.outputs.source import Samples, Whole, copy_from

RATE = 48_000
RAMP = round(RAMP_S * RATE)


def sine(seconds: float, hz: float = 220.0) -> Samples:
    """A sine on both channels that begins and ends at zero."""
    wave = 0.5 * np.sin(2 * np.pi * hz * np.arange(round(seconds * RATE)) / RATE)
    return np.repeat(wave[:, None], 2, axis=1).astype(np.float32)


def whole(sound: Samples) -> Whole:
    """The sound as a feed takes it."""
    return Whole(sound, RATE)


class Slow:
    """A sound whose frames are there up to one of them."""

    rate = RATE

    def __init__(self, sound: Samples, until: int) -> None:
        self.sound, self.until, self.frames = sound, until, len(sound)

    def ready(self, begin: int, end: int) -> bool:
        """Up to the frame, or the end."""
        return min(end, self.frames) <= self.until

    def copy(self, begin: int, out: Samples) -> None:
        """What is there."""
        copy_from(self.sound[: self.until], begin, out)

    def pieces(self) -> Iterator[Samples]:
        """All of it."""
        yield self.sound


def above_8_khz(sound: Samples) -> float:
    """The highest sample of what lies above 8 kHz: a click shows there."""
    spectrum = np.fft.rfft(sound[:, 0])
    spectrum[: round(8000 * len(sound) / RATE)] = 0.0
    return float(np.abs(np.fft.irfft(spectrum, len(sound))).max())


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
        feed.play(whole(sound))
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
    feed.play(whole(sine(0.1)), 0, Round(0, RATE // 10))
    assert np.allclose(sine(0.35), drawn(feed, round(0.35 * RATE), 777), atol=1e-4)
    assert not feed.wait(0.01)
    feed.stop()
    assert feed.wait(0.0)


def test_stopping_ramps_out() -> None:
    """After a stop the sound falls within the ramp, no step larger than the sine's own, then silence."""
    feed = Feed(RATE)
    feed.play(whole(sine(1.0)))
    got = np.concatenate([drawn(feed, 5000), (feed.stop(), drawn(feed, 5000))[1]])
    assert steepest(got) <= 1.1 * steepest(sine(0.1))
    assert got[5000:5200].any()
    assert not got[5000 + RAMP :].any()


def test_replacing_ramps_the_old_sound_out_under_the_new() -> None:
    """The new sound begins at once and unchanged, the old one fades beneath it."""
    feed, new = Feed(RATE), sine(0.2, 330.0)
    feed.play(whole(sine(1.0)))
    before = drawn(feed, 5000)
    feed.play(whole(new))
    after = drawn(feed, len(new), 256)
    assert np.array_equal(new[RAMP:], after[RAMP:])
    assert steepest(np.concatenate([before, after])) <= 1.1 * (steepest(sine(0.1)) + steepest(new))


def test_starting_in_the_middle_ramps_in() -> None:
    """A start within the sound rises from silence and then is the sound."""
    feed, sound = Feed(RATE), sine(0.5)
    from_frame = 10_000 + RATE // 220 // 4
    feed.play(whole(sound), from_frame)
    got = drawn(feed, 5000)
    assert abs(got[0, 0]) < 0.01
    assert steepest(got) <= 1.1 * steepest(sound) + 0.5 * np.pi / 2 / RAMP
    tail = slice(RAMP, 5000)
    assert np.allclose(sound[from_frame:][tail], got[tail], atol=1e-6)


def test_volume_changes_without_a_step() -> None:
    """From full to nothing the level falls across one block and stays there."""
    feed = Feed(RATE)
    feed.play(whole(np.full((RATE, 2), 0.5, dtype=np.float32)))
    drawn(feed, 480)
    feed.volume = 0.0
    fading = drawn(feed, 480)
    assert steepest(fading) < 0.01
    assert not drawn(feed, 480).any()
    feed.volume = 7.0
    assert 1.0 == feed.volume


def test_the_playhead_is_what_is_heard() -> None:
    """With a delay of 100 ms the playhead waits for the first frame, goes with time, and ends with what was drawn."""
    feed = Feed(RATE)
    feed.play(whole(sine(1.0)))
    assert 0.0 == feed.playhead_s
    began = time.monotonic()
    drawn(feed, 24_000, 24_000, latency_s=0.1)
    assert 0.0 == feed.playhead_s
    time.sleep(0.25)
    head, passed = feed.playhead_s, time.monotonic() - began
    assert head == pytest.approx(passed - 0.1, abs=0.01)
    time.sleep(0.5)
    assert 0.5 == feed.playhead_s


def test_waiting_lasts_until_the_delay_is_over() -> None:
    """A sound has ended when its last frame has been heard, not when it was handed out."""
    feed = Feed(RATE)
    feed.play(whole(sine(0.05)))
    began = time.monotonic()
    drawn(feed, 4800, 4800, latency_s=0.12)
    assert not feed.wait(0.01)
    assert feed.wait(1.0)
    assert 0.16 <= time.monotonic() - began < 0.5
    assert feed.playhead_s is None


def test_stopping_frees_who_waits() -> None:
    """Another thread's stop ends a wait at once."""
    feed = Feed(RATE)
    feed.play(whole(sine(5.0)))
    threading.Timer(0.05, feed.stop).start()
    began = time.monotonic()
    assert feed.wait(3.0)
    assert time.monotonic() - began < 1.0


def test_a_volume_set_in_silence_holds_from_the_first_frame() -> None:
    """A sound that begins after the volume was turned down begins turned down: nothing startles."""
    feed = Feed(RATE)
    feed.volume = 0.1
    feed.play(whole(np.ones((RATE, 2), dtype=np.float32)))
    out = np.empty((512, 2), dtype=np.float32)
    feed.fill(out, 0.0)
    assert np.abs(out).max() <= 0.1 + 1e-6


def test_a_stretch_goes_round_to_the_frame() -> None:
    """Rounds in mid-sound are alike frame by frame, as long as asked, and whole but for the last of each."""
    feed, sound, round = Feed(RATE), sine(1.0, 231.7), Round(10_000, 17_321)
    feed.play(whole(sound), 0, round)
    got = drawn(feed, 60_000, 777)
    length = round.end - round.begin
    assert np.array_equal(sound[: round.end - RAMP], got[: round.end - RAMP])
    first = got[round.end : round.end + length]
    assert np.array_equal(sound[round.begin : round.end - RAMP], first[:-RAMP])
    for at in range(round.end + length, len(got) - length, length):
        assert np.allclose(first, got[at : at + length], atol=1e-6)
    assert feed.place is not None
    assert round == feed.place[1]


SEAMS: dict[str, Callable[[Feed], None]] = {
    "seek": lambda feed: feed.seek(20_011),
    "round": lambda feed: feed.go_round(Round(3_001, 9_007)),
    "another": lambda feed: feed.go_over(whole(sine(1.0, 310.3)), lambda at: at + 1234),
    "pause": lambda feed: feed.hold(True),
    "stop": lambda feed: feed.stop(),
    "replace": lambda feed: feed.play(whole(sine(1.0, 290.1) * np.sin(np.arange(RATE)[:, None] / 15279).astype("f4"))),
}


@pytest.mark.parametrize("what", SEAMS)
def test_no_change_clicks(what: str) -> None:
    """Whatever is asked for in mid-sound, what comes of it above 8 kHz stays under -80 dBFS."""
    feed = Feed(RATE)
    feed.play(whole(sine(1.0)))
    before = drawn(feed, 12_345, 512)
    SEAMS[what](feed)
    after = drawn(feed, 12_345, 512)
    faded = np.concatenate([before, after]) * np.hanning(24_690)[:, None].astype(np.float32)
    assert above_8_khz(faded) < 1e-4
    assert feed.gaps == 0


def test_a_pause_stands_where_it_was_and_goes_on_from_there() -> None:
    """While paused nothing sounds and nothing passes; going on rises over what fell silent."""
    feed, sound = Feed(RATE), sine(1.0)
    feed.play(whole(sound))
    drawn(feed, 10_000)
    feed.hold(True)
    falling = drawn(feed, 4800)
    assert not falling[RAMP:].any()
    assert feed.held
    assert feed.place == (10_000, None)
    assert not feed.wait(0.01)
    feed.hold(False)
    rising = drawn(feed, 4800)
    assert np.array_equal(sound[10_000 + RAMP : 14_800], rising[RAMP:])


def test_seeking_while_paused_stays_silent() -> None:
    """A place gone to in a pause is where the sound goes on."""
    feed, sound = Feed(RATE), sine(1.0)
    feed.play(whole(sound))
    drawn(feed, 1000)
    feed.hold(True)
    drawn(feed, 4800)
    feed.seek(30_000)
    assert not drawn(feed, 4800).any()
    feed.hold(False)
    assert np.array_equal(sound[30_000 + RAMP : 34_800], drawn(feed, 4800)[RAMP:])


def test_going_over_to_the_same_sound_is_not_heard() -> None:
    """Two sources that are alike, one led into the other at the same place, are one sound."""
    feed, sound = Feed(RATE), sine(1.0)
    feed.play(whole(sound))
    first = drawn(feed, 5000)
    feed.go_over(whole(sound.copy()), lambda at: at)
    assert np.allclose(sound[:15_000], np.concatenate([first, drawn(feed, 10_000)]), atol=1e-6)


def test_leaving_a_loop_lets_the_sound_go_on() -> None:
    """A loop that is let go of in its middle goes on to the sound's end."""
    feed, sound = Feed(RATE), sine(0.5)
    feed.play(whole(sound), 0, Round(2400, 9600))
    drawn(feed, 12_000)
    feed.go_round(None)
    rest = drawn(feed, RATE)
    assert np.allclose(sound[4800 + RAMP :], rest[RAMP : RATE // 2 - 4800], atol=1e-6)
    assert feed.current is None


def test_what_is_not_made_in_time_is_waited_for() -> None:
    """A sound whose next frames are missing falls silent without a click, is counted, and goes on whole."""
    feed, sound = Feed(RATE), sine(1.0)
    slow = Slow(sound, 10_000)
    feed.play(slow)
    before = drawn(feed, 20_000)
    assert feed.gaps == 1
    assert steepest(before) <= 1.1 * steepest(sine(0.1))
    assert not before[10_000:].any()
    assert feed.place is not None
    stood = feed.place[0]
    slow.until = len(sound)
    after = drawn(feed, 5000)
    assert np.array_equal(sound[stood + RAMP : stood + 5000], after[RAMP:])
    assert feed.gaps == 1


def test_the_playhead_goes_round_with_the_loop() -> None:
    """What is heard is told within the loop, delay and all, and stands still in a pause."""
    feed = Feed(RATE)
    feed.play(whole(sine(1.0)), 0, Round(4800, 9600))
    drawn(feed, 24_000, 480, latency_s=0.05)
    time.sleep(0.12)
    head = feed.playhead_s
    assert head is not None
    assert 0.1 <= head <= 0.2
    feed.hold(True)
    drawn(feed, 960, latency_s=0.0)
    time.sleep(0.03)
    assert feed.place is not None
    assert feed.playhead_s == feed.place[0] / RATE


def test_what_was_handed_out_lately_is_kept() -> None:
    """The last three seconds, volume and all, in order; silence where there was nothing yet."""
    feed, sound = Feed(RATE), sine(5.0, 223.0)
    feed.volume = 0.5
    feed.play(whole(sound))
    drawn(feed, 4800, 777)
    assert not feed.lately()[:-4800].any()
    assert np.allclose(0.5 * sound[:4800], feed.lately()[-4800:])
    drawn(feed, 4 * RATE, 1000)
    assert np.allclose(0.5 * sound[RATE + 4800 : 4 * RATE + 4800], feed.lately())
