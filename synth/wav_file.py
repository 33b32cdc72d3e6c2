"""Sound files: 24-bit WAV and FLAC, with the title and the tempo in their tags."""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final

import numpy as np
import soundfile
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.whole_file import written_whole

Samples = NDArray[np.float32]

FORMATS: Final = {".wav": "WAV", ".flac": "FLAC"}

KEPT_TAGS: Final = ("title", "artist", "album", "comment", "date", "genre", "copyright", "software")
"""Tags that both formats have a place for; any other goes into the comment as "name: value"."""


def write_sound(path: Path, samples: Samples, rate: int, tags: Mapping[str, str] | None = None) -> None:
    """Write samples (frames, channels) within ±1 to a file whose suffix says the format.

    Raises SoundError when the suffix, the samples or the place won't do; an old file then stays.
    """
    kind = FORMATS.get(path.suffix.lower())
    if kind is None:
        raise SoundError(f"{path}: a sound file ends in {' or '.join(FORMATS)}")
    if not np.isfinite(samples).all() or np.abs(samples).max(initial=0.0) > 1.0:
        raise SoundError(f"{path}: the sound is louder than full scale; level it first")
    kept = {name: text for name, text in (tags or {}).items() if name in KEPT_TAGS and text}
    others = [f"{name}: {text}" for name, text in (tags or {}).items() if name not in KEPT_TAGS and text]
    if others:
        kept["comment"] = "; ".join([kept["comment"], *others] if "comment" in kept else others)
    with written_whole(path) as beside:
        try:
            with soundfile.SoundFile(
                beside, "w", samplerate=rate, channels=samples.shape[1], subtype="PCM_24", format=kind
            ) as file:
                for name, text in kept.items():
                    setattr(file, name, text)
                file.write(samples)
        except soundfile.LibsndfileError as error:
            raise SoundError(f"{path}: can't be written: {error.error_string}") from error


def read_sound(path: Path) -> tuple[Samples, int, dict[str, str]]:
    """Return samples (frames, channels), sample rate and tags of a sound file."""
    try:
        with soundfile.SoundFile(path) as file:
            samples = file.read(dtype="float32", always_2d=True)
            tags = {name: text for name in KEPT_TAGS if (text := getattr(file, name))}
            return samples, file.samplerate, tags
    except soundfile.LibsndfileError as error:
        raise SoundError(f"{path}: can't be read: {error.error_string}") from error


def write_pieces(path: Path, pieces: Iterable[Samples], rate: int) -> None:
    """Write a sound that comes piece by piece, each (frames, 2) within ±1, to a 24-bit WAV file."""
    with written_whole(path) as beside:
        try:
            with soundfile.SoundFile(beside, "w", samplerate=rate, channels=2, subtype="PCM_24", format="WAV") as file:
                for piece in pieces:
                    file.write(piece)
        except soundfile.LibsndfileError as error:
            raise SoundError(f"{path}: can't be written: {error.error_string}") from error
