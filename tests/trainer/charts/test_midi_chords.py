"""MIDI files read as charts: files made by mido and music21, and our own tunes written by the synthesizer."""

from fractions import Fraction

import mido
import music21
import pytest

from synth.midi_file import midi_bytes
from tests.trainer.charts.midi_made import Line, Played, midi_made
from trainer.charts.chart import Chart
from trainer.charts.library import exercise_tunes, load
from trainer.charts.midi_chords import HeardChord, read_midi
from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.errors import TextError
from trainer.harmony.symbol import ChordSymbol, parse_chord
from trainer.reading.analysis import analyze
from trainer.voicing.performance import perform_chart
from trainer.voicing.plain_chords import plain_chords

DM7, G7, CMAJ7, C = (50, 53, 57, 60), (43, 53, 59, 62), (48, 52, 55, 59), (48, 52, 55)
TUNES = [name for name, _ in exercise_tunes()]

Core = tuple[object, ...] | None


def text_of(chart: Chart) -> str:
    """The bars of a chart on one line."""
    lines = write_chart(chart).splitlines()
    bars = "\n".join(line for line in lines if line.startswith("|"))
    return " ".join(bars.replace("|\n|", "|").replace("\n", " ").split())


def core_of(symbol: ChordSymbol | None) -> Core:
    """Root and family: what a player has to get right."""
    if symbol is None:
        return None
    quality = symbol.quality
    return symbol.root.pitch_class, quality.third, quality.sixth or quality.seventh


def by_eighths(timeline: Timeline) -> list[Core]:
    """Root and family at every eighth note."""
    found: list[Core] = []
    for span in timeline.spans:
        found += [core_of(span.symbol)] * int(span.quarters * 2)
    return found


def rate(name: str, data: bytes) -> tuple[int, int]:
    """At how many eighth notes a tune comes back with its root and family, and how many there are."""
    expected, found = by_eighths(unfold(load(name))), by_eighths(unfold(read_midi(data, name).chart))
    assert len(expected) == len(found)
    return sum(one == other for one, other in zip(expected, found, strict=True)), len(expected)


def test_our_plain_chords_come_back() -> None:
    """Written as block chords, 98 % come back in root and family, each tune with its title, tempo and sections."""
    rates = []
    for name in TUNES:
        timeline = unfold(load(name))
        data = midi_bytes(plain_chords(timeline, analyze(timeline)))
        rates.append(rate(name, data))
        chart = read_midi(data, name).chart
        assert (timeline.title, timeline.tempo) == (chart.title, chart.tempo)
        assert timeline.form == tuple(section.name for section in chart.sections)
    assert sum(right for right, _ in rates) >= 0.98 * sum(count for _, count in rates)
    assert all(right >= 0.8 * count for right, count in rates)


@pytest.mark.parametrize("seed", [None, 3])
def test_our_comping_comes_back(seed: int | None) -> None:
    """Comped without roots over a bass, swung, counted in and played loosely, 98 % come back in root and family."""
    rates = [rate(name, midi_bytes(perform_chart(unfold(load(name)), seed=seed).score)) for name in TUNES]
    assert sum(right for right, _ in rates) >= 0.98 * sum(count for _, count in rates)


def test_block_chords_have_their_places_and_their_confidence() -> None:
    """Chords on beats are written where they are struck; each has a confidence and what else it may be."""
    read = read_midi(midi_made([Line([(0, 2, DM7), (2, 2, G7), (4, 4, CMAJ7), (8, 4, CMAJ7)])]), "lamp.mid")
    assert "| Dm7 G7 | Cmaj7 | Cmaj7 |]" == text_of(read.chart)
    assert "lamp.mid" == read.chart.file
    expected = [(1, 0, "Dm7"), (1, 2, "G7"), (2, 0, "Cmaj7"), (3, 0, "Cmaj7")]
    assert expected == [(chord.bar, chord.at, str(chord.symbol)) for chord in read.chords]
    assert all(0.5 < chord.confidence <= 1 and len(chord.instead) == 2 for chord in read.chords)
    assert 0.5 < read.confidence <= 1


def test_an_unsure_chord_is_remarked_on() -> None:
    """Notes that may be several chords are told with their bar, their beat and the other names."""
    read = read_midi(midi_made([Line([(0, 2, C), (2, 2, (60, 63, 66, 69))])]))
    assert read.chords[1].confidence < 0.5
    (told,) = [remark.text for remark in read.chart.remarks]
    assert told.startswith("bar 1, beat 3: ")
    assert "with a confidence of 0." in told
    assert "it may be" in told


def test_a_chord_held_over_barlines_is_held() -> None:
    """A chord that is struck once and rings on is held, and so is one that stops short of the next."""
    assert "| Dm7 | / | G7 |]" == text_of(read_midi(midi_made([Line([(0, 7.5, DM7), (8, 4, G7)])])).chart)
    assert "| Dm7 | G7 |]" == text_of(read_midi(midi_made([Line([(0, 2.5, DM7), (4, 4, G7)])])).chart)


def test_broken_chords_are_one() -> None:
    """An arpeggio within a beat is one chord, and so is one through a bar, note by note."""
    beat: list[Played] = [(0 + 0.2 * place, 3, midi) for place, midi in enumerate(DM7)]
    bar: list[Played] = [(4 + place, 1, midi) for place, midi in enumerate(G7)]
    assert "| Dm7 | G7 |]" == text_of(read_midi(midi_made([Line([*beat, *bar])])).chart)


def test_notes_need_not_be_exact() -> None:
    """Notes a little early or late belong to the beat they are meant for."""
    loose: list[Played] = [(0.03, 1.9, DM7), (1.93, 2, G7), (4.06, 3.9, CMAJ7[:2]), (4.0, 3.9, CMAJ7[2:])]
    assert "| Dm7 G7 | Cmaj7 |]" == text_of(read_midi(midi_made([Line(loose)])).chart)


def test_an_anticipation_belongs_to_the_bar_after_it() -> None:
    """A chord struck half a beat before the barline and held over it stands at the barline."""
    assert "| Dm7 | G7 |]" == text_of(read_midi(midi_made([Line([(0, 3.4, DM7), (3.5, 4.4, G7)])])).chart)


def test_a_walking_bass_changes_nothing() -> None:
    """Under one chord a bass may walk; the chord is named over the bass of its first beat."""
    chords: list[Played] = [(0, 1, (53, 57, 60, 64)), (2, 1, (53, 57, 60, 64)), (4, 4, (53, 57, 59, 64))]
    bass: list[Played] = [
        (0, 1, 38),
        (1, 1, 40),
        (2, 1, 41),
        (3, 1, 44),
        (4, 1, 43),
        (5, 1, 45),
        (6, 1, 47),
        (7, 1, 49),
    ]
    read = read_midi(midi_made([Line(chords, 0, 0), Line(bass, 1, 32)]))
    assert "| Dm9 | G13 |]" == text_of(read.chart)


def test_a_new_bass_on_a_barline_is_a_new_chord() -> None:
    """The same tones over another bass at a barline are another chord."""
    shell = (53, 59)
    read = read_midi(midi_made([Line([(0, 4, shell), (4, 4, shell)]), Line([(0, 4, 43), (4, 4, 37)], 1, 33)]))
    assert ["G7", "Db7"] == [str(chord.symbol) for chord in read.chords]


def test_drums_and_tunes_are_left_out() -> None:
    """Percussion says nothing, and a tune of single notes is left out with a remark."""
    tune = Line([(0, 1, 81), (1, 1, 78), (2, 1, 76), (3, 1, 73)], 2)
    drums = Line([(0, 1, 36), (1, 1, 38), (2, 1, (36, 42, 44))], 9)
    read = read_midi(midi_made([Line([(0, 4, DM7), (4, 4, G7)]), tune, drums]))
    assert "| Dm7 | G7 |]" == text_of(read.chart)
    assert ["a part of single notes left out: chords are read from those that play several at once"] == [
        remark.text for remark in read.chart.remarks
    ]


def test_one_track_holds_several_parts() -> None:
    """In a file of type 0 parts are told apart by their channels."""
    lines = [Line([(0, 4, (53, 57, 60, 64))], 0), Line([(0, 2, 38), (2, 2, 45)], 1, 32), Line([(0, 4, 40)], 9)]
    assert "| Dm9 |]" == text_of(read_midi(midi_made(lines, kind=0)).chart)


def test_meters_and_their_changes() -> None:
    """Bars follow the meters of the file; compound ones change chords on dotted beats."""
    events = [
        (0.0, mido.MetaMessage("time_signature", numerator=3, denominator=4)),
        (3.0, mido.MetaMessage("time_signature", numerator=6, denominator=8)),
    ]
    read = read_midi(midi_made([Line([(0, 2, DM7), (2, 1, G7), (3, 1.5, CMAJ7), (4.5, 1.5, DM7), (6, 3, G7)])], events))
    assert "| Dm7 / G7 | Cmaj7 Dm7 | G7 |]" == text_of(read.chart)
    assert ["3/4", "6/8", "6/8"] == [str(bar.meter) for section in read.chart.sections for bar in section.bars]


def test_what_cannot_be_in_a_chart_is_remarked_on() -> None:
    """A meter within a bar, other tempi and keys, and a meter that there is none of are told, none is lost."""
    events = [
        (0.0, mido.MetaMessage("time_signature", numerator=77, denominator=4)),
        (6.0, mido.MetaMessage("time_signature", numerator=4, denominator=4)),
        (0.0, mido.MetaMessage("set_tempo", tempo=500_000)),
        (4.0, mido.MetaMessage("set_tempo", tempo=400_000)),
        (0.0, mido.MetaMessage("key_signature", key="Bb")),
        (4.0, mido.MetaMessage("key_signature", key="Gm")),
    ]
    read = read_midi(midi_made([Line([(0, 4, DM7), (4, 2, G7), (6, 4, CMAJ7)])], events))
    assert "| Dm7 | G7 | Cmaj7 |]" == text_of(read.chart)
    assert [4, 2, 4] == [bar.beats for section in read.chart.sections for bar in section.bars]
    assert (Fraction(120), "Bb major") == (read.chart.tempo, str(read.chart.key))
    assert [
        "a meter of 77/4; the one before it goes on",
        "a meter changes within a bar of 4/4; the bar is read as 2/4",
        "the key signature changes; a chart keeps the first one",
        "the tempo changes; a chart keeps the first one",
    ] == [remark.text for remark in read.chart.remarks]


def test_tempo_counts_dotted_quarters_in_compound_meters() -> None:
    """In 6/8 the tempo of the chart counts dotted quarters."""
    events = [
        (0.0, mido.MetaMessage("time_signature", numerator=6, denominator=8)),
        (0.0, mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(90))),
    ]
    assert 60 == read_midi(midi_made([Line([(0, 3, C)])], events)).chart.tempo


@pytest.mark.parametrize(("first", "expected"), [(3, 1), (2, 2)])
def test_silence_before_music_makes_a_pickup(first: float, expected: int) -> None:
    """Music that begins in the second half of a bar has a pickup of what is left, and its bar is 0."""
    read = read_midi(midi_made([Line([(first, 4 - first, G7), (4, 4, CMAJ7)])]))
    assert Fraction(expected) == read.chart.pickup
    assert ["G7", "Cmaj7"] == [str(chord.symbol) for chord in read.chords]
    assert [0, 1] == [bar.number for section in read.chart.sections for bar in section.bars]


def test_whole_bars_of_silence_before_the_music_are_left_out() -> None:
    """A count-in on percussion is no bar of the chart."""
    clicks = Line([(beat, 0.2, 76) for beat in range(8)], 9)
    read = read_midi(midi_made([clicks, Line([(8, 4, DM7), (12, 4, G7)])]))
    assert ("| Dm7 | G7 |]", None) == (text_of(read.chart), read.chart.pickup)
    assert ["silence before the first bar is left out"] == [remark.text for remark in read.chart.remarks]


def test_a_first_bar_in_a_shorter_meter_is_a_pickup() -> None:
    """Some programs give the pickup a meter of its own."""
    events = [
        (0.0, mido.MetaMessage("time_signature", numerator=1, denominator=4)),
        (1.0, mido.MetaMessage("time_signature", numerator=4, denominator=4)),
    ]
    read = read_midi(midi_made([Line([(0, 1, G7), (1, 4, CMAJ7), (5, 4, DM7)])], events))
    assert (1, "4/4", "| G7 | Cmaj7 | Dm7 |]") == (read.chart.pickup, str(read.chart.meter), text_of(read.chart))


def test_silence_is_written() -> None:
    """Half a bar and more without a sound is N.C.; a shorter rest is only a short chord."""
    read = read_midi(midi_made([Line([(0, 2, DM7), (4, 3, G7), (12, 4, C)])]))
    assert "| Dm7 N.C. | G7 | N.C. | C |]" == text_of(read.chart)
    assert HeardChord(3, Fraction(0), None, 1.0) in read.chords


def test_sections_are_named_by_markers() -> None:
    """A marker at a barline names a section; one that names a key, or stands elsewhere, doesn't."""
    events = [
        (0.0, mido.MetaMessage("marker", text="A")),
        (0.0, mido.MetaMessage("marker", text="C major")),
        (1.0, mido.MetaMessage("marker", text="Elsewhere")),
        (4.0, mido.MetaMessage("marker", text="Brücke")),
        (0.0, mido.MetaMessage("track_name", name="Ünder the Weir")),
    ]
    chart = read_midi(midi_made([Line([(0, 4, DM7), (4, 4, G7)])], events)).chart
    assert ("Ünder the Weir", ["A", "Brücke"]) == (chart.title, [section.name for section in chart.sections])


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("Eb", "Eb Ab Db Gb B"), ("E", "D# G# C# F# B"), ("Gb", "Eb Ab Db Gb Cb"), ("C", "Eb Ab Db F# B"),
        ("Cm", "Eb Ab Db Gb B"),
    ],
)  # fmt: skip
def test_roots_are_spelled_in_the_key(key: str, expected: str) -> None:
    """The signature decides between sharps and flats; Cb and its like stand only in keys that have them."""
    chords: list[Played] = [(4 * at, 4, (low, low + 4, low + 7)) for at, low in enumerate((39, 44, 37, 42, 35))]
    read = read_midi(midi_made([Line(chords)], [(0.0, mido.MetaMessage("key_signature", key=key))]))
    assert expected.split() == [str(chord.symbol) for chord in read.chords]


@pytest.mark.parametrize("meter", ["2/4", "3/4", "4/4", "5/4", "6/8", "7/8", "9/8"])
def test_files_written_by_music21(meter: str) -> None:
    """Chord symbols that music21 realizes and writes as MIDI come back, in every meter."""
    figures = ["Dm7", "G7", "Cmaj7", "A7", "B-maj7", "Em7b5", "Fm6", "Gsus4", "D7/F#", "Cdim7", "F", "E-"]
    part = music21.stream.Part([music21.meter.TimeSignature(meter)])
    length = part[0].barDuration.quarterLength
    for figure in figures:
        realized = music21.chord.Chord(music21.harmony.ChordSymbol(figure).pitches)
        realized.quarterLength = length
        part.append(realized.transpose(-12))
    data = music21.midi.translate.streamToMidiFile(music21.stream.Score([part])).writestr()
    read = read_midi(data)
    expected = [core_of(parse_chord(figure.replace("-", "b"))) for figure in figures]
    assert expected == [core_of(chord.symbol) for chord in read.chords]
    assert list(range(1, 13)) == [chord.bar for chord in read.chords]
    assert {meter} == {str(bar.meter) for section in read.chart.sections for bar in section.bars}


def test_charts_that_are_written_as_text_come_back() -> None:
    """What was read can be written as a chart's text and read again."""
    chart = read_midi(midi_made([Line([(3, 1, G7), (4, 2, CMAJ7), (6, 2, DM7), (8, 2, G7), (12, 4, C)])])).chart
    assert chart == read_chart(write_chart(chart))


@pytest.mark.parametrize(
    ("lines", "told"),
    [([], "a MIDI file without notes"), ([Line([(0, 1, 40)], 9)], "nothing but percussion")],
)  # fmt: skip
def test_files_without_chords_are_refused(lines: list[Line], told: str) -> None:
    """A file in which nothing can be named is told."""
    with pytest.raises(TextError, match=told):
        read_midi(midi_made(lines))
