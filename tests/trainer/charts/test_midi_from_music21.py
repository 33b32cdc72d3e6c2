"""MIDI files that music21 writes from its own chord symbols, and that mido writes note by note, read as charts."""

from collections.abc import Sequence
from fractions import Fraction

import pytest
from music21 import harmony, instrument, metadata, meter, note, stream, tempo
from music21.chord import Chord
from music21.midi.translate import streamToMidiFile

from trainer.charts.chart import Meter
from trainer.charts.midi_chords import read_midi
from trainer.charts.timeline import Span
from trainer.charts.unfold import unfold

ROOTS = ["C", "C#", "D", "E-", "E", "F", "F#", "G", "A-", "A", "B-", "B"]
KINDS = ["", "m", "maj7", "m7", "7", "ø7", "o7", "o", "6", "m6", "sus4", "7sus4", "9", "M9", "m9", "mM7", "+", "7b9"]
"""As music21 abbreviates them."""

Sound = tuple[int, frozenset[int], int]
"""Root, all that sounds, and bass, as pitch classes."""


def file_of(music: stream.Stream) -> bytes:
    """The MIDI file that music21 makes of a stream."""
    made = streamToMidiFile(music)
    data = made.writestr()
    assert isinstance(data, bytes)
    return data


def written(figures: Sequence[str], quarters: float = 4.0, signature: str = "4/4") -> bytes:
    """A MIDI file of chord symbols, one after the other."""
    part = stream.Part([meter.TimeSignature(signature)])
    for figure in figures:
        symbol = harmony.ChordSymbol(figure)
        symbol.writeAsChord = True
        symbol.quarterLength = quarters
        part.append(symbol)
    return file_of(part)


def sound_of_figure(figure: str) -> Sound:
    """What music21 says that a chord symbol sounds."""
    symbol = harmony.ChordSymbol(figure)
    return (
        symbol.root().pitchClass,
        frozenset(pitch.pitchClass for pitch in symbol.pitches),
        symbol.bass().pitchClass,
    )


def sound_of_span(span: Span) -> Sound:
    """What a chord of ours sounds."""
    assert span.symbol is not None
    return span.symbol.root.pitch_class, span.symbol.pitch_classes, span.symbol.bass_name.pitch_class


@pytest.mark.parametrize("kind", KINDS)
def test_every_root_of_each_kind_comes_back(kind: str) -> None:
    """Chord symbols that music21 plays, a bar each, are found with its root, its tones and its bass on all roots."""
    figures = [root + kind for root in ROOTS]
    spans = unfold(read_midi(written(figures)).chart).spans
    assert [sound_of_figure(figure) for figure in figures] == [sound_of_span(span) for span in spans]


@pytest.mark.parametrize("figure", ["C/E", "C/G", "Am/E", "F7/A", "Dm7/C", "B-7/D"])
def test_inversions_come_back(figure: str) -> None:
    """A chord of the table over another of its tones keeps its root and names its bass, with a chord before it."""
    span = unfold(read_midi(written(["Emaj7", figure, "E-maj7"])).chart).spans[1]
    assert sound_of_figure(figure) == sound_of_span(span)


@pytest.mark.parametrize("figure", ["Gmaj7/B", "Cm6/A", "F6/D", "E-m7/G-"])
def test_a_sound_with_two_names_offers_both(figure: str) -> None:
    """Where another chord has the same tones over the same bass, the chord is the one found or one offered instead."""
    heard = read_midi(written(["Emaj7", figure, "Emaj7"])).chords[1]
    assert heard.symbol is not None
    names = {(name.root.pitch_class, name.pitch_classes) for name in (heard.symbol, *heard.instead)}
    assert sound_of_figure(figure)[:2] in names


@pytest.mark.parametrize(
    ("signature", "quarters", "bars"),
    [("3/4", 3.0, 4), ("6/8", 3.0, 4), ("4/4", 2.0, 2), ("5/4", 5.0, 4), ("4/4", 1.0, 1), ("12/8", 6.0, 4)],
)
def test_meters(signature: str, quarters: float, bars: int) -> None:
    """Chords stand in bars of the file's meter, on the beats where they are struck."""
    figures = ["Dm7", "G7", "Cmaj7", "A7"]
    timeline = unfold(read_midi(written(figures, quarters, signature)).chart)
    assert signature == str(timeline.bars[0].meter)
    assert bars == len(timeline.bars)
    assert [Fraction(quarters) * index for index in range(4)] == [span.start for span in timeline.spans]
    assert list(map(sound_of_figure, figures)) == [sound_of_span(span) for span in timeline.spans]


def test_a_meter_changes() -> None:
    """A change of meter between bars is kept, and so is the first tempo."""
    part = stream.Part([tempo.MetronomeMark(number=96)])
    for signature, figures in (("4/4", ["Dm7", "G7"]), ("3/4", ["Cmaj7", "Am7"])):
        for index, figure in enumerate(figures):
            measure = stream.Measure()
            if not index:
                measure.timeSignature = meter.TimeSignature(signature)
            symbol = harmony.ChordSymbol(figure)
            measure.append(Chord(symbol.pitches, quarterLength=int(signature[0])))
            part.append(measure)
    timeline = unfold(read_midi(file_of(part)).chart)
    assert [Meter(4, 4), Meter(4, 4), Meter(3, 4), Meter(3, 4)] == [bar.meter for bar in timeline.bars]
    assert ["Dm7", "G7", "Cmaj7", "Am7"] == [str(span.symbol) for span in timeline.spans]
    assert 96 == timeline.tempo


def test_a_chord_broken_within_its_beats_is_one_chord() -> None:
    """Tones struck one after the other, over beats and within them, are the chord that they make together."""
    part = stream.Part([meter.TimeSignature("4/4")])
    for figure in ("Dm7", "G7", "Cmaj7", "A7"):
        pitches = harmony.ChordSymbol(figure).pitches
        for pitch in (*pitches, *pitches):
            part.append(note.Note(pitch, quarterLength=0.5))
    spans = unfold(read_midi(file_of(part)).chart).spans
    assert [("Dm7", 0), ("G7", 4), ("Cmaj7", 8), ("A7", 12)] == [(str(span.symbol), span.start) for span in spans]


def test_parts_with_an_instrument_and_a_title() -> None:
    """Piano and bass of one score are one harmony: the bass gives the slash, the title is the score's."""
    score = stream.Score(metadata=metadata.Metadata(title="Two Lamps"))
    piano, bass = stream.Part([instrument.Piano()]), stream.Part([instrument.AcousticBass()])
    for pitches, low in (("F4 A4 C5 E5", "D2"), ("F4 G4 B4 D5", "G2"), ("E4 G4 C5", "E2")):
        piano.append(Chord(pitches.split(), quarterLength=4))
        bass.append(note.Note(low, quarterLength=4))
    score.insert(0, piano)
    score.insert(0, bass)
    spans = unfold(read_midi(file_of(score)).chart).spans
    assert ["Dm9", "G7", "C/E"] == [str(span.symbol) for span in spans]
