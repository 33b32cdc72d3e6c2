"""Sound files: 24-bit WAV and FLAC with their tags; both hold the same samples.

WAV is written here (`synth/riff.py`), FLAC by libsndfile, and so is a WAV file whose length isn't known yet.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.peaks import sample_peak
from synth.riff import steps_of_24_bits, wav_bytes
from synth.whole_file import written_whole

Samples = NDArray[np.float32]

FORMATS: Final = (".wav", ".flac")

KEPT_TAGS: Final = (
    "title", "artist", "album", "tracknumber", "comment", "date", "genre", "copyright", "software",
)  # fmt: skip
"""Tags that both formats have a place for; any other goes into the comment as "name: value"."""


def write_sound(path: Path, samples: Samples, rate: int, tags: Mapping[str, str] | None = None) -> None:
    """Write samples (frames, channels) within ±1 to a file whose suffix says the format.

    Tags are KEPT_TAGS, key and tempo, or others; those without a place go into the comment, and key and
    tempo go there too, for few programs show them. Empty ones are left out.
    Raises SoundError when the suffix, the samples or the place won't do; an old file then stays.
    """
    kind = path.suffix.lower()
    if kind not in FORMATS:
        raise SoundError(f"{path}: a sound file ends in {' or '.join(FORMATS)}")
    if not sample_peak(samples) <= 1.0:  # nor is what is no number
        raise SoundError(f"{path}: the sound is louder than full scale; level it first")
    with written_whole(path) as beside:
        if kind == ".wav":
            _write_wav(beside, samples, rate, _told(tags or {}))
        else:
            _write_flac(path, beside, samples, rate, _told(tags or {}))


def _told(tags: Mapping[str, str]) -> dict[str, str]:
    """Return the tags that say something, with what few programs show in the comment as well."""
    kept = {name: text.replace("\0", " ") for name, text in tags.items() if text}
    others = [f"{name}: {text}" for name, text in kept.items() if name not in KEPT_TAGS]
    if others:
        kept["comment"] = "; ".join([kept["comment"], *others] if "comment" in kept else others)
    return kept


def _write_wav(beside: Path, samples: Samples, rate: int, tags: Mapping[str, str]) -> None:
    try:
        with beside.open("wb") as file:
            for piece in wav_bytes(samples, rate, tags):
                file.write(piece)
    except ValueError as error:
        raise SoundError(str(error)) from error


def _write_flac(path: Path, beside: Path, samples: Samples, rate: int, tags: Mapping[str, str]) -> None:
    import soundfile

    try:
        with soundfile.SoundFile(
            beside, "w", samplerate=rate, channels=samples.shape[1], subtype="PCM_24", format="FLAC"
        ) as file:
            for name, text in tags.items():
                if name in KEPT_TAGS:
                    setattr(file, name, text)
            for steps in steps_of_24_bits(samples):
                file.write(steps << 8)
    except soundfile.LibsndfileError as error:
        raise SoundError(f"{path}: can't be written: {error.error_string}") from error


def read_sound(path: Path) -> tuple[Samples, int, dict[str, str]]:
    """Return samples (frames, channels), sample rate and tags of a sound file."""
    import soundfile

    try:
        with soundfile.SoundFile(path) as file:
            samples = file.read(dtype="float32", always_2d=True)
            tags = {name: text for name in KEPT_TAGS if (text := getattr(file, name))}
            return samples, file.samplerate, tags
    except soundfile.LibsndfileError as error:
        raise SoundError(f"{path}: can't be read: {error.error_string}") from error


def write_pieces(path: Path, pieces: Iterable[Samples], rate: int) -> None:
    """Write a sound that comes piece by piece, each (frames, 2) within ±1, to a 24-bit WAV file."""
    import soundfile

    with written_whole(path) as beside:
        try:
            with soundfile.SoundFile(beside, "w", samplerate=rate, channels=2, subtype="PCM_24", format="WAV") as file:
                for piece in pieces:
                    file.write(piece)
        except soundfile.LibsndfileError as error:
            raise SoundError(f"{path}: can't be written: {error.error_string}") from error
