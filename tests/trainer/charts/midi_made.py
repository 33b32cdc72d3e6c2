"""MIDI files made for tests: chords and lines in quarter notes, written by mido."""

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import mido

TICKS = 480

Played = tuple[float, float, Sequence[int] | int]
"""Start and length in quarter notes, and what is struck."""


@dataclass(frozen=True)
class Line:
    """One part of a file."""

    notes: Sequence[Played]
    channel: int = 0
    program: int | None = None


def midi_made(lines: Iterable[Line], events: Iterable[tuple[float, mido.MetaMessage]] = (), kind: int = 1) -> bytes:
    """The bytes of a file with its events in a first track and a track for each line; kind 0 has one track."""
    tracks = [[(round(at * TICKS), 0, event) for at, event in events]]
    for line in lines:
        track: list[tuple[int, int, mido.Message | mido.MetaMessage]] = []
        if line.program is not None:
            track.append((0, 0, mido.Message("program_change", channel=line.channel, program=line.program)))
        for at, length, struck in line.notes:
            for midi in (struck,) if isinstance(struck, int) else struck:
                on, off = round(at * TICKS), round((at + length) * TICKS)
                track.append((on, 2, mido.Message("note_on", channel=line.channel, note=midi, velocity=70)))
                track.append((off, 1, mido.Message("note_off", channel=line.channel, note=midi)))
        tracks.append(track)
    if kind == 0:
        tracks = [[event for track in tracks for event in track]]
    file = mido.MidiFile(type=kind, ticks_per_beat=TICKS, charset="utf-8")
    for events_of_track in tracks:
        now, made = 0, mido.MidiTrack()
        for tick, _, event in sorted(events_of_track, key=lambda event: event[:2]):
            made.append(event.copy(time=tick - now))
            now = tick
        file.tracks.append(made)
    written = io.BytesIO()
    file.save(file=written)
    return written.getvalue()
