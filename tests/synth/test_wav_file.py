"""Sound files: written, read back, and refused with reasons."""

from pathlib import Path

import numpy as np
import pytest
import soundfile

from synth.errors import SoundError
from synth.level import leveled
from synth.render import render
from synth.wav_file import read_sound, write_sound
from tests.synth.scores import RATE, comping

TAGS = {"title": "Fog on the Quay, öfter", "tempo": "132", "comment": "an invented tune"}


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".WAV"])
def test_writing_then_reading_is_the_identity(tmp_path: Path, suffix: str) -> None:
    """Samples come back to half a step of 24 bits, with rate, title and tempo."""
    sound = leveled(render(comping(2)), RATE)
    write_sound(tmp_path / f"tune{suffix}", sound, RATE, TAGS)
    back, rate, tags = read_sound(tmp_path / f"tune{suffix}")
    assert RATE == rate
    assert np.abs(back - sound).max() <= 2.0**-23
    assert TAGS["title"] == tags["title"]
    assert "an invented tune; tempo: 132" == tags["comment"]


@pytest.mark.parametrize(("suffix", "kind"), [(".wav", "WAV"), (".flac", "FLAC")])
def test_files_have_24_bits(tmp_path: Path, suffix: str, kind: str) -> None:
    """The library sees 24-bit stereo of the kind the suffix says."""
    write_sound(tmp_path / f"a{suffix}", np.zeros((480, 2), dtype=np.float32), 44_100)
    found = soundfile.info(tmp_path / f"a{suffix}")
    assert (kind, "PCM_24", 2, 44_100, 480) == (
        found.format, found.subtype, found.channels, found.samplerate, found.frames,
    )  # fmt: skip


def test_an_unknown_suffix_is_refused(tmp_path: Path) -> None:
    """The message says which suffixes there are, and nothing is written."""
    with pytest.raises(SoundError, match=r"\.wav or \.flac"):
        write_sound(tmp_path / "tune.mp3", np.zeros((10, 2), dtype=np.float32), RATE)
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize("bad", [1.5, np.nan])
def test_what_would_clip_is_refused(tmp_path: Path, bad: float) -> None:
    """Sound beyond full scale is never cut off in silence."""
    with pytest.raises(SoundError, match="level it first"):
        write_sound(tmp_path / "a.wav", np.full((10, 2), bad, dtype=np.float32), RATE)


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    """Where no file can be, the message names the place."""
    with pytest.raises(SoundError, match="nowhere"):
        write_sound(tmp_path / "nowhere" / "a.wav", np.zeros((10, 2), dtype=np.float32), RATE)


def test_a_folder_in_the_way_is_told(tmp_path: Path) -> None:
    """A folder of the wanted name stays, and nothing else is left."""
    (tmp_path / "a.wav").mkdir()
    with pytest.raises(SoundError, match=r"a\.wav"):
        write_sound(tmp_path / "a.wav", np.zeros((10, 2), dtype=np.float32), RATE)
    assert ["a.wav"] == [path.name for path in tmp_path.iterdir()]


def test_an_old_file_stays_whole_when_writing_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A failure in mid-writing leaves the old file and nothing beside it."""
    path = tmp_path / "a.wav"
    path.write_bytes(b"as it was")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(soundfile.SoundFile, "write", full)
    with pytest.raises(SoundError, match="No space left"):
        write_sound(path, np.zeros((10, 2), dtype=np.float32), RATE)
    assert b"as it was" == path.read_bytes()
    assert [path] == list(tmp_path.iterdir())


def test_what_is_no_sound_file_is_told(tmp_path: Path) -> None:
    """Reading text, or nothing, is an error that names the file."""
    (tmp_path / "a.wav").write_text("no sound")
    for name in ("a.wav", "b.wav"):
        with pytest.raises(SoundError, match=name):
            read_sound(tmp_path / name)
