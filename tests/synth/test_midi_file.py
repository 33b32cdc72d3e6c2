"""Standard MIDI Files, read back by two independent libraries."""

import io
from collections import defaultdict
from pathlib import Path

import mido
import music21
import numpy as np
import pytest

from synth.errors import SoundError
from synth.midi_file import CHAIRS, TICKS_A_QUARTER, midi_bytes, write_midi
from synth.score import Marker, MeterChange, Note, Score, TempoChange
from tests.synth.scores import comping, score

TUNE = Score(
    notes=(
        Note(0.0, 0.1, 76, 100, "click"),
        Note(2.0, 0.95, 38, 84, "bass"),
        Note(2.0, 1.9, 53, 70, "keys"),
        Note(2.0, 1.9, 60, 71, "keys"),
        Note(4.0, 3.9, 57, 70, "drone"),
        Note(4.0, 1.9, 58, 72, "keys"),
    ),
    duration_s=8.0,
    tempos=(TempoChange(0.0, 120.0), TempoChange(4.0, 90.0)),
    meters=(MeterChange(0.0, 4, 4), MeterChange(4.0, 3, 4)),
    markers=(
        Marker(2.0, "section", "A"),
        Marker(2.0, "center", "B♭ major"),
        Marker(2.0, "chord", "Cm7"),
        Marker(4.0, "role", "answer"),
    ),
    key_signature="Bb",
    title="Fog on the Quay, öfter",
)


def read(music: Score) -> mido.MidiFile:
    """The file as mido reads it."""
    return mido.MidiFile(file=io.BytesIO(midi_bytes(music)), charset="utf-8")


def sounded(file: mido.MidiFile) -> list[tuple[int, int, float, float, int]]:
    """(channel, key, onset, end, velocity) of every note, in seconds by the file's own tempo map."""
    now, down, found = 0.0, defaultdict(list), []
    for message in file:
        now += message.time
        if message.type == "note_on":
            down[message.channel, message.note].append((now, message.velocity))
        elif message.type == "note_off":
            onset, velocity = down[message.channel, message.note].pop()
            found.append((message.channel, message.note, onset, now, velocity))
    assert not any(down.values())
    return sorted(found)


def test_format_and_tracks() -> None:
    """A file of format 1 with a conductor's track, then one for each part that plays."""
    file = read(TUNE)
    assert 1 == file.type
    assert TICKS_A_QUARTER == file.ticks_per_beat
    assert [TUNE.title, "Keys", "Bass", "Drone", "Click"] == [track.name for track in file.tracks]


def test_what_the_conductor_says() -> None:
    """Tempo, meter, key signature, markers, chord symbols and cues stand at their ticks."""
    now, found = 0, []
    for message in read(TUNE).tracks[0]:
        now += message.time
        found.append((now, message.type, *(v for k, v in message.dict().items() if k not in ("type", "time"))))
    assert (0, "set_tempo", 500_000) in found
    assert (3840, "set_tempo", 666_667) in found
    assert (0, "time_signature", 4, 4, 24, 8) in found
    assert (3840, "time_signature", 3, 4, 24, 8) in found
    assert (0, "key_signature", "Bb") in found
    assert (1920, "marker", "A") in found
    assert (1920, "marker", "B♭ major") in found
    assert (1920, "text", "Cm7") in found
    assert (3840, "cue_marker", "answer") in found
    assert (3840 + 2880, "end_of_track") in found


def test_parts_have_their_channels_and_programs() -> None:
    """The click is on channel 10, others on their own with General MIDI programs (GM level 1)."""
    file = read(TUNE)
    programs = {m.channel: m.program for track in file.tracks for m in track if m.type == "program_change"}
    assert {0: 0, 1: 32, 2: 89} == programs
    assert 9 == CHAIRS["click"].channel
    assert {0, 1, 2, 9} == {m.channel for track in file.tracks for m in track if m.type == "note_on"}


@pytest.mark.parametrize("tempo", [37.3, 60.0, 119.9, 132.0, 301.7])
def test_times_read_back_to_half_a_tick(tempo: float) -> None:
    """An hour of notes at uneven tempi reads back within half a tick of where the score has them."""
    draw = np.random.default_rng(7)
    changes = (TempoChange(0.0, tempo), TempoChange(100.123, 97.1), TempoChange(1800.77, tempo + 1))
    onsets = np.cumsum(draw.uniform(0.3, 4.0, 1500))
    notes = tuple(
        Note(float(at), float(draw.uniform(0.05, 0.29)), int(draw.integers(40, 80)), 64, "keys") for at in onsets
    )
    music = Score(notes, float(onsets[-1]) + 1, changes, (MeterChange(0.0, 4, 4),))
    half_tick_s = 60.0 / min(tempo, 97.1) / TICKS_A_QUARTER / 2
    back = sorted(sounded(read(music)), key=lambda note: note[2])
    assert len(notes) == len(back)
    for note, (_, midi, onset, end, _) in zip(notes, back, strict=True):
        assert note.midi == midi
        assert pytest.approx(note.onset_s, abs=half_tick_s * 1.01) == onset
        assert pytest.approx(note.onset_s + note.duration_s, abs=half_tick_s * 1.01) == end


def test_bars_fall_on_ticks() -> None:
    """At a tempo that is no whole number of microseconds, 200 bars still begin on whole beats."""
    beat_s = 60.0 / 132.0
    notes = tuple(Note(bar * 4 * beat_s, beat_s, 60, 64, "keys") for bar in range(200))
    music = Score(notes, 800 * beat_s, (TempoChange(0.0, 132.0),), (MeterChange(0.0, 4, 4),))
    now, starts = 0, []
    for message in read(music).tracks[1]:
        now += message.time
        if message.type == "note_on":
            starts.append(now)
    assert [bar * 4 * TICKS_A_QUARTER for bar in range(200)] == starts


def test_music21_reads_the_same_notes(tmp_path: Path) -> None:
    """music21 finds every part's keys, onsets in quarters, meter, key signature and tempo."""
    music = comping(4)
    path = tmp_path / "tune.mid"
    write_midi(path, Score(music.notes, 4.0, music.tempos, music.meters, key_signature="Eb"))
    heard = music21.converter.parse(path, quantizePost=False)
    found = sorted(
        (float(element.getOffsetInHierarchy(heard)), pitch.midi)
        for element in heard.recurse().notes
        for pitch in element.pitches
    )
    assert sorted((note.onset_s * 2, note.midi) for note in music.notes) == pytest.approx(found)
    assert "4/4" == heard.recurse().getElementsByClass(music21.meter.TimeSignature)[0].ratioString
    assert -3 == heard.recurse().getElementsByClass(music21.key.KeySignature)[0].sharps
    assert 120 == heard.recurse().getElementsByClass(music21.tempo.MetronomeMark)[0].number


def test_a_key_struck_again_is_let_go_first() -> None:
    """Overlapping and doubled notes of one key come out as one note after the other, none hanging."""
    music = score(
        Note(0.0, 2.0, 60, 50, "keys"),
        Note(1.0, 1.0, 60, 80, "keys"),
        Note(1.0, 0.5, 60, 90, "keys"),
        Note(2.0, 0.0, 60, 70, "keys"),
        duration_s=3.0,
    )
    tick_s = 0.5 / TICKS_A_QUARTER
    wanted = [(0, 60, 0.0, 1.0, 50), (0, 60, 1.0, 2.0, 90), (0, 60, 2.0, 2.0 + tick_s, 70)]
    for one, other in zip(wanted, sounded(read(music)), strict=True):
        assert pytest.approx(one) == other


@pytest.mark.parametrize(
    "music",
    [
        Score((), 1.0, (TempoChange(0.0, 3.0),), ()),
        Score((), 1.0, (), (MeterChange(0.0, 4, 3),)),
        Score((), 1.0, (), (), key_signature="H"),
    ],
)
def test_what_a_midi_file_cannot_hold_is_told(music: Score) -> None:
    """Too slow a tempo, an unwritable meter and an unknown key are errors with their reason."""
    with pytest.raises(SoundError, match="MIDI file"):
        midi_bytes(music)


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    """Where no file can be, the message names the place."""
    with pytest.raises(SoundError, match="nowhere"):
        write_midi(tmp_path / "nowhere" / "a.mid", TUNE)
