"""`keyfarer play`: a chart on the loudspeaker, or into a file."""

import re
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from synth.score import Marker, Score
from trainer import places, settings
from trainer.charts.library import load
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.commands.options import PlayOptions
from trainer.errors import KeyfarerError
from trainer.harmony.interval import Interval, between
from trainer.harmony.key import parse_key
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis
from trainer.voicing.sheet import Performance
from trainer.voicing.tune import perform_chart

if TYPE_CHECKING:
    from trainer.practice.sounding import Loudspeaker

RATE_HZ = 48_000
SUFFIXES = (".wav", ".flac", ".mid")


class PlayError(KeyfarerError):
    """Something that can't be played as asked."""


def run_play(options: PlayOptions) -> int:
    """Play or write a chart; returns the exit code. Raises KeyfarerError."""
    target = None if options.to is None else Path(options.to)
    if target is not None and target.suffix.lower() not in SUFFIXES:
        raise PlayError(f"{target}: found the ending {target.suffix or 'of no kind'!r}; expected .wav, .flac or .mid")
    chosen = settings.load(places.settings_file())
    chart = load(options.file)
    timeline = unfold(chart)
    reading = analyze(timeline)
    performance = _performance(options, timeline, reading)
    if target is None:
        return _sound(performance, options, chosen)
    if target.suffix.lower() == ".mid":
        from synth.midi_file import write_midi

        _written(target, lambda: write_midi(target, performance.score))
        print(f"Wrote {target}: {_length(performance.score)}, MIDI.")
        return 0
    return _write_sound(performance, target, chosen, float(timeline.tempo))


def _performance(options: PlayOptions, timeline: Timeline, reading: Analysis) -> Performance:
    if reading.home is None:
        raise PlayError(f"{options.file}: nothing sounds in this chart, so there is nothing to play")
    by = _move(options.key, reading)
    bars = _bars(options.bars, timeline)
    score = perform_chart(
        timeline,
        reading,
        options.what,  # type: ignore[arg-type]
        options.tempo,
        options.count_in,
        choruses=options.choruses,
        bars=bars,
        transpose=by,
    )
    return replace(score, score=replace(score.score, title=timeline.title or options.file))


def _move(key: str | None, reading: Analysis) -> Interval | None:
    """The way from the tune's home to another tonic, the short way round."""
    if key is None or reading.home is None:
        return None
    wanted = parse_key(key)
    if len(key.strip()) > 2 and wanted.mode != reading.home.key.mode:
        home = reading.home.key
        raise PlayError(f"--key {key}: the tune's home is {home.name}, so give a {home.mode} key")
    up = between(reading.home.key.tonic, wanted.tonic)
    return Interval(up.steps - 7, up.semitones - 12) if up.semitones > 6 else up


def _bars(text: str | None, timeline: Timeline) -> tuple[int, int] | None:
    """Two bar numbers as played; both are played."""
    if text is None:
        return None
    match = re.fullmatch(r"\s*(\d{1,5})(?:\s*[-–]\s*(\d{1,5}))?\s*", text)
    first_there, last_there = timeline.bars[0].number, timeline.bars[-1].number
    if match:
        first, last = int(match[1]), int(match[2] or match[1])
        if first_there <= first <= last <= last_there:
            return first, last
    raise PlayError(f"--bars {text}: expected bars as played from {first_there} to {last_there}, as in 5-12")


def _length(score: Score) -> str:
    minutes, seconds = divmod(round(score.duration_s), 60)
    return f"{minutes} min {seconds} s" if minutes else f"{seconds} s"


def _write_sound(performance: Performance, target: Path, chosen: settings.Settings, tempo: float) -> int:
    from synth.level import integrated_lufs, leveled, true_peak_dbtp
    from synth.render import render
    from synth.wav_file import write_sound

    samples = leveled(render(performance.score, RATE_HZ, chosen.a4_hz), RATE_HZ)
    tags = {"title": performance.score.title, "tempo": f"{tempo:g}"}
    _written(target, lambda: write_sound(target, samples, RATE_HZ, tags))
    lufs, peak = integrated_lufs(samples, RATE_HZ), true_peak_dbtp(samples, RATE_HZ)
    print(f"Wrote {target}: {_length(performance.score)}, {lufs:.1f} LUFS, true peak {peak:.1f} dBTP.")
    return 0


def _written(target: Path, write: Callable[[], None]) -> None:
    try:
        write()
    except OSError as error:
        raise PlayError(f"{target}: can't be written ({error.strerror or error})") from None


def _sound(performance: Performance, options: PlayOptions, chosen: settings.Settings) -> int:
    """Play, telling sections and centers as they come; Ctrl-C stops with a ramp."""
    from synth.noise import divert_noise
    from synth.output import open_output
    from trainer.practice.sounding import Loudspeaker

    divert_noise()
    speaker = Loudspeaker(
        lambda: open_output(chosen.device or None, places.silent_sound_folder()), chosen.a4_hz, chosen.volume_db
    )
    print(f"{performance.score.title}: {options.what}, {_length(performance.score)}. Ctrl-C stops.", flush=True)
    try:
        speaker.play(performance)
        if speaker.remark:
            print(f"keyfarer: {speaker.remark}", file=sys.stderr)
        told = [marker for marker in performance.score.markers if marker.kind in ("section", "center")]
        for line in _as_it_comes(speaker, told):
            print(line, flush=True)
        return 0
    except KeyboardInterrupt:
        speaker.stop()
        speaker.wait(1.0)
        raise
    finally:
        speaker.close()


def _as_it_comes(speaker: "Loudspeaker", markers: Sequence[Marker]) -> Iterator[str]:
    """What each marker says, when the listener is there; ends with the sound."""
    waiting = list(markers)
    over = False
    while not over:
        over = speaker.wait(0.05)
        heard_s = speaker.playhead_s
        while waiting and (over or (heard_s is not None and waiting[0].at_s <= heard_s)):
            marker = waiting.pop(0)
            yield marker.text if marker.kind == "section" else f"  {marker.text}"
