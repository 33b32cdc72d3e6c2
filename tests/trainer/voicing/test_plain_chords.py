"""Tunes as block chords for other programs: what sounds, for how long, and which words stand where."""

import io

import mido
import music21
import pytest

from synth.midi_file import midi_bytes
from tests.trainer.voicing.tunes import bars, reading, tune
from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.voicing.plain_chords import plain_chords
from trainer.voicing.tune import perform_chart


def words(data: bytes, kind: str) -> list[tuple[float, str]]:
    """The texts of one kind of meta event with their quarter notes, as mido reads them."""
    file = mido.MidiFile(file=io.BytesIO(data), charset="utf-8")
    now, found = 0, []
    for event in file.tracks[0]:
        now += event.time
        if event.type == kind:
            found.append((now / file.ticks_per_beat, event.text))
    return found


def test_each_chord_is_struck_once_and_held() -> None:
    """A chord begins where it is written and sounds until the next, over barlines too; silence is silent."""
    music = plain_chords(tune())
    onsets = sorted({note.onset_s for note in music.notes})
    assert [0.0, 2.0, 3.5, 4.0, 5.5, 8.0, 11.0, 12.0] == onsets
    lengths = [max(note.duration_s for note in music.notes if note.onset_s == onset) for onset in onsets]
    assert pytest.approx([0.95 * length for length in (2.0, 1.5, 0.5, 1.5, 0.5, 3.0, 1.0, 4.0)]) == lengths
    assert {"keys", "bass"} == {note.part for note in music.notes}


def test_swing_and_tensions_are_left_out() -> None:
    """A swung chart is laid out straight, and nothing sounds that its symbols don't name."""
    timeline = bars("| Dm7 G7 Cmaj7 F7 Em7 A7 Dm7 G7 |", feel="swing")
    music = plain_chords(timeline, analyze(timeline))
    onsets = sorted({note.onset_s for note in music.notes})
    assert [0.25 * place for place in range(8)] == onsets
    for span, onset in zip(timeline.spans, onsets, strict=True):
        assert span.symbol is not None
        sounding = {note.midi % 12 for note in music.notes if note.onset_s == onset}
        assert span.symbol.pitch_classes == sounding


def test_functions_and_centers_stand_at_their_chords() -> None:
    """Numerals are lyrics, key centers and sections markers, symbols texts, each where its chord begins."""
    timeline = tune()
    data = midi_bytes(plain_chords(timeline, reading(timeline, {0: "Eb", 1: "Bb", 6: "Eb"})))
    expected = [(0, "Imaj7"), (4, "ii7"), (7, "V7"), (8, "ii7"), (11, "V7"), (16, "ii7"), (22, "V7"), (24, "Imaj7")]
    assert expected == words(data, "lyrics")
    assert {(0, "A"), (0, "Eb major"), (4, "Bb major"), (16, "B")} <= set(words(data, "marker"))
    symbols = ["Ebmaj7", "Cm7", "F7", "Cm7", "F7", "Fm7", "Bb7", "Ebmaj7"]
    assert [(at, symbol) for (at, _), symbol in zip(expected, symbols, strict=True)] == words(data, "text")


def test_own_words_for_functions() -> None:
    """Words given for the spans stand in place of numerals; a held chord says only what is new."""
    timeline = bars("| Cmaj7 | / | / | F6 |")
    data = midi_bytes(plain_chords(timeline, None, ["rest", "rest", "opens", ""]))
    assert [(0, "rest"), (8, "opens")] == words(data, "lyrics")
    assert [] == words(midi_bytes(plain_chords(timeline)), "lyrics")


def test_a_route_has_no_words_of_the_chart() -> None:
    """Functions belong to the chart's own chords and aren't marked on the chords of its route."""
    timeline = tune()
    played = perform_chart(timeline, reading(timeline, {0: "Eb"}), "route", functions=["x"] * len(timeline.spans))
    assert not [marker for marker in played.score.markers if marker.kind == "function"]


@pytest.mark.parametrize("name", [name for name, _ in exercise_tunes()])
def test_music21_hears_the_chords_of_each_tune(name: str) -> None:
    """music21 finds every struck chord of an exercise tune at its quarter note, over its bass, in its own tones."""
    timeline = unfold(load(name))
    data = midi_bytes(plain_chords(timeline, analyze(timeline)))
    heard = music21.converter.parseData(data, format="midi", quantizePost=False).chordify()
    sounding = {
        round(float(chord.getOffsetInHierarchy(heard)), 2): chord
        for chord in heard.recurse().getElementsByClass(music21.chord.Chord)
    }
    last = None
    for span in timeline.spans:
        struck = not (span.continues and span.symbol == last)
        last = span.symbol
        if span.symbol is None or not struck:
            continue
        chord = sounding[round(float(span.start), 2)]
        assert span.symbol.bass_name.pitch_class == chord.bass().pitchClass
        assert {pitch.pitchClass for pitch in chord.pitches} <= span.symbol.pitch_classes
