"""What happens on a real device: run by test_device.py under tests/sound/with-virtual-sound.sh.

The loudspeaker is PulseAudio's, recorded by `parec`, so nothing of ours listens to ourselves.
"""

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from synth.level import gain_of, leveled
from synth.output import Loop, Output, open_output
from synth.outputs.feed import RAMP_S
from synth.player import Player
from synth.probe import probe
from synth.reel import Reel
from synth.render import render
from synth.score import Note
from synth.wav_file import read_sound
from tests.synth.scores import RATE, cents, comping, score, single, strongest_hz

Samples = NDArray[np.float32]

CHORD = (45, 55, 60, 64)


def question() -> Samples:
    """A bass and a chord, leveled."""
    notes = (Note(0.0, 0.8, key, 80, "keys") for key in CHORD)
    return leveled(render(score(*notes, duration_s=0.8)), RATE)


def server(word: str) -> None:
    """Tell the sound server to start, stop, pause or resume."""
    subprocess.run([os.environ["VSOUND_SERVER"], word], check=True, timeout=20)


@pytest.fixture(autouse=True)
def _server_runs() -> Iterator[None]:
    """Each case begins with a server that runs, and leaves one."""
    yield
    subprocess.run([os.environ["VSOUND_SERVER"], "resume"], check=False, timeout=20)
    server("start")


@pytest.fixture
def out(tmp_path: Path) -> Iterator[Output]:
    """The first way out that works, closed in the end."""
    opened = open_output(None, tmp_path)
    yield opened
    opened.close()


class Recording:
    """What the loudspeaker has played."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    def samples(self) -> Samples:
        """All that was recorded, once the recorder has ended."""
        return np.fromfile(self.path, dtype="<f4").reshape(-1, 2)

    @property
    def sounding(self) -> Samples:
        """From the first sample that isn't silence to the last."""
        heard = np.flatnonzero(np.abs(self.samples).max(axis=1) > 1e-7)
        assert len(heard), "the loudspeaker stayed silent"
        return self.samples[heard[0] : heard[-1] + 1]


@contextmanager
def recorded(folder: Path) -> Iterator[Recording]:
    """Record the loudspeaker for as long as the block lasts."""
    recording = Recording(folder / "recorded.raw")
    command = ["parec", "-d", os.environ["VSOUND_PULSE_MONITOR"], "--raw", "--format=float32le"]
    command += [f"--rate={RATE}", "--channels=2", "--latency-msec=20"]
    with recording.path.open("wb") as file, subprocess.Popen(command, stdout=file) as recorder:
        try:
            deadline = time.monotonic() + 10
            while not recording.path.stat().st_size:
                assert time.monotonic() < deadline, "the recorder doesn't start"
                time.sleep(0.01)
            yield recording
            time.sleep(0.3)
        finally:
            recorder.kill()  # also when the case has failed, or it would be waited for without end


def holds_the_chord(sound: Samples) -> None:
    """The four fundamentals are in the sound, each within two cents."""
    for key in CHORD:
        wanted_hz = 440.0 * 2 ** ((key - 69) / 12)
        assert pytest.approx(0.0, abs=2.0) == cents(strongest_hz(sound.sum(axis=1), wanted_hz), wanted_hz)


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


@pytest.fixture
def player(out: Output) -> Iterator[Player]:
    """Plays scores on the first way out that works."""
    made = Player(out)
    yield made
    made.close()


def holds(expected: Samples, heard: Samples) -> int:
    """Where in what was heard a sound lies, every frame of it within 1e-6."""
    at = _nearest(expected, heard)
    found = heard[at : at + len(expected)]
    assert len(expected) == len(found)
    assert np.abs(expected - found).max() < 1e-6
    return at


def _nearest(part: Samples, sound: Samples) -> int:
    """Where a part differs least from a sound, by the sum of squares."""
    size = 1 << (len(sound) + len(part) - 1).bit_length()
    spectrum = np.fft.rfft(sound[:, 0], size) * np.fft.rfft(part[:, 0], size).conj()
    places = len(sound) - len(part) + 1
    energy = np.concatenate([[0.0], np.cumsum(sound[:, 0].astype(np.float64) ** 2)])
    return int(np.argmin(energy[len(part) :] - energy[:places] - 2.0 * np.fft.irfft(spectrum, size)[:places]))


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
    sent = np.concatenate(list(Reel(music, gain=gain_of(music)).pieces()))
    player.play(music)
    for time_round in range(5):
        server("kill")
        _until(lambda: out.silent, 5.0)
        assert player.place_s is not None
        server("start")
        _until(lambda: not out.silent, 12.0)
        assert out.remark is not None
        assert "the sound is back" in out.remark
        before_s = player.place_s
        with recorded(tmp_path) as recording:
            time.sleep(1.0)
        heard = recording.sounding
        at = holds_somewhere(sent, heard[RATE // 10 : RATE // 10 + RATE // 2])
        assert before_s is not None
        assert abs(at / RATE - before_s) < 2.0, time_round
    player.stop()


def _until(holds_now: Callable[[], bool], limit_s: float) -> None:
    deadline = time.monotonic() + limit_s
    while not holds_now():
        assert time.monotonic() < deadline, "it never came"
        time.sleep(0.02)


def holds_somewhere(sent: Samples, heard: Samples) -> int:
    """Where in what was sent a piece of what was heard lies, every frame within 1e-6."""
    return holds(heard, sent)


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
    at = _nearest(mine[: RATE // 4], heard[: 2 * RATE])
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
