"""`keyfarer play`: a tune on the sound device, or into a WAV, FLAC or MIDI file.

What is played is rendered whole and leveled before its first sound, so that no tune startles.
"""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from synth.score import Score
from trainer.charts.chart import Chart
from trainer.charts.library import ChartSource, find_charts, load
from trainer.charts.transpose import moved_key
from trainer.commands.instrument import INSTRUMENTS, Instrument, instrument_told
from trainer.commands.options import PlayOptions
from trainer.commands.play_score import PlayError, left_out, score_of
from trainer.commands.player import player_settings
from trainer.commands.reports import told_remark
from trainer.commands.words import counted, lasting
from trainer.harmony.key import parse_key
from trainer.settings import Settings

if TYPE_CHECKING:  # a MIDI file needs no arrays
    import numpy as np
    from numpy.typing import NDArray

    from synth.output import Output

RATE_HZ = 48_000
LONGEST_S = 20 * 60
"""A sound is made whole before it begins; this much takes half a gigabyte."""
SOUND_SUFFIXES = (".wav", ".flac")
MIDI_SUFFIX = ".mid"
LOOK_S = 0.1
"""How often the playhead is looked at."""


def run_play(options: PlayOptions) -> int:
    """Play or write one tune. Raises KeyfarerError, SoundError."""
    if options.to is not None:
        _check_target(options.to)
    settings = player_settings()
    if options.to is not None and options.loop:
        raise PlayError("--loop: a file can't go round for ever; ask for --choruses")
    chart = load(_one_chart(options.file))
    score = score_of(options, chart)
    if unused := left_out(options):
        told_remark(f"--what {options.what} leaves {', '.join(unused)} out")
    if options.to is not None and options.to.suffix.lower() == MIDI_SUFFIX:
        from synth.midi_file import write_midi

        write_midi(options.to, score)
        notes = sum(note.part not in ("click", "brush") for note in score.notes)
        click.echo(f"wrote {options.to}: {lasting(score.duration_s)}, {counted(notes, 'note')}")
        return 0
    if score.duration_s > LONGEST_S:
        raise PlayError(
            f"this would last {lasting(score.duration_s)}; the most is {lasting(LONGEST_S)}: "
            "ask for fewer choruses, fewer bars or a higher tempo"
        )
    if options.to is not None:
        _write(options.to, score, chart, bool(options.rise), settings)
    else:
        _sound(score, settings, options.quiet, options.loop)
    return 0


def _one_chart(name: str) -> ChartSource:
    if Path(name).is_dir():
        raise PlayError(f"{name}: found a folder; expected one chart: name a file in it")
    (found,) = find_charts((name,))
    if not isinstance(found, ChartSource):
        raise found
    return found


def _check_target(path: Path) -> None:
    """Refuse a file that can't be written before anything is made."""
    if path.suffix.lower() not in (*SOUND_SUFFIXES, MIDI_SUFFIX):
        expected = ", ".join(SOUND_SUFFIXES) + f" or {MIDI_SUFFIX}"
        raise PlayError(f"{path}: found {path.suffix or 'no suffix'!r}; expected a name that ends in {expected}")
    folder = path.parent
    if path.is_dir():
        raise PlayError(f"{path}: found a folder of that name; expected a file's name")
    if not folder.is_dir():
        raise PlayError(f"{path}: there is no folder {folder}; make it first, or choose another place")
    if not os.access(folder, os.W_OK):
        raise PlayError(f"{path}: you may not write in the folder {folder}; choose another place")


def _leveled(score: Score, settings: Settings) -> "NDArray[np.float32]":
    from synth.level import leveled
    from synth.render import render

    return leveled(render(score, RATE_HZ, settings.a4_hz), RATE_HZ)


def _write(path: Path, score: Score, chart: Chart, moves: bool, settings: Settings) -> None:
    """Write it as sound; moves: whether it leaves its first key."""
    from synth.level import level
    from synth.render import render
    from synth.wav_file import write_sound

    sound = render(score, RATE_HZ, settings.a4_hz)
    sound_leveled = level(sound, RATE_HZ, out=sound)
    tags = {
        "title": score.title,
        "artist": chart.composer or "",
        "key": "" if moves else score.key_signature or "",
        "tempo": f"{score.tempos[0].quarters_per_minute:g}",
        "software": "keyfarer",
    }
    write_sound(path, sound_leveled.samples, RATE_HZ, tags)
    click.echo(
        f"wrote {path}: {lasting(len(sound) / RATE_HZ)}, {sound_leveled.lufs:.1f} LUFS, "
        f"peak {sound_leveled.peak_dbtp:.1f} dBTP"
    )


def _sound(score: Score, settings: Settings, quiet: bool, loop: bool) -> None:
    """Play it; where nothing can be heard, say so and name the file that holds it."""
    from synth.noise import divert_noise
    from synth.output import open_output
    from trainer.places import silent_sound_folder

    samples = _leveled(score, settings)
    divert_noise()
    output = open_output(settings.device or None, silent_sound_folder())
    try:
        _heard(output, samples, score, settings, quiet, loop)
    finally:
        output.close()


def _heard(
    output: "Output", samples: "NDArray[np.float32]", score: Score, settings: Settings, quiet: bool, loop: bool
) -> None:
    output.volume = 10.0 ** (settings.volume_db / 20.0)
    if output.remark and not output.silent:
        told_remark(output.remark)
    output.play(samples, RATE_HZ, loop=loop)
    _follow(output, () if quiet else told_words(score, cast(Instrument, settings.instrument)))
    if output.silent:
        output.stop()
        output.wait()  # until the file is written
        told_remark(output.remark or "nothing here can play sound")


def _follow(output: "Output", words: "Iterator[tuple[float, str]] | tuple[()]") -> None:
    """Say each word when it is heard; ends with the sound, or when nothing can be heard any more."""
    for at_s, text in words:
        while (head := output.playhead_s) is not None and head < at_s and not output.silent:
            output.wait(min(LOOK_S, at_s - head))
        if output.silent or head is None:
            break
        click.echo(text)
    while not output.silent and not output.wait(LOOK_S):
        pass


def told_words(score: Score, instrument: Instrument) -> Iterator[tuple[float, str]]:
    """When each section and key center comes, in seconds, and what to say then, written for an instrument."""
    together: dict[float, list[str]] = {}
    for marker in score.markers:
        if marker.kind in ("section", "center"):
            told = marker.text if marker.kind == "section" else f"in {_center(marker.text, instrument)}"
            together.setdefault(marker.at_s, []).append(told)
    yield 0.0, score.title or "(no title)"
    if told := instrument_told(instrument):
        yield 0.0, told
    for at_s, texts in together.items():
        yield at_s, "  " + ", ".join(sorted(texts, key=lambda text: text.startswith("in ")))


def _center(text: str, instrument: Instrument) -> str:
    """A key center as an instrument reads it."""
    semitones, _ = INSTRUMENTS[instrument]
    return moved_key(parse_key(text), semitones).name if semitones else text
