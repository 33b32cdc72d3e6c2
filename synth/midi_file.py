"""Standard MIDI Files, format 1: a conductor's track and one for each part.

Tempo, meter, key signature, sections and key centers (markers), chord symbols (text), functions
(lyrics, which stand below the notes) and what begins to be played (cue points) stand in the first
track; each part has its channel and its General MIDI program, the click is on channel 10.
The tempo map that a reader will use (whole microseconds a quarter, changes on whole ticks) also
places the notes, so read back they are never more than half a tick away.

Source: "The Complete MIDI 1.0 Detailed Specification", MIDI Manufacturers Association, 1996.
"""

import io
from bisect import bisect_right
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import mido

from synth.errors import SoundError
from synth.score import MarkerKind, Note, Part, Score
from synth.whole_file import written_whole

TICKS_A_QUARTER: Final = 480


@dataclass(frozen=True, slots=True)
class Chair:
    """Where a part sits in a MIDI file."""

    name: str
    channel: int
    """From 0, as the bytes have it; 9 is what players call channel 10."""
    program: int | None
    """From 0; None where it stays as it is. On the channel of percussion 40 is the brush set (from memory)."""


CHAIRS: Final[dict[Part, Chair]] = {
    "keys": Chair("Keys", 0, 0),
    "bass": Chair("Bass", 1, 32),
    "drone": Chair("Drone", 2, 89),
    "click": Chair("Click", 9, None),
    "brush": Chair("Brushes", 9, 40),
}

MARKER_EVENTS: Final[dict[MarkerKind, str]] = {
    "section": "marker",
    "center": "marker",
    "chord": "text",
    "function": "lyrics",
    "role": "cue_marker",
}


@dataclass(frozen=True, slots=True)
class _TempoMap:
    """Seconds to ticks, by the tempi as the file states them."""

    starts_s: tuple[float, ...]
    starts_ticks: tuple[int, ...]
    microseconds: tuple[int, ...]
    """A quarter's length from each start on."""

    def tick(self, at_s: float) -> int:
        """Return the tick nearest to a time."""
        part = max(bisect_right(self.starts_s, at_s + 1e-9) - 1, 0)
        since = (at_s - self.starts_s[part]) * 1e6 / self.microseconds[part] * TICKS_A_QUARTER
        return self.starts_ticks[part] + round(since)


def _tempo_map(score: Score) -> _TempoMap:
    starts_s: list[float] = []
    starts_ticks: list[int] = []
    lengths: list[int] = []
    for change in score.tempos:
        length = round(60e6 / change.quarters_per_minute)
        if not 0 < length < 1 << 24:
            raise SoundError(f"a tempo of {change.quarters_per_minute:g}; a MIDI file holds 4 and more")
        if not starts_s:
            start_s, tick = 0.0, 0
        else:
            tick_s = lengths[-1] / 1e6 / TICKS_A_QUARTER
            more = round((change.at_s - starts_s[-1]) / tick_s)
            start_s, tick = starts_s[-1] + more * tick_s, starts_ticks[-1] + more
        starts_s.append(start_s)
        starts_ticks.append(tick)
        lengths.append(length)
    return _TempoMap(tuple(starts_s) or (0.0,), tuple(starts_ticks) or (0,), tuple(lengths) or (500_000,))


def midi_bytes(score: Score) -> bytes:
    """Return the score as the bytes of a Standard MIDI File."""
    tempo_map = _tempo_map(score)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS_A_QUARTER, charset="utf-8")
    file.tracks.append(_conductor(score, tempo_map))
    for part, chair in CHAIRS.items():
        notes = [note for note in score.notes if note.part == part]
        if notes:
            file.tracks.append(_part_track(chair, notes, tempo_map))
    written = io.BytesIO()
    file.save(file=written)
    return written.getvalue()


def write_midi(path: Path, score: Score) -> None:
    """Write the score to a Standard MIDI File."""
    content = midi_bytes(score)
    with written_whole(path) as beside:
        beside.write_bytes(content)


def _track(events: list[tuple[int, int, mido.Message | mido.MetaMessage]]) -> mido.MidiTrack:
    """Return a track of (tick, order at that tick, message)."""
    track = mido.MidiTrack()
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    return track


def _conductor(score: Score, tempo_map: _TempoMap) -> mido.MidiTrack:
    events: list[tuple[int, int, mido.Message | mido.MetaMessage]] = []
    if score.title:
        events.append((0, 0, mido.MetaMessage("track_name", name=score.title)))
    for tick, length in zip(tempo_map.starts_ticks, tempo_map.microseconds, strict=True):
        events.append((tick, 1, mido.MetaMessage("set_tempo", tempo=length)))
    try:
        for change in score.meters:
            meter = mido.MetaMessage("time_signature", numerator=change.beats, denominator=change.unit)
            events.append((tempo_map.tick(change.at_s), 2, meter))
        if score.key_signature is not None:
            events.append((0, 3, mido.MetaMessage("key_signature", key=score.key_signature)))
        for moved in score.key_changes:
            events.append((tempo_map.tick(moved.at_s), 3, mido.MetaMessage("key_signature", key=moved.key_signature)))
    except ValueError as error:
        raise SoundError(f"a MIDI file can't hold this meter or key signature: {error}") from error
    for marker in score.markers:
        event = mido.MetaMessage(MARKER_EVENTS[marker.kind], text=marker.text)
        events.append((tempo_map.tick(marker.at_s), 4, event))
    last = max([tempo_map.tick(score.duration_s)] + [tick for tick, _, _ in events])
    events.append((last, 5, mido.MetaMessage("end_of_track")))
    return _track(events)


def _part_track(chair: Chair, notes: list[Note], tempo_map: _TempoMap) -> mido.MidiTrack:
    events: list[tuple[int, int, mido.Message | mido.MetaMessage]] = [
        (0, 0, mido.MetaMessage("track_name", name=chair.name))
    ]
    if chair.program is not None:
        events.append((0, 1, mido.Message("program_change", channel=chair.channel, program=chair.program)))
    by_key: defaultdict[int, dict[int, tuple[int, int]]] = defaultdict(dict)
    for note in notes:
        start = tempo_map.tick(note.onset_s)
        end = max(tempo_map.tick(note.onset_s + note.duration_s), start + 1)
        other_end, other_velocity = by_key[note.midi].get(start, (0, 0))
        by_key[note.midi][start] = max(end, other_end), max(note.velocity, other_velocity)
    for midi, played in by_key.items():
        starts = sorted(played)
        # A key can sound once at a time: it is let go at the latest when it is struck again.
        for start, following in zip(starts, [*starts[1:], None], strict=True):
            end, velocity = played[start]
            end = end if following is None else min(end, following)
            on = mido.Message("note_on", channel=chair.channel, note=midi, velocity=velocity)
            off = mido.Message("note_off", channel=chair.channel, note=midi, velocity=64)
            events += [(start, 3, on), (end, 2, off)]
    return _track(events)
