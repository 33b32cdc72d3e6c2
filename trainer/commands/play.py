"""`keyfarer play`: a tune on the sound device, handled by keys or words, or into a WAV, FLAC or MIDI file.

How loud a tune is is known before its first sound, so that none startles; its sound is made while it plays.
"""

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import cast

import click

from synth.score import Score
from synth.tune_file import TuneFile, Written, write_tune
from trainer.charts.chart import Chart
from trainer.charts.library import ChartSource, find_charts, load
from trainer.charts.unfold import DEFAULT_TEMPO_BPM
from trainer.commands.at_hand import Tune
from trainer.commands.instrument import Instrument
from trainer.commands.options import PlayOptions
from trainer.commands.play_score import PlayError, left_out, manners_of, perform
from trainer.commands.player import player_settings
from trainer.commands.reports import told_remark
from trainer.commands.words import counted, lasting
from trainer.harmony.note_names import Naming
from trainer.settings import Settings
from trainer.voicing.sheet import Performance

LONGEST_S = 20 * 60
"""A file's sound is made whole before it is written; this much takes half a gigabyte."""
SOUND_SUFFIXES = (".wav", ".flac")
MIDI_SUFFIX = ".mid"


def run_play(options: PlayOptions, write: Callable[[TuneFile], Written] = write_tune) -> int:
    """Play or write one tune. Raises KeyfarerError, SoundError.

    write: what writes a sound file.
    """
    if options.to is not None:
        check_target(options.to)
    settings = player_settings()
    if options.to is not None and options.loop:
        raise PlayError("--loop: a file can't go round for ever; ask for --choruses")
    chart = load(_one_chart(options.file))
    performance = perform(options, chart, settings)
    if unused := left_out(options):
        told_remark(f"--what {options.what} leaves {', '.join(unused)} out")
    if options.to is None:
        _sound(performance, options, chart, settings)
        return 0
    score = performance.score
    if options.to.suffix.lower() == MIDI_SUFFIX:
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
    room = manners_of(options, settings).room
    written = write(_tune_file(options.to, score, chart, bool(options.rise), settings, room))
    click.echo(
        f"wrote {options.to}: {lasting(written.duration_s)}, {written.lufs:.1f} LUFS, peak {written.peak_dbtp:.1f} dBTP"
    )
    return 0


def _one_chart(name: str) -> ChartSource:
    if Path(name).is_dir():
        raise PlayError(f"{name}: found a folder; expected one chart: name a file in it")
    (found,) = find_charts((name,))
    if not isinstance(found, ChartSource):
        raise found
    return found


def check_target(path: Path) -> None:
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


def _tune_file(path: Path, score: Score, chart: Chart, moves: bool, settings: Settings, room: float) -> TuneFile:
    """Return what is to be written; moves: whether it leaves its first key."""
    tags = {
        "title": score.title,
        "artist": chart.composer or "",
        "key": "" if moves else score.key_signature or "",
        "tempo": f"{score.tempos[0].quarters_per_minute:g}",
        "software": "keyfarer",
    }
    return TuneFile(path, score, settings.a4_hz, room, tags)


def _sound(performance: Performance, options: PlayOptions, chart: Chart, settings: Settings) -> None:
    """Play it; where nothing can be heard, say so and name the file that holds it."""
    from synth.noise import divert_noise
    from synth.output import open_output
    from synth.player import Player
    from trainer.places import silent_sound_folder

    divert_noise()
    output = open_output(settings.device or None, silent_sound_folder())
    try:
        player = Player(output, settings.a4_hz, manners_of(options, settings).room)
        try:
            if output.silent:
                player.play(performance.score)
                player.stop()
                output.wait()  # until the file is written
                told_remark(output.remark or "nothing here can play sound")
            else:
                from trainer.commands.playing import play_on

                play_on(player, tune_of(performance, options, chart, settings), options, settings)
        finally:
            player.close()
    finally:
        output.close()


def tune_of(performance: Performance, options: PlayOptions, chart: Chart, settings: Settings) -> Tune:
    """What is handled, and how it is performed again."""

    def again(guide: bool, tempo: float) -> Performance:
        what = "guide-tones" if guide else options.what
        return perform(replace(options, what=what, tempo=tempo), chart, settings)

    return Tune(
        performance,
        float(chart.tempo or DEFAULT_TEMPO_BPM) if options.tempo is None else options.tempo,
        again,
        options.what in ("chart", "guide-tones", "bass", "keys"),
        cast(Instrument, settings.instrument),
        cast(Naming, settings.note_names),
    )
