"""What happens on a real device: run by test_device.py under tests/sound/with-virtual-sound.sh."""

import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from synth.level import leveled
from synth.output import Output, open_output
from synth.outputs.feed import RAMP_S
from synth.probe import probe
from synth.render import render
from synth.wav_file import read_sound
from tests.synth.devices import CHORD, holds_the_chord, out, question, recorded, server, server_runs
from tests.synth.scores import RATE, cents, single, strongest_hz

__all__ = ["CHORD", "out", "server_runs"]


def test_the_device_plays_what_was_rendered(out: Output, tmp_path: Path) -> None:
    """Every sample comes out of the loudspeaker as it was rendered, and holds the score's pitches."""
    assert not out.silent
    assert out.remark is None
    sound = question()
    with recorded(tmp_path) as recording:
        began = time.monotonic()
        out.play(sound)
        assert time.monotonic() - began < 0.1
        assert out.wait(5.0)
        assert len(sound) / RATE <= time.monotonic() - began < len(sound) / RATE + 1.0
    heard = recording.sounding
    holds_the_chord(heard)
    audible = np.flatnonzero(np.abs(sound).max(axis=1) > 1e-7)
    assert np.array_equal(sound[audible[0] : audible[-1] + 1], heard)


def test_the_playhead_goes_with_the_clock(out: Output) -> None:
    """Between two looks at the playhead as much sound has passed as time, to 30 ms."""
    out.play(np.tile(question(), (4, 1)))
    time.sleep(0.5)
    first, first_at = out.playhead_s, time.monotonic()
    time.sleep(1.0)
    second, second_at = out.playhead_s, time.monotonic()
    assert first is not None
    assert second is not None
    assert pytest.approx(second_at - first_at, abs=0.03) == second - first
    assert 0.2 < first < 0.55


def test_a_loop_is_gapless_and_stops_without_a_click(out: Output, tmp_path: Path) -> None:
    """A sine of whole periods in a loop is recorded as one sine that ends in a ramp."""
    wave = 0.3 * np.sin(2 * np.pi * 200 * np.arange(RATE // 5) / RATE)
    with recorded(tmp_path) as recording:
        out.play(np.repeat(wave[:, None], 2, axis=1).astype(np.float32), loop=True)
        assert not out.wait(1.5)
        out.stop()
        assert out.wait(1.0)
    heard = recording.sounding
    assert len(heard) > RATE
    assert np.abs(np.diff(heard, axis=0)).max() <= 0.3 * 2 * np.pi * 200 / RATE * 1.1
    steady = heard[: len(heard) - round(RAMP_S * RATE) - 480]
    assert np.abs(steady[RATE // 5 :] - steady[: -RATE // 5]).max() < 1e-6


def test_another_rate_keeps_the_pitch(out: Output, tmp_path: Path) -> None:
    """A sound at 44.1 kHz is heard at its own pitch."""
    with recorded(tmp_path) as recording:
        out.play(leveled(render(single(69), 44_100), 44_100), 44_100)
        assert out.wait(5.0)
    assert pytest.approx(0.0, abs=2.0) == cents(strongest_hz(recording.sounding[:, 0], 440.0), 440.0)


@pytest.mark.parametrize("way", ["kill", "stop"])
def test_a_server_that_dies_does_not_stop_the_drill(out: Output, tmp_path: Path, way: str) -> None:
    """In mid-sound silence takes over, says so and keeps the sound; the next sound is heard again."""
    sound = question()
    out.play(sound)
    time.sleep(0.3)
    server(way)
    assert out.wait(5.0)
    assert out.silent
    assert out.remark is not None
    assert "went away" in out.remark
    assert str(tmp_path / "unheard.wav") in out.remark
    assert np.abs(read_sound(tmp_path / "unheard.wav")[0] - sound).max() < 2.0**-22
    server("start")
    with recorded(tmp_path) as recording:
        out.play(sound)
        assert not out.silent
        assert out.wait(5.0)
    assert out.remark is not None
    assert "the sound is back" in out.remark
    holds_the_chord(recording.sounding)


def test_a_server_that_hangs_does_not_stop_the_drill(out: Output, tmp_path: Path) -> None:
    """A device that stops asking is noticed by the watchdog; when it answers again, so does the sound."""
    sound = np.tile(question(), (3, 1))
    out.play(sound)
    time.sleep(0.3)
    server("pause")
    began = time.monotonic()
    assert out.wait(10.0)
    assert time.monotonic() - began < 6.0
    assert out.silent
    server("resume")
    deadline = time.monotonic() + 15
    while out.silent and time.monotonic() < deadline:
        out.play(question())
        assert out.wait(5.0)
    assert not out.silent
    with recorded(tmp_path) as recording:
        out.play(question())
        assert out.wait(5.0)
    holds_the_chord(recording.sounding)


@pytest.mark.parametrize("way", ["portaudio", "miniaudio"])
@pytest.mark.parametrize("noticed", [False, True])
def test_exit_does_not_hang_with_the_server(way: str, noticed: bool, tmp_path: Path) -> None:
    """The interpreter ends within seconds while the server hangs, noticed or not."""
    code = (
        "import os, subprocess, sys, time, pathlib, numpy as np\n"
        "from synth.output import open_output\n"
        "out = open_output(sys.argv[1], pathlib.Path(sys.argv[2]))\n"
        "assert not out.silent, out.remark\n"
        "out.play(np.full((480000, 2), 0.1, np.float32))\n"
        "time.sleep(0.3)\n"
        "subprocess.run([os.environ['VSOUND_SERVER'], 'pause'], check=True)\n"
        "time.sleep(float(sys.argv[3]))\n"
    )
    began = time.monotonic()
    command = [sys.executable, "-c", code, way, str(tmp_path), "2.0" if noticed else "0.0"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=30)
    assert 0 == done.returncode, done.stderr
    assert time.monotonic() - began < 12.0


def test_without_portaudio_the_second_way_plays(tmp_path: Path) -> None:
    """Where the loader finds no PortAudio, miniaudio is heard, and the remark names library and mend."""
    np.save(tmp_path / "sound.npy", question())
    code = (
        "import ctypes.util, sys, pathlib, numpy as np\n"
        "ctypes.util.find_library = lambda name: None\n"
        "from synth.output import open_output\n"
        "out = open_output(None, pathlib.Path(sys.argv[1]))\n"
        "out.play(np.load(sys.argv[1] + '/sound.npy'))\n"
        "ended = out.wait(5.0)\n"
        "print(ended, out.silent, out.name, out.remark, sep='|')\n"
        "out.close()\n"
    )
    with recorded(tmp_path) as recording:
        done = subprocess.run([sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, timeout=30)
    ended, silent, name, remark = done.stdout.strip().split("|")
    assert ("True", "False") == (ended, silent)
    assert "PulseAudio" in name
    assert "PortAudio library not found" in remark
    assert "portaudio" in remark.partition("mend: ")[2]
    holds_the_chord(recording.sounding)


def test_no_server_at_the_start(tmp_path: Path) -> None:
    """Without any device silence says so; once there is one, a later sound is heard."""
    server("stop")
    out = open_output(None, tmp_path)
    try:
        assert out.silent
        assert out.remark is not None
        assert out.remark.startswith("no sound: ")
        assert "mend: " in out.remark
        out.play(question())
        assert out.wait(5.0)
        assert (tmp_path / "unheard.wav").exists()
        server("start")
        deadline = time.monotonic() + 10
        while out.silent and time.monotonic() < deadline:
            out.play(question())
            assert out.wait(5.0)
        assert not out.silent
    finally:
        out.close()


def test_a_device_by_name(tmp_path: Path) -> None:
    """A device can be asked for by name; an unknown one is told and the default plays in its stead."""
    named = open_output("speaker", tmp_path)
    assert ("speaker", None) == (named.name, named.remark)
    named.close()
    unknown = open_output("no such thing", tmp_path)
    assert not unknown.silent
    assert unknown.remark is not None
    assert "no such thing" in unknown.remark
    unknown.close()


def test_probing_finds_the_devices() -> None:
    """Sound out and in work and are named; MIDI is answered for either way."""
    found = {finding.thing: finding for finding in probe()}
    assert found["sound out"].works
    assert found["sound in"].works
    assert "48 kHz" in found["sound out"].told
    assert '"mic_feed"' in found["sound out"].told  # the other device that one could choose
    assert found["MIDI in"].works or found["MIDI in"].mend


def test_probing_a_hanging_server_ends() -> None:
    """While the server hangs every question is still answered, within the limits."""
    server("pause")
    code = (
        "from synth.probe import probe\n"
        "for finding in probe(): print(finding.thing, finding.works, finding.mend, sep='|')"
    )
    began = time.monotonic()
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert time.monotonic() - began < 40.0
    lines = done.stdout.splitlines()
    assert ["sound out|False", "sound in|False"] == [line.rpartition("|")[0] for line in lines[:2]]
    assert all(line.rpartition("|")[2] for line in lines)
