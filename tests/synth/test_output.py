"""The way out where there is no device: silence in time, the sound in a named file, honest words."""

import ctypes.util
import subprocess
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pytest

from synth import output as output_module
from synth.errors import SoundError
from synth.output import Output, open_output
from synth.outputs import search
from synth.outputs.limits import Hanging, within
from synth.outputs.mends import library_mend
from synth.outputs.sink import NoSink
from synth.probe import probe
from synth.wav_file import read_sound
from tests.doubles.sound import SoundTwin

RATE = 48_000
TONE = np.repeat(0.2 * np.sin(2 * np.pi * 440 * np.arange(RATE // 4)[:, None] / RATE), 2, axis=1).astype(np.float32)


def test_the_silent_way_keeps_time_and_the_sound(tmp_path: Path) -> None:
    """A quarter of a second takes as long, and the file that the remark names holds it."""
    out = open_output("silent", tmp_path)
    try:
        began = time.monotonic()
        out.play(TONE)
        assert time.monotonic() - began < 0.05
        assert out.wait(3.0)
        assert 0.2 <= time.monotonic() - began < 0.6
        assert out.silent
        assert out.remark is not None
        assert str(tmp_path / "unheard.wav") in out.remark
        assert np.abs(read_sound(tmp_path / "unheard.wav")[0] - TONE).max() < 2.0**-22
    finally:
        out.close()


def test_the_file_holds_what_was_to_sound_last(tmp_path: Path) -> None:
    """A second sound takes the first one's place, at its own rate."""
    out = open_output("silent", tmp_path)
    try:
        out.play(TONE)
        out.play(TONE[:4410] * 0.5, 44_100)
        assert out.wait(3.0)
        sound, rate, _ = read_sound(tmp_path / "unheard.wav")
        assert (4410, 44_100) == (len(sound), rate)
    finally:
        out.close()


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """Where the folder can't be made, the sound's time still passes and the remark says why."""
    (tmp_path / "taken").write_text("a file")
    out = open_output("silent", tmp_path / "taken")
    try:
        out.play(TONE)
        assert out.wait(3.0)
        assert out.remark is not None
        assert "can't be kept" in out.remark
    finally:
        out.close()


def test_stop_close_and_what_follows(tmp_path: Path) -> None:
    """A stopped sound ends at once; a closed way out closes again without harm and plays no more."""
    out = open_output("silent", tmp_path)
    out.play(np.tile(TONE, (20, 1)), loop=True)
    assert not out.wait(0.05)
    assert out.playhead_s is not None
    out.stop()
    assert out.wait(0.1)
    out.close()
    out.close()
    with pytest.raises(SoundError, match="closed"):
        out.play(TONE)


def test_other_shapes_are_refused(tmp_path: Path) -> None:
    """A flat array is an error that shows its shape."""
    out = open_output("silent", tmp_path)
    try:
        with pytest.raises(SoundError, match=r"\(100,\)"):
            out.play(np.zeros(100, dtype=np.float32))
    finally:
        out.close()


def test_without_any_library_the_words_name_the_mend(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither sounddevice nor miniaudio: silence, the reason, this system's mend and the file in one line."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    monkeypatch.setitem(sys.modules, "miniaudio", None)
    out = open_output(None, tmp_path)
    try:
        assert out.silent
        assert out.remark is not None
        assert "PortAudio can't be loaded" in out.remark
        assert library_mend() in out.remark
        assert "\n" not in out.remark
    finally:
        out.close()


def test_the_mend_is_this_systems(monkeypatch: pytest.MonkeyPatch) -> None:
    """Debian and its kin are told of libportaudio2, other systems of their own ways (common practice)."""
    monkeypatch.setattr("platform.system", lambda: "Linux")
    for tool, wanted in (("apt", "apt install libportaudio2"), ("dnf", "dnf install portaudio")):
        monkeypatch.setattr("shutil.which", lambda name, tool=tool: name if name == tool else None)
        assert wanted == library_mend()
    monkeypatch.setattr("platform.system", lambda: "Darwin")
    assert "sounddevice" in library_mend()


class _Device:
    """A device under the test's command."""

    name, silent, underflows, latency_s, rate = "test device", False, 0, 0.0, 48_000

    def __init__(self) -> None:
        self.here = True
        self.hang = threading.Event()
        self.hang.set()

    def begin(self) -> None:
        self.began = True

    def alive(self) -> bool:
        return self.here

    def close(self) -> None:
        self.hang.wait()

    def leave_behind(self, closing: threading.Thread) -> None:
        self.left_behind = True


def test_a_device_that_goes_is_followed_by_silence_and_comes_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In mid-sound silence takes over and keeps the whole sound; the next sound finds the device again."""
    first, second = _Device(), _Device()
    devices = iter([first, second])
    monkeypatch.setattr(search, "open_portaudio", lambda *_: next(devices))
    out = open_output(None, tmp_path)
    try:
        assert out.remark is None
        out.play(TONE)
        first.here = False
        assert out.wait(3.0)
        assert out.silent
        assert out.remark is not None
        assert "test device went away" in out.remark
        assert len(TONE) == len(read_sound(tmp_path / "unheard.wav")[0])
        out.play(TONE)
        assert not out.silent
        assert "the sound is back: test device" == out.remark
    finally:
        out.close()


def test_a_device_that_hangs_is_left_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A close that never comes back holds up neither the next sound nor the end."""
    stuck = _Device()
    stuck.hang.clear()
    opened = iter([stuck])

    def opener(*_: object) -> _Device:
        try:
            return next(opened)
        except StopIteration:
            raise NoSink("gone", "bring it back") from None

    monkeypatch.setattr(search, "open_portaudio", opener)
    monkeypatch.setattr(search, "open_miniaudio", opener)
    out = open_output(None, tmp_path)
    out.play(TONE)
    stuck.here = False
    assert out.wait(3.0)
    began = time.monotonic()
    out.play(TONE)
    assert time.monotonic() - began < 1.0
    out.close()
    assert time.monotonic() - began < 3.0
    stuck.hang.set()


def test_a_device_slow_to_answer_comes_in_later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A sound begins in silence while a device is still being opened, and goes on from it."""
    came = threading.Event()

    def slow(*_: object) -> _Device:
        if not came.wait(5.0):
            raise NoSink("late", "wait")
        return _Device()

    def none(*_: object) -> _Device:
        raise NoSink("none", "none")

    monkeypatch.setattr(search, "open_portaudio", none)
    monkeypatch.setattr(search, "open_miniaudio", none)
    out = open_output(None, tmp_path)
    try:
        monkeypatch.setattr(search, "open_portaudio", slow)
        monkeypatch.setattr(output_module, "AGAIN_S", 0.0)
        began = time.monotonic()
        out.play(np.tile(TONE, (12, 1)))
        assert time.monotonic() - began < 1.0
        assert out.silent
        came.set()
        deadline = time.monotonic() + 3.0
        while out.silent and time.monotonic() < deadline:
            assert not out.wait(0.02)
        assert not out.silent
    finally:
        came.set()
        out.close()


def test_a_call_within_its_limit() -> None:
    """Results and errors come through; a late result is handed on; a hang is told in time."""
    assert 7 == within(1.0, lambda: 7)
    with pytest.raises(ZeroDivisionError):
        within(1.0, lambda: 1 // 0)
    gate, late = threading.Event(), []
    began = time.monotonic()
    with pytest.raises(Hanging) as caught:
        within(0.05, lambda: gate.wait(5.0), late.append)
    assert time.monotonic() - began < 1.0
    gate.set()
    caught.value.thread.join(2.0)
    assert [True] == late


def test_probing_answers_without_any_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without sounddevice, miniaudio and rtmidi each thing is answered, with its mend."""
    for name in ("sounddevice", "miniaudio", "rtmidi"):
        monkeypatch.setitem(sys.modules, name, None)
    monkeypatch.setenv("MIDO_BACKEND", "mido.backends.rtmidi")
    found = probe()
    assert ["sound out", "sound in", "MIDI in"] == [finding.thing for finding in found]
    assert not any(finding.works for finding in found)
    assert all(finding.mend for finding in found)
    assert library_mend() == found[0].mend


def test_no_sound_library_is_loaded_before_it_is_needed() -> None:
    """Importing every module of synth loads neither a sound library nor scipy."""
    code = (
        "import sys, pkgutil, importlib, synth\n"
        "for found in pkgutil.walk_packages(synth.__path__, 'synth.'): importlib.import_module(found.name)\n"
        "print(sorted({'sounddevice', 'miniaudio', 'rtmidi', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "[]" == done.stdout.strip()


def test_noise_is_diverted(tmp_path: Path) -> None:
    """What a library writes to file descriptor 2 goes to the log, Python's own remarks where they went."""
    code = (
        "import os, sys, pathlib\n"
        "from synth.noise import divert_noise\n"
        "divert_noise(pathlib.Path(sys.argv[1]))\n"
        "os.write(2, b'from a library')\n"
        "print('from us', file=sys.stderr)"
    )
    log = tmp_path / "noise.log"
    done = subprocess.run([sys.executable, "-c", code, str(log)], capture_output=True, text=True, check=True)
    assert "from us" == done.stderr.strip()
    assert "from a library" == log.read_text()


def test_the_twin_is_an_output() -> None:
    """The in-memory twin does what the port promises: it plays, ends when waited for, and remembers."""
    twin: Output = SoundTwin()
    twin.play(TONE, from_s=0.5)
    assert 0.5 == twin.playhead_s
    assert twin.wait(1.0)
    assert twin.playhead_s is None
    twin.close()
    assert isinstance(twin, SoundTwin)
    assert twin.closed
    assert 1 == len(twin.played)


def test_the_library_is_where_the_loader_finds_it() -> None:
    """The loader's answer about PortAudio and ours agree."""
    has = ctypes.util.find_library("portaudio") is not None
    code = "from synth.outputs.portaudio import library\nlibrary()"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    if sys.platform == "linux":
        assert has == (done.returncode == 0)
