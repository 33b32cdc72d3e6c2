"""Choosing a device and hearing through a microphone, on real ones: run by test_device.py."""

import os
import subprocess
import time
from pathlib import Path

import numpy as np
import pytest

from synth.devices import devices_out, try_device
from synth.errors import SoundError
from synth.microphone import open_microphone
from synth.output import Output, open_output
from synth.wav_file import write_pieces
from tests.synth.devices import out, question, recorded, server, server_runs, until
from tests.synth.scores import RATE, cents, strongest_hz

__all__ = ["out", "server_runs"]

SPEAKER, FEED = os.environ["VSOUND_SPEAKER"], os.environ["VSOUND_MIC_FEED"]
TONE_HZ = 440.0


def tone(seconds: float, amplitude: float = 0.5) -> np.ndarray:
    """A stereo sine."""
    wave = amplitude * np.sin(2 * np.pi * TONE_HZ * np.arange(round(seconds * RATE)) / RATE)
    return np.repeat(wave[:, None], 2, axis=1).astype(np.float32)


def test_the_devices_there_are_known_by_name() -> None:
    """The loudspeaker and what feeds the microphone are listed, and each can be opened by its name."""
    names = devices_out()
    assert {SPEAKER, FEED} <= set(names)
    assert SPEAKER == try_device(SPEAKER)
    with pytest.raises(SoundError, match="nowhere"):
        try_device("nowhere")


def test_the_sound_moves_to_the_device_that_is_chosen(out: Output, tmp_path: Path) -> None:
    """In mid-sound it leaves one device without a click and goes on through the other, where it is heard."""
    out.move(FEED)
    assert FEED == out.name
    out.play(tone(4.0))
    time.sleep(0.5)
    with recorded(tmp_path) as recording:
        time.sleep(0.3)
        out.move(SPEAKER)
        assert SPEAKER == out.name
        place = out.place_s
        assert place is not None
        assert 0.5 < place < 3.0
        time.sleep(0.8)
        out.stop()
        assert out.wait(1.0)
    heard = recording.sounding[:, 0]
    assert len(heard) / RATE > 0.4
    assert pytest.approx(0.0, abs=2.0) == cents(strongest_hz(heard, TONE_HZ), TONE_HZ)
    assert np.abs(np.diff(heard)).max() <= 0.5 * 2 * np.pi * TONE_HZ / RATE * 1.1
    assert out.remark is None


def test_a_device_that_is_not_there_leaves_the_sound_where_it_was(out: Output, tmp_path: Path) -> None:
    """The one before goes on in mid-sound, to the sample."""
    sound = question()
    with recorded(tmp_path) as recording:
        out.play(sound)
        time.sleep(0.1)
        with pytest.raises(SoundError, match="nowhere"):
            out.move("nowhere")
        assert not out.silent
        assert out.wait(5.0)
    audible = np.flatnonzero(np.abs(sound).max(axis=1) > 1e-7)
    assert np.array_equal(sound[audible[0] : audible[-1] + 1], recording.sounding)


def test_while_the_server_is_away_nothing_can_be_chosen(out: Output) -> None:
    """It is told in words, and when the server is back the choice works."""
    server("stop")
    until(lambda: out.silent, 5.0)
    with pytest.raises(SoundError, match="mend: "):
        out.move(SPEAKER)
    server("start")
    out.move(SPEAKER)
    assert not out.silent
    out.play(question())
    assert out.wait(5.0)


def test_the_microphone_shows_how_loud_it_is(tmp_path: Path) -> None:
    """A sine of amplitude 0.5 played to it is -9.03 dBFS (closed form); before and after there is silence."""
    write_pieces(tmp_path / "tone.wav", iter([tone(2.5)]), RATE)
    microphone = open_microphone()
    try:
        until(lambda: microphone.open, 2.0)
        assert microphone.level().rms_dbfs < -90.0
        with subprocess.Popen(["paplay", f"--device={FEED}", str(tmp_path / "tone.wav")]) as player:
            until(lambda: microphone.level().rms_dbfs > -12.0, 5.0)
            time.sleep(0.5)
            level = microphone.level()
            player.wait(10)
        assert pytest.approx(-9.03, abs=0.3) == level.rms_dbfs
        assert pytest.approx(-6.02, abs=0.3) == level.peak_dbfs
        until(lambda: microphone.level().rms_dbfs < -90.0, 3.0)
    finally:
        microphone.close()
    assert not microphone.open


def test_sound_goes_out_while_the_microphone_listens(out: Output, tmp_path: Path) -> None:
    """Opening and closing it, and another device for the sound meanwhile, disturb neither."""
    out.move(FEED)
    out.play(tone(3.0))
    microphone = open_microphone()
    until(lambda: microphone.level().rms_dbfs > -12.0, 5.0)
    with recorded(tmp_path) as recording:
        out.move(SPEAKER)
        assert microphone.open
        time.sleep(0.5)
        assert microphone.level().rms_dbfs < -60.0
        microphone.close()
        time.sleep(0.3)
        out.stop()
        assert out.wait(1.0)
    heard = recording.sounding[:, 0]
    assert np.abs(np.diff(heard)).max() <= 0.5 * 2 * np.pi * TONE_HZ / RATE * 1.1
    assert not out.silent
    assert 0 == out.dropouts


def test_a_microphone_that_goes_away_is_known() -> None:
    """When the server dies the microphone is no longer open, closing is quick, and a new one can be opened."""
    microphone = open_microphone()
    until(lambda: microphone.open, 2.0)
    server("kill")
    until(lambda: not microphone.open, 5.0)
    began = time.monotonic()
    microphone.close()
    assert time.monotonic() - began < 3.0
    with pytest.raises(SoundError, match="mend: "):
        open_microphone()
    server("start")
    opened = open_output(SPEAKER)  # the library is begun anew with it
    again = open_microphone()
    until(lambda: again.open, 2.0)
    again.close()
    opened.close()
