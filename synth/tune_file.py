"""A score's sound as a file: rendered, put into a room, brought to its level, written."""

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from synth.score import Score

RATE_HZ = 48_000


class TuneFile(NamedTuple):
    """What is to be written."""

    path: Path
    """Its suffix says the format: .wav or .flac."""
    score: Score
    a4_hz: float
    room: float
    """0 is none, 1 the most."""
    tags: Mapping[str, str]


class Written(NamedTuple):
    """What a written file measures."""

    duration_s: float
    lufs: float
    peak_dbtp: float


def write_tune(wanted: TuneFile) -> Written:
    """Write the file. Raises SoundError."""
    from synth.level import level
    from synth.render import render
    from synth.room import in_room
    from synth.wav_file import write_sound

    sound = in_room(render(wanted.score, RATE_HZ, wanted.a4_hz), RATE_HZ, wanted.room)
    leveled = level(sound, RATE_HZ, out=sound)
    write_sound(wanted.path, leveled.samples, RATE_HZ, wanted.tags)
    return Written(len(sound) / RATE_HZ, leveled.lufs, leveled.peak_dbtp)


def warm_up() -> None:
    """Load and work out beforehand all that doesn't hang on the score."""
    from importlib import import_module

    from synth.loudness import weighting_matrices
    from synth.peaks import recommended, sharper
    from synth.render import render
    from synth.room import in_room
    from synth.score import Note, TempoChange

    import_module("synth.wav_file")
    weighting_matrices(RATE_HZ)
    recommended()
    sharper()
    moment = Score((Note(0.0, 0.1, 60, 64, "keys"),), 3.0, (TempoChange(0.0, 120.0),), ())
    in_room(render(moment, RATE_HZ), RATE_HZ, 1.0)
