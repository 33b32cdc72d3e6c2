"""Scores through a way out that a test draws from frame by frame."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

import numpy as np
import pytest

from synth import output as output_module
from synth.errors import SoundError
from synth.level import gain_of
from synth.output import Loop, Output, open_output
from synth.outputs import search
from synth.outputs.feed import RAMP_S, Feed
from synth.outputs.source import Samples
from synth.player import Player
from synth.reel import Reel
from synth.score import Score
from tests.synth.scores import RATE, comping
from tests.synth.test_feed import above_8_khz

RAMP = round(RAMP_S * RATE)


class Drawn:
    """A device that asks when the test says so."""

    name, silent, underflows, latency_s, rate = "drawn", False, 0, 0.0, 48_000

    def __init__(self, feed: Feed) -> None:
        self.feed = feed

    def draw(self, seconds: float) -> Samples:
        """So much sound, in blocks as a device asks for them, ten times as quickly as it sounds."""
        pieces = []
        for _ in range(round(seconds * 100)):
            time.sleep(0.001)
            out = np.empty((480, 2), dtype=np.float32)
            self.feed.fill(out, 0.0)
            pieces.append(out)
        return np.concatenate(pieces)

    def begin(self) -> None:
        self.began = True

    def alive(self) -> bool:
        return True

    def close(self) -> None:
        pass

    def leave_behind(self, closing: object) -> None:
        pass


@pytest.fixture
def device(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[tuple[Output, Drawn]]:
    """A way out and what stands behind it."""
    opened: list[Drawn] = []

    def opener(feed: Feed, *_: object) -> Drawn:
        opened.append(Drawn(feed))
        return opened[-1]

    monkeypatch.setattr(search, "open_portaudio", opener)
    out = open_output(None, tmp_path)
    yield out, opened[0]
    out.close()


@pytest.fixture
def player(device: tuple[Output, Drawn]) -> Iterator[Player]:
    """A player over that way out."""
    made = Player(device[0])
    yield made
    made.close()


def whole(music: Score, parts: frozenset[str] | None = None, by: Score | None = None) -> Samples:
    """A score's sound as the player levels it, by its own loudness or another's."""
    reel = Reel(music, parts=parts, gain=gain_of(by or music))  # type: ignore[arg-type]
    return np.concatenate(list(reel.pieces()))


def alike(expected: Samples, got: Samples) -> None:
    """Every frame is as it should be, to -120 dBFS."""
    assert len(expected) == len(got)
    assert np.abs(expected - got).max() < 1e-6


MUSIC = comping(12)


def test_a_score_is_played_from_its_beginning_to_its_end(player: Player, device: tuple[Output, Drawn]) -> None:
    """What the device takes is the whole score, to the frame; then it is over."""
    player.play(MUSIC)
    expected = whole(MUSIC)
    got = np.concatenate([device[1].draw(0.1) for _ in range(len(expected) // 4800 + 1)])
    alike(expected, got[: len(expected)])
    assert not got[len(expected) :].any()
    assert player.wait(1.0)
    assert player.playhead_s is None
    assert device[0].dropouts == 0


def test_it_begins_in_the_middle_with_the_first_note_whole(player: Player, device: tuple[Output, Drawn]) -> None:
    """A start at a beat rises before it, so that the beat's attack isn't dulled."""
    player.play(MUSIC, from_s=4.0)
    got = device[1].draw(0.5)
    begin = 4 * RATE
    alike(whole(MUSIC)[begin : begin + len(got) - RAMP], got[RAMP:])


def test_a_seek_goes_on_at_once_without_a_click(player: Player, device: tuple[Output, Drawn]) -> None:
    """The next frames after a seek are those of the place, and the seam is quiet above 8 kHz."""
    player.play(MUSIC)
    before = device[1].draw(1.05)
    player.seek(9.0)
    after = device[1].draw(0.5)
    alike(whole(MUSIC)[9 * RATE : 9 * RATE + len(after) - RAMP], after[RAMP:])
    quiet_seam(np.concatenate([before, after]), len(before))


def quiet_seam(sound: Samples, at: int) -> None:
    """Around a seam there is no more above 8 kHz than there is elsewhere in this music."""
    seam = sound[at - 2048 : at + 2048] * np.hanning(4096)[:, None].astype("f4")
    music = whole(MUSIC)
    usual = max(above_8_khz(music[b : b + 4096] * np.hanning(4096)[:, None].astype("f4")) for b in range(0, RATE, 2048))
    assert above_8_khz(seam) < max(1e-4, 1.2 * usual)


def test_a_loop_goes_round_to_the_frame(player: Player, device: tuple[Output, Drawn]) -> None:
    """Rounds of two bars are alike frame by frame, with the attack on the first beat whole."""
    player.play(MUSIC, loop=Loop(2.0, 6.0))
    got = np.concatenate([device[1].draw(0.5) for _ in range(36)])
    sound, length = whole(MUSIC), 4 * RATE
    alike(sound[: 6 * RATE - RAMP], got[: 6 * RATE - RAMP])
    for again in (1, 2):
        begin = 2 * RATE + again * length
        alike(sound[2 * RATE : 6 * RATE - RAMP], got[begin : begin + length - RAMP])
        quiet_seam(got, begin)
    assert device[0].dropouts == 0
    assert player.looping == Loop(2.0, 6.0)


def test_a_loop_set_behind_the_place_begins_at_its_beginning(player: Player, device: tuple[Output, Drawn]) -> None:
    """Who loops what is past already hears it from its start; letting go goes on to the end."""
    player.play(MUSIC)
    device[1].draw(7.0)
    player.loop(Loop(2.0, 4.0))
    device[1].draw(0.5)
    assert player.place_s == pytest.approx(2.5, abs=0.02)
    player.loop(None)
    device[1].draw(3.0)
    assert player.place_s == pytest.approx(5.5, abs=0.02)
    assert player.looping is None


def test_parts_alone_are_as_loud_as_among_the_others(player: Player, device: tuple[Output, Drawn]) -> None:
    """The bass alone is the bass of the whole, from the next frames on, and all come back."""
    player.play(MUSIC)
    before = device[1].draw(1.0)
    player.solo(frozenset({"bass"}))
    alone = device[1].draw(1.0)
    player.solo(None)
    device[1].draw(0.01)
    rest = device[1].draw(1.0)
    alike(whole(MUSIC, frozenset({"bass"}), MUSIC)[RATE + RAMP : 2 * RATE], alone[RAMP:])
    alike(whole(MUSIC)[2 * RATE + RAMP : 3 * RATE + RAMP], rest)
    quiet_seam(np.concatenate([before, alone]), len(before))


def test_another_tempo_goes_on_at_the_same_beat(player: Player, device: tuple[Output, Drawn]) -> None:
    """At half the tempo the sound goes on where its beat lies, at the level it had."""
    player.play(MUSIC)
    before = device[1].draw(3.0)
    slow = comping(24)
    player.change(slow, lambda at_s: 2 * at_s)
    after = device[1].draw(0.5)
    gone_over = whole(slow, None, MUSIC)[6 * RATE : 6 * RATE + len(after)]
    alike(gone_over[RAMP:], after[RAMP:])
    quiet_seam(np.concatenate([before, after]), len(before))


def test_a_pause_keeps_the_place_through_changes(player: Player, device: tuple[Output, Drawn]) -> None:
    """Parts and places can be changed in a pause; nothing sounds until it ends."""
    player.play(MUSIC)
    device[1].draw(2.0)
    player.pause()
    device[1].draw(0.1)
    assert player.paused
    player.solo(frozenset({"keys"}))
    player.seek(5.0)
    assert not device[1].draw(0.2).any()
    assert not player.wait(0.01)
    player.resume()
    device[1].draw(0.02)
    alike(whole(MUSIC, frozenset({"keys"}), MUSIC)[5 * RATE + RAMP : 6 * RATE + RAMP], device[1].draw(1.0))


def test_what_is_asked_before_and_after_is_no_fault(player: Player, device: tuple[Output, Drawn]) -> None:
    """With nothing played every wish is in vain, and after the end too."""
    player.seek(1.0)
    player.loop(Loop(0.0, 1.0))
    player.solo(frozenset({"bass"}))
    player.change(MUSIC, lambda at_s: at_s)
    player.pause()
    player.stop()
    assert player.playhead_s is None
    player.play(MUSIC)
    assert not player.paused
    player.stop()
    assert player.wait(0.5)
    player.seek(1.0)
    assert not device[1].draw(0.1).any()


def test_a_loop_that_cannot_be_is_refused(player: Player) -> None:
    """A stretch of nothing is told with what was found and what would do."""
    with pytest.raises(SoundError, match="a loop from 3 to 3 s"):
        player.play(MUSIC, loop=Loop(3.0, 3.0))


WISHES: list[Callable[[Player, Random], None]] = [
    lambda player, rng: player.seek(rng.uniform(-1.0, 13.0)),
    lambda player, rng: player.loop(Loop(at := rng.uniform(0.0, 8.0), at + rng.uniform(0.1, 3.0))),
    lambda player, rng: player.loop(None),
    lambda player, rng: player.solo(rng.choice([None, frozenset({"bass"}), frozenset({"keys"})])),
    lambda player, rng: player.pause(),
    lambda player, rng: player.resume(),
    lambda player, rng: player.change(MUSIC, lambda at_s: at_s),
    lambda player, rng: player.play(MUSIC, rng.uniform(0.0, 11.0)),
]


def test_any_row_of_wishes_stays_whole(player: Player, device: tuple[Output, Drawn]) -> None:
    """Three hundred wishes at random, some in a row at once: never a click, never a gap, never a frame missing."""
    rng = Random(7)
    player.play(MUSIC)
    sound = []
    for _ in range(300):
        sound.append(device[1].draw(rng.choice([0.01, 0.05, 0.2])))
        for _ in range(rng.choice([1, 1, 3])):
            rng.choice(WISHES)(player, rng)
        if player.place_s is None:
            player.play(MUSIC)
    heard = np.concatenate(sound)
    assert np.isfinite(heard).all()
    assert np.abs(heard).max() < 10 ** (-1.5 / 20) * 2
    pieces = [heard[b : b + 4096] * np.hanning(4096)[:, None].astype("f4") for b in range(0, len(heard) - 4096, 2048)]
    assert max(above_8_khz(piece) for piece in pieces) < 10 ** (-50 / 20)
    assert device[0].dropouts == 0


def test_a_device_that_comes_back_in_mid_tune_plays_on(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A tune goes on in silence when its device goes, and is heard again from where time has brought it."""
    devices: list[Drawn] = []

    class Real(Drawn):
        here = True

        def alive(self) -> bool:
            return self.here

    def opener(feed: Feed, *_: object) -> Drawn:
        devices.append(Real(feed))
        return devices[-1]

    monkeypatch.setattr(search, "open_portaudio", opener)
    monkeypatch.setattr(output_module, "RETURN_S", 0.3)
    out = open_output(None, tmp_path)
    player = Player(out)
    try:
        player.play(MUSIC)
        devices[0].draw(1.0)
        devices[0].here = False  # type: ignore[attr-defined]
        deadline = time.monotonic() + 5.0
        while not out.silent and time.monotonic() < deadline:
            time.sleep(0.01)
        assert out.silent
        assert out.remark is not None
        assert "went away" in out.remark
        while out.silent and time.monotonic() < deadline:
            time.sleep(0.01)
        assert "the sound is back: drawn" == out.remark
        place = player.place_s
        assert place is not None
        assert place > 1.2
        time.sleep(0.1)
        assert player.place_s == place, "nobody else draws any more"
        begin = round(place * RATE)
        alike(whole(MUSIC)[begin : begin + 4800], devices[1].draw(0.1))
    finally:
        player.close()
        out.close()
