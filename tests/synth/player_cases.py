"""A tune on a real device: run by test_device.py under tests/sound/with-virtual-sound.sh."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from synth.level import gain_of
from synth.output import Loop, Output, open_output
from synth.player import MEASURED_S, Player
from synth.reel import Reel
from tests.synth.devices import (
    holds,
    holds_the_chord,
    nearest,
    out,
    question,
    recorded,
    server,
    server_runs,
    until,
)  # fmt: skip
from tests.synth.scores import RATE, comping

__all__ = ["out", "server_runs"]


@pytest.fixture
def player(out: Output) -> Iterator[Player]:
    """Plays scores on the first way out that works."""
    made = Player(out)
    yield made
    made.close()


def test_a_tune_is_recorded_as_it_was_sent(out: Output, player: Player, tmp_path: Path) -> None:
    """Twelve seconds made while they sound come out of the loudspeaker frame by frame, with no dropout."""
    music = comping(12)
    sent = np.concatenate(list(Reel(music, gain=gain_of(music)).pieces()))
    with recorded(tmp_path) as recording:
        player.play(music)
        assert player.wait(20.0)
    holds(sent, recording.samples)
    assert out.dropouts == 0


def test_a_stretch_in_mid_tune_loops_to_the_sample(player: Player, tmp_path: Path) -> None:
    """Each round of a bar is recorded as long as the one before and the same to the sample."""
    music = comping(12)
    with recorded(tmp_path) as recording:
        player.play(music, from_s=4.0, loop=Loop(4.0, 6.0))
        assert not player.wait(7.0)
        player.stop()
    heard = recording.sounding
    length = 2 * RATE
    rounds = heard[RATE:]
    assert len(rounds) > 2.5 * length
    whole = rounds[: len(rounds) - RATE]
    assert np.abs(whole[length:] - whole[:-length]).max() < 1e-6


def test_seeks_parts_and_pauses_are_recorded_as_asked(player: Player, out: Output, tmp_path: Path) -> None:
    """Bass alone, another place and a pause in a row come out as they were made, without a dropout."""
    music = comping(12)
    bass = np.concatenate(list(Reel(music, parts=frozenset({"bass"}), gain=gain_of(music)).pieces()))
    with recorded(tmp_path) as recording:
        player.play(music)
        time.sleep(0.5)
        player.solo(frozenset({"bass"}))
        player.seek(8.0)
        time.sleep(1.0)
        player.pause()
        time.sleep(0.4)
        player.seek(2.0)
        player.resume()
        time.sleep(1.0)
        player.stop()
        time.sleep(0.2)
    heard = recording.samples
    holds(bass[round(8.05 * RATE) : round(8.75 * RATE)], heard)
    holds(bass[round(2.05 * RATE) : round(2.75 * RATE)], heard)
    assert out.dropouts == 0


def test_the_device_dies_five_times_in_one_tune(player: Player, out: Output, tmp_path: Path) -> None:
    """Each time silence goes on in its place, the device is found again and the tune is heard from where it is."""
    music = comping(60)
    sent = np.concatenate(list(Reel(music, gain=gain_of(music, most_s=MEASURED_S)).pieces()))
    player.play(music)
    for time_round in range(5):
        server("kill")
        until(lambda: out.silent, 5.0)
        assert player.place_s is not None
        server("start")
        until(lambda: not out.silent, 12.0)
        assert out.remark is not None
        assert "the sound is back" in out.remark
        before_s = player.place_s
        with recorded(tmp_path) as recording:
            time.sleep(1.0)
        heard = recording.sounding
        at = holds(heard[RATE // 10 : RATE // 10 + RATE // 2], sent)
        assert before_s is not None
        assert abs(at / RATE - before_s) < 2.0, time_round
    player.stop()


def test_two_programs_at_once(out: Output, tmp_path: Path) -> None:
    """What two programs play is heard together, each whole: the recording less the one is the other."""
    np.save(tmp_path / "other.npy", question()[:, ::-1])
    code = (
        "import sys, pathlib, numpy as np\n"
        "from synth.output import open_output\n"
        "out = open_output(None, pathlib.Path(sys.argv[1]))\n"
        "sound = np.load(sys.argv[1] + '/other.npy')\n"
        "print(out.silent, flush=True)\n"
        "sys.stdin.readline()\n"
        "out.play(np.tile(sound * 0.5, (3, 1)))\n"
        "print(out.wait(9.0), out.dropouts, flush=True)\n"
        "out.close()\n"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    with (
        subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other,
        recorded(tmp_path) as recording,
    ):
        assert other.stdout is not None
        assert other.stdout.readline() == "False\n"
        said, _ = "", out.play(np.tile(question(), (4, 1)))
        time.sleep(0.5)
        assert other.stdin is not None
        other.stdin.write("\n")
        other.stdin.flush()
        assert out.wait(9.0)
        said = other.stdout.readline()
    assert said.split() == ["True", "0"]
    assert out.dropouts == 0
    heard = recording.samples
    mine = np.tile(question(), (4, 1))
    at = nearest(mine[: RATE // 4], heard[: 2 * RATE])
    rest = heard[at : at + len(mine)] - mine
    holds(np.tile(question()[:, ::-1] * np.float32(0.5), (2, 1)), rest)


def test_a_sound_begins_soon(out: Output, player: Player) -> None:
    """From asking to the loudspeaker it takes at most 30 ms beyond the device's own delay."""
    command = ["parec", "-d", os.environ["VSOUND_PULSE_MONITOR"], "--raw", "--format=float32le"]
    command += [f"--rate={RATE}", "--channels=2", "--latency-msec=5"]
    delay_s = out.latency_s
    took = []
    with subprocess.Popen(command, stdout=subprocess.PIPE, bufsize=0) as recorder:
        try:
            assert recorder.stdout is not None
            recorder.stdout.read(4096)
            for _ in range(5):
                player.play(comping(2))
                began = time.monotonic()
                while not np.frombuffer(recorder.stdout.read(1920), dtype="<f4").any():
                    assert time.monotonic() - began < 2.0
                took.append(time.monotonic() - began - delay_s)
                player.stop()
                until = time.monotonic() + 0.5
                while time.monotonic() < until:
                    recorder.stdout.read(1920)
        finally:
            recorder.kill()
    sys.stderr.write(f"start to sound beyond the device's {delay_s * 1000:.0f} ms: {[round(t * 1000) for t in took]}\n")
    assert sorted(took)[2] <= 0.03


def test_a_program_that_was_stopped_goes_on_with_its_device(out: Output) -> None:
    """Stopped for two seconds in mid-sound, as a shell does, and continued: the device is the same, nothing is told."""
    out.play(np.tile(question(), (4, 1)))
    time.sleep(0.5)
    with subprocess.Popen(["sh", "-c", f"sleep 2; kill -CONT {os.getpid()}"]):
        os.kill(os.getpid(), signal.SIGSTOP)
    heard_s = out.place_s
    time.sleep(1.5)
    assert (False, None) == (out.silent, out.remark)
    assert heard_s is not None
    assert out.place_s is not None
    assert 0.5 < out.place_s - heard_s < 2.0


def test_a_device_that_takes_another_rate_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where 48 kHz is refused the device's own rate is taken, and the pitches stay."""
    import sounddevice

    opened = sounddevice.OutputStream

    def picky(**asked: Any) -> Any:
        if asked["samplerate"] != 44_100:
            raise sounddevice.PortAudioError("Error opening OutputStream: Invalid sample rate", -9997)
        return opened(**asked)

    plain = sounddevice.query_devices

    def at_its_own(*asked: Any, **more: Any) -> Any:
        found = plain(*asked, **more)
        return found | {"default_samplerate": 44_100.0} if isinstance(found, dict) else found

    monkeypatch.setattr(sounddevice, "OutputStream", picky)
    monkeypatch.setattr(sounddevice, "query_devices", at_its_own)
    out = open_output(None, tmp_path)
    try:
        assert not out.silent
        with recorded(tmp_path) as recording:
            out.play(question())
            assert out.wait(5.0)
        holds_the_chord(recording.sounding)
        assert out.dropouts == 0
    finally:
        out.close()
