"""What `keyfarer play --to x.mid` writes, as mido and music21 read it.

Source: "The Complete MIDI 1.0 Detailed Specification" (1996), Standard MIDI Files: format, meta events.
"""

from pathlib import Path

import mido
import music21
import pytest

from tests.trainer.commands.commanding import keyfarer

CHART = """title: Two Gates, öfter
composer: Ottilie Brandt
key: Eb
tempo: 112
pickup: 1

[A]
| Bb7 | Ebmaj7 | Fm7 Bb7 | Ebmaj7 | % |
meter: 3/4
[B]
| Am7b5 | D7b9 | Gm6 | % |
meter: 4/4
[C]
| Fm7 | Bb7 | Ebmaj7 | % |
"""
"""Invented: a pickup, two changes of meter, two of key center."""


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tune as the command writes it."""
    folder = tmp_path_factory.mktemp("midi")
    assert 0 == keyfarer("play", "-", "--to", "out.mid", given=CHART.encode(), folder=folder).returncode
    return folder / "out.mid"


def told(path: Path, kind: str) -> list[tuple[float, str]]:
    """When meta events of one kind come, in quarters, and what they say."""
    file, now, found = mido.MidiFile(path, charset="utf-8"), 0, []
    for message in file.tracks[0]:
        now += message.time
        if message.type == kind:
            said = {name: value for name, value in message.dict().items() if name not in ("type", "time")}
            said.pop("clocks_per_click", None)
            said.pop("notated_32nd_notes_per_beat", None)
            found.append((now / file.ticks_per_beat, "/".join(map(str, said.values()))))
    return found


def test_format_title_tempo_and_key(written: Path) -> None:
    """Format 1, the title on the first track, the chart's tempo and signature at the start."""
    file = mido.MidiFile(written, charset="utf-8")
    assert (1, "Two Gates, öfter") == (file.type, file.tracks[0].name)
    assert [(0.0, str(round(60e6 / 112)))] == told(written, "set_tempo")
    assert [(0.0, "Eb")] == told(written, "key_signature")


def test_each_change_of_meter(written: Path) -> None:
    """Count-in and pickup make two whole bars; then the meter changes with the sections."""
    assert [(0.0, "4/4"), (24.0, "3/4"), (36.0, "4/4")] == told(written, "time_signature")


def test_a_marker_for_each_section_and_key_center(written: Path) -> None:
    """Sections and centers stand where they begin, functions below the notes."""
    assert [
        (7.0, "A"), (7.0, "Eb major"), (24.0, "B"), (24.0, "G minor"), (36.0, "C"), (36.0, "Eb major"),
    ] == told(written, "marker")  # fmt: skip
    functions = ["V7", "Imaj7", "ii7", "V7", "Imaj7", "iiø7", "V7b9", "i6", "ii7", "V7", "Imaj7"]
    assert functions == [text for _, text in told(written, "lyrics")]


def test_each_chord_symbol_as_text(written: Path) -> None:
    """Every chord stands where it begins, held ones once."""
    assert [
        (7.0, "Bb7"), (8.0, "Ebmaj7"), (12.0, "Fm7"), (14.0, "Bb7"), (16.0, "Ebmaj7"), (24.0, "Am7b5"),
        (27.0, "D7b9"), (30.0, "Gm6"), (36.0, "Fm7"), (40.0, "Bb7"), (44.0, "Ebmaj7"),
    ] == told(written, "text")  # fmt: skip


def test_music21_reads_meters_signature_tempo_and_parts(written: Path) -> None:
    """Another reader finds the same: meters at their places, three flats, the tempo, keys and bass apart."""
    score = music21.converter.parse(written, quantizePost=False)
    flat = score.parts[0].flatten()
    meters = [(float(one.offset), one.ratioString) for one in flat.getElementsByClass(music21.meter.TimeSignature)]
    assert [(0.0, "4/4"), (24.0, "3/4"), (36.0, "4/4")] == meters
    assert {-3} == {one.sharps for one in score.recurse().getElementsByClass(music21.key.KeySignature)}
    (tempo,) = {one.number for one in score.recurse().getElementsByClass(music21.tempo.MetronomeMark)}
    assert pytest.approx(112, abs=0.5) == tempo
    assert {"Keys", "Bass", "Click"} <= {part.partName for part in score.parts}


def test_choruses_in_other_keys_have_their_signatures(tmp_path: Path) -> None:
    """Through all keys, each chorus says its own where it begins, as music21 counts its sharps."""
    command = ("play", "-", "--all-keys", "--no-count-in", "--to", "out.mid")
    assert 0 == keyfarer(*command, given=CHART.encode(), folder=tmp_path).returncode
    signatures = told(tmp_path / "out.mid", "key_signature")
    assert ["Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G", "C", "F", "Bb"] == [key for _, key in signatures]
    sections = [at for at, text in told(tmp_path / "out.mid", "marker") if text == "A"]
    assert [0.0, *sections[1:]] == [at for at, _ in signatures]
    score = music21.converter.parse(tmp_path / "out.mid", quantizePost=False)
    heard = score.parts[0].flatten().getElementsByClass(music21.key.KeySignature)
    assert [-3, -4, -5, -6, 5, 4, 3, 2, 1, 0, -1, -2] == [one.sharps for one in heard]
