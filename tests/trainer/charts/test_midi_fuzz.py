"""Bytes of any kind given as a MIDI file: read as a chart that can be played and written, or told what is wrong."""

import io
import struct
import sys
import time
import tracemalloc
from collections.abc import Callable
from functools import cache

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from synth.midi_file import midi_bytes
from trainer.charts.chart import Chart
from trainer.charts.library import exercise_tunes, load
from trainer.charts.midi_chords import read_midi
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.errors import TextError
from trainer.voicing.plain_chords import plain_chords

SLOWEST_S = 10.0
"""What any file may take at most; the slowest of these takes some two seconds."""
MOST_BYTES = 400 * 1024 * 1024


def chart_of(data: bytes) -> Chart | None:
    """The chart of a file, held against all that a chart must be; None where it is refused in words."""
    try:
        heard = read_midi(data, "fuzzed.mid")
    except TextError as error:
        assert error.faults
        assert all(fault.found and fault.expected for fault in error.faults)
        return None
    timeline = unfold(heard.chart)
    assert timeline.spans
    assert unfold(read_chart(write_chart(heard.chart))).quarters == timeline.quarters
    assert all(0 <= chord.confidence <= 1 for chord in heard.chords)
    assert all(remark.text and remark.text.isprintable() for remark in heard.chart.remarks)
    return heard.chart


@cache
def whole() -> bytes:
    """A good file to be damaged: the shortest exercise tune as block chords."""
    made = [midi_bytes(plain_chords(unfold(load(name)))) for name, _ in exercise_tunes()]
    return min(made, key=len)


def header(tracks: int = 1, division: int = 480, form: int = 1) -> bytes:
    """The first chunk of a file."""
    return b"MThd" + struct.pack(">LHHH", 6, form, tracks, division & 0xFFFF)


def track(body: bytes) -> bytes:
    """A chunk of events."""
    return b"MTrk" + struct.pack(">L", len(body)) + body


END = b"\x00\xff\x2f\x00"
CHORD = b"\x00\x90\x3c\x40\x00\x40\x40\x00\x43\x40"
"""C, E and G go down."""
RELEASE = b"\x83\x60\x80\x3c\x40\x00\x40\x40\x00\x43\x40"
"""And up, a quarter later."""


@given(st.binary(max_size=400))
def test_any_bytes(data: bytes) -> None:
    """Bytes without any order, alone and behind the start of a MIDI file."""
    assert data.startswith(b"MThd") or chart_of(data) is None
    chart_of(header() + track(data))
    chart_of(header() + track(CHORD + data + RELEASE))


@given(
    st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=12),
    st.one_of(st.none(), st.integers(0, 10**6)),
)
@settings(max_examples=200)
def test_damaged_files(changes: list[tuple[int, int]], cut: int | None) -> None:
    """A good file with some bytes changed, or with its end missing."""
    data = bytearray(whole())
    for place, value in changes:
        data[place % len(data)] = value
    chart_of(bytes(data if cut is None else data[: cut % len(data)]))


@st.composite
def notes(draw: st.DrawFn) -> bytes:
    """A file of notes, pauses, meters, tempi, keys and markers in any order."""
    file = mido.MidiFile(type=draw(st.integers(0, 1)), ticks_per_beat=draw(st.sampled_from([24, 96, 480, 32767])))
    for _ in range(1 if file.type == 0 else draw(st.integers(1, 3))):
        made = mido.MidiTrack()
        for _ in range(draw(st.integers(0, 40))):
            wait = draw(st.sampled_from([0, 0, 0, 1, 7, 60, 240, 480, 1920, 5000]))
            kind = draw(st.sampled_from(["on", "on", "on", "off", "meter", "tempo", "key", "marker", "program"]))
            channel = draw(st.sampled_from([0, 0, 1, 9]))
            pitch = draw(st.integers(0, 127))
            match kind:
                case "on" | "off":
                    event = mido.Message(
                        f"note_{kind}", channel=channel, note=pitch, velocity=draw(st.integers(0, 127))
                    )
                case "meter":
                    beats, unit = draw(st.integers(1, 255)), 2 ** draw(st.integers(0, 8))
                    event = mido.MetaMessage("time_signature", numerator=beats, denominator=unit)
                case "tempo":
                    event = mido.MetaMessage("set_tempo", tempo=draw(st.integers(0, 2**24 - 1)))
                case "key":
                    event = mido.MetaMessage(
                        "key_signature", key=draw(st.sampled_from(["C", "Gb", "F#m", "Cb", "A#m"]))
                    )
                case "marker":
                    event = mido.MetaMessage(
                        "marker", text=draw(st.text(st.characters(max_codepoint=255), max_size=90))
                    )
                case _:
                    event = mido.Message("program_change", channel=channel, program=pitch)
            made.append(event.copy(time=wait))
        file.tracks.append(made)
    written = io.BytesIO()
    file.save(file=written)
    return written.getvalue()


@given(notes())
@settings(max_examples=60)
def test_files_that_are_whole_but_senseless(data: bytes) -> None:
    """Notes and signs in any order make a chart or are refused, and the same one each time."""
    assert chart_of(data) == chart_of(data)


def _many_notes() -> bytes:
    return header() + track(b"\x00\x90" + b"\x3c\x40\x01\x3c\x00\x00" * 80_000 + END)


def _every_key_down() -> bytes:
    down = b"\x00\x90" + b"\x00".join(bytes((key, 64)) for key in range(128))
    return header() + track(down + b"".join(b"\x81\x70\x90" + bytes((key % 128, 64)) for key in range(60_000)) + END)


def _many_tracks() -> bytes:
    return header(65535) + track(CHORD + RELEASE + END) * 15_000


def _many_parts() -> bytes:
    strokes = b"".join(b"\x00" + bytes((0x90 + channel, 60 + channel, 64)) for channel in range(16) if channel != 9)
    return header(6000) + track(strokes + b"\x83\x60" + strokes[1:] + END) * 3500


def _meters() -> bytes:
    change = b"\x01\xff\x58\x04\x01\x05\x18\x08"
    return header() + track(CHORD + change * 60_000 + RELEASE + END)


def _long_wait() -> bytes:
    return header(1, 1) + track(CHORD + b"\xff\xff\xff\x7f\x80\x3c\x40" + END)


def _many_long_waits() -> bytes:
    return header(1, 1) + track(CHORD + b"\xff\xff\xff\x7f\x90\x3c\x40" * 60_000 + END)


def _far_note() -> bytes:
    return header(1, 1) + track(CHORD + b"\x87\xff\x7f\x80\x3c\x40" + END)


def _number_without_end() -> bytes:
    return header() + track(b"\xff" * 500_000)


def _sizes_that_lie() -> bytes:
    return header() + b"MTrk\xff\xff\xff\xff" + CHORD + b"\x00\xff\x01\xff\xff\xff\x7f"


def _many_markers() -> bytes:
    return header() + track(CHORD + b"\x81\x70\xff\x06\x01A" * 60_000 + RELEASE + END)


def _system_exclusive() -> bytes:
    return header() + track(CHORD + b"\x00\xf0\x83\xff\x7f" + b"\x01" * 65_535 + RELEASE + END)


HOSTILE: tuple[Callable[[], bytes], ...] = (
    _many_notes, _every_key_down, _many_tracks, _many_parts, _meters, _long_wait, _many_long_waits, _far_note,
    _number_without_end, _sizes_that_lie, _many_markers, _system_exclusive,
)  # fmt: skip


@pytest.mark.parametrize("made", HOSTILE, ids=lambda made: made.__name__.strip("_"))
def test_files_made_to_be_slow(made: Callable[[], bytes], capsys: pytest.CaptureFixture[str]) -> None:
    """Files up to the greatest size that try to take time or memory take little of either."""
    data = made()
    began = time.perf_counter()
    chart_of(data)
    lasted = time.perf_counter() - began
    with capsys.disabled():
        sys.stdout.write(f"\n{made.__name__.strip('_')}: {len(data) // 1024} KiB in {lasted:.1f} s\n")
    assert lasted < SLOWEST_S


@pytest.mark.parametrize("made", [_many_tracks, _every_key_down, _sizes_that_lie])
def test_files_made_to_be_large(made: Callable[[], bytes]) -> None:
    """Memory stays within limits."""
    data = made()
    tracemalloc.start()
    try:
        chart_of(data)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < MOST_BYTES


@pytest.mark.parametrize(
    ("data", "found", "expected"),
    [
        (b"", "an empty file", "a Standard MIDI File"),
        (b"RIFF....", "no header of a MIDI file", "a Standard MIDI File"),
        (b"MThd", "an end before the end of the music", "a Standard MIDI File"),
        (header() + track(CHORD), "", ""),
        (header(form=2) + track(CHORD + RELEASE + END), "a file of type 2", "type 0 or 1"),
        (header(division=0xE728) + track(CHORD + RELEASE + END), "frames", "parts of a quarter note"),
        (header(division=0) + track(CHORD + RELEASE + END), "", ""),
        (b"MThd" + b"\x00" * 600_000, "more than", "the MIDI file of one tune"),
    ],
)
def test_faults_are_told(data: bytes, found: str, expected: str) -> None:
    """Each fault says what was found and what would have been right."""
    with pytest.raises(TextError) as told:
        read_midi(data, "tune.mid")
    (fault,) = told.value.faults
    assert found in fault.found
    assert expected in fault.expected
    assert str(told.value).startswith("tune.mid: found ")
