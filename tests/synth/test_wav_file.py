"""Sound files: written, read back by libsndfile and by mutagen, and refused with reasons.

Sources: "Multimedia Programming Interface and Data Specifications 1.0" (1991) as libsndfile reads it; ID3 2.4.0
and Vorbis comments as mutagen reads them.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
from mutagen.flac import FLAC
from mutagen.wave import WAVE
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.level import leveled
from synth.render import render
from synth.riff import wav_bytes
from synth.wav_file import KEPT_TAGS, read_sound, write_sound
from tests.synth.scores import RATE, comping

TAGS = {"title": "Fog on the Quay, öfter", "tempo": "132", "comment": "an invented tune"}


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".WAV"])
def test_writing_then_reading_is_the_identity(tmp_path: Path, suffix: str) -> None:
    """Samples come back to half a step of 24 bits, with rate, title and tempo."""
    sound = leveled(render(comping(2)), RATE)
    write_sound(tmp_path / f"tune{suffix}", sound, RATE, TAGS)
    back, rate, tags = read_sound(tmp_path / f"tune{suffix}")
    assert RATE == rate
    assert np.abs(back - sound).max() <= 2.0**-24
    assert TAGS["title"] == tags["title"]
    assert "an invented tune; tempo: 132" == tags["comment"]


ALL_TAGS = {
    "title": "Fog on the Quay, öfter", "artist": "Ottilie Brandt", "album": "Fogs", "tracknumber": "7/12",
    "comment": "an invented tune", "date": "2026", "genre": "Jazz", "copyright": "nobody", "software": "keyfarer",
    "key": "F#m", "tempo": "97.6",
}  # fmt: skip


def written(folder: Path, suffix: str) -> Path:
    """A file with every tag."""
    path = folder / f"tune{suffix}"
    write_sound(path, np.zeros((480, 2), dtype=np.float32), RATE, ALL_TAGS)
    return path


@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_libsndfile_reads_every_tag(tmp_path: Path, suffix: str) -> None:
    """What both formats have a place for comes back as it was; key and tempo stand in the comment."""
    with soundfile.SoundFile(written(tmp_path, suffix)) as file:
        told = {name: getattr(file, name) for name in KEPT_TAGS}
    assert told.pop("software").startswith("keyfarer")  # libsndfile adds its own name where it writes
    wanted = {name: ALL_TAGS[name] for name in told} | {"comment": "an invented tune; key: F#m; tempo: 97.6"}
    assert wanted == told


def test_mutagen_reads_the_tags_of_a_wav_file(tmp_path: Path) -> None:
    """The ID3 chunk has all of it: key and tempo in frames of their own, the tempo a whole number."""
    found = {name: str(frame) for name, frame in WAVE(written(tmp_path, ".wav")).tags.items()}
    assert {
        "TIT2": "Fog on the Quay, öfter", "TPE1": "Ottilie Brandt", "TALB": "Fogs", "TRCK": "7/12",
        "COMM::und": "an invented tune; key: F#m; tempo: 97.6", "TDRC": "2026", "TCON": "Jazz", "TCOP": "nobody",
        "TSSE": "keyfarer", "TKEY": "F#m", "TBPM": "98",
    } == found  # fmt: skip


def test_mutagen_reads_the_tags_of_a_flac_file(tmp_path: Path) -> None:
    """Vorbis comments have what libsndfile has a name for."""
    found = {name.lower(): text for name, text in FLAC(written(tmp_path, ".flac")).tags}
    assert found.pop("software").startswith("keyfarer")
    wanted = {name: ALL_TAGS[name] for name in KEPT_TAGS if name != "software"}
    assert wanted | {"comment": "an invented tune; key: F#m; tempo: 97.6"} == found


def test_both_formats_hold_the_same_samples(tmp_path: Path) -> None:
    """To the bit, full scale at both ends included, odd lengths and one channel too."""
    draw = np.random.default_rng(3)
    for frames, channels in ((1, 1), (40_001, 1), (70_000, 2)):
        sound = draw.uniform(-1, 1, (frames, channels)).astype(np.float32)
        sound[0], sound[-1] = 1.0, -1.0
        for suffix in (".wav", ".flac"):
            write_sound(tmp_path / f"a{suffix}", sound, RATE)
        one, other = (soundfile.read(tmp_path / f"a{suffix}", dtype="int32")[0] for suffix in (".wav", ".flac"))
        assert np.array_equal(one, other)
        assert -(2**31) == one.min()


def test_samples_are_those_of_another_writer(tmp_path: Path) -> None:
    """Libsndfile's own WAV of the same sound has the same samples to one step of 24 bits."""
    sound = leveled(render(comping(1)), RATE)
    write_sound(tmp_path / "ours.wav", sound, RATE)
    soundfile.write(tmp_path / "theirs.wav", sound, RATE, subtype="PCM_24")
    ours, theirs = (soundfile.read(tmp_path / f"{who}.wav", dtype="int32")[0] for who in ("ours", "theirs"))
    assert np.abs((ours >> 8) - (theirs >> 8)).max() <= 1


def test_what_a_wav_file_cannot_hold_is_told(tmp_path: Path) -> None:
    """More than four gigabytes are refused before anything is written."""
    endless = np.broadcast_to(np.zeros((1, 2), dtype=np.float32), (1 << 30, 2))
    with pytest.raises(ValueError, match="4 gigabytes"):
        next(wav_bytes(endless, RATE, {}))


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


@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_an_old_file_stays_whole_when_writing_fails(
    tmp_path: Path, suffix: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A failure in mid-writing leaves the old file and nothing beside it."""
    path = tmp_path / f"a{suffix}"
    path.write_bytes(b"as it was")

    def full(*_: object) -> Iterator[NDArray[np.int32]]:
        yield np.zeros((5, 2), dtype=np.int32)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("synth.riff.steps_of_24_bits", full)
    monkeypatch.setattr("synth.wav_file.steps_of_24_bits", full)
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
