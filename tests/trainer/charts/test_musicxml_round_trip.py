"""Charts written as MusicXML come back as they were, and music21 reads the same chords from the same files."""

from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from music21 import converter, harmony, repeat
from music21.stream import Score

from tests.trainer.charts.chart_strategies import charts
from trainer.charts.chart import Chart, WrittenSection
from trainer.charts.laid_out import laid_out
from trainer.charts.library import exercise_tunes, load
from trainer.charts.musicxml import read_musicxml
from trainer.charts.musicxml_writer import ChordWords, without_idle_repeat, write_musicxml, write_mxl
from trainer.charts.reader import read_chart
from trainer.charts.repeats import repeats_of
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.harmony.quality import QUALITIES
from trainer.harmony.symbol import ChordSymbol

TUNES = [name for name, _ in exercise_tunes()]

Sound = tuple[int, frozenset[int], int]
"""Root, all that sounds, and bass, as pitch classes."""


def sounds_of(symbol: ChordSymbol) -> Sound:
    """What a chord of ours sounds."""
    return symbol.root.pitch_class, symbol.pitch_classes, symbol.bass_name.pitch_class


@cache
def foreign(text: str) -> Score:
    """A document as music21 reads it."""
    score = converter.parseData(text, format="musicxml")
    assert isinstance(score, Score)
    return score


def foreign_sounds(text: str) -> list[Sound | None]:
    """What music21 finds in a document, chord by chord; None is N.C."""
    found = foreign(text).recurse().getElementsByClass(harmony.ChordSymbol)
    return [
        None
        if isinstance(chord, harmony.NoChord)
        else (
            chord.root().pitchClass,
            frozenset(pitch.pitchClass for pitch in chord.pitches),
            chord.bass().pitchClass,
        )
        for chord in found
    ]


def written_sounds(chart: Chart) -> list[Sound | None]:
    """What is written in a chart, chord by chord, holds left out and `%` written again."""
    return [
        None if chord.symbol is None else sounds_of(chord.symbol)
        for section in laid_out(chart).chart.sections
        for bar in section.bars
        for chord in bar.chords
        if bar.repeated_bar or not chord.held
    ]


def played(timeline: Timeline) -> list[tuple[object, ...]]:
    """What is heard of a chart, and where."""
    return [(span.start, span.quarters, span.symbol, span.continues, span.pin) for span in timeline.spans]


def sayable(chart: Chart) -> Chart:
    """The chart with what MusicXML can't say said in its way: the form written out, each repeat with its `|:`."""
    chart = laid_out(chart).chart
    made = []
    for index, section in enumerate(map(without_idle_repeat, chart.sections)):
        bars = list(section.bars)
        if index or chart.pickup is not None:
            for found in repeats_of(tuple(bars))[0]:
                first = found.first + (bars[found.first].number == 0 and len(bars) > 1)
                bars[found.first] = replace(bars[found.first], repeat_start=False)
                bars[first] = replace(bars[first], repeat_start=True)
        made.append(WrittenSection(section.name, tuple(bars)))
    tempo = None if chart.tempo is None else max(Fraction(10), Fraction(round(chart.tempo * 4), 4))
    return replace(chart, sections=tuple(made), meter=made[0].bars[0].meter, tempo=tempo)


@given(charts())
def test_what_musicxml_can_say_comes_back(chart: Chart) -> None:
    """A chart written as MusicXML and read again is the same chart, and so is a compressed one."""
    chart = sayable(chart)
    assert chart == read_musicxml(write_musicxml(chart).encode())
    assert chart == read_musicxml(write_mxl(chart))


@given(charts())
def test_every_chart_is_played_alike(chart: Chart) -> None:
    """Whatever a chart's form, its MusicXML plays the same chords at the same times."""
    back = read_musicxml(write_musicxml(chart).encode())
    assert played(unfold(chart)) == played(unfold(back))
    expected = ("never played", "D.S.")
    assert not [remark for remark in back.remarks if not any(words in remark.text for words in expected)]


@given(charts())
@settings(max_examples=25)
def test_music21_finds_the_same_chords(chart: Chart) -> None:
    """music21 finds root, tones and bass of each chord of a random chart's MusicXML."""
    assert written_sounds(chart) == foreign_sounds(write_musicxml(chart))


@pytest.mark.parametrize("name", TUNES)
def test_exercise_tunes_come_back(name: str) -> None:
    """Each exercise tune survives MusicXML in what is heard, and music21 finds its chords, its meter and its length."""
    chart = load(name)
    text = write_musicxml(chart)
    back = read_musicxml(text.encode(), name)
    assert played(unfold(chart)) == played(unfold(back))
    assert (chart.title, chart.key, chart.tempo, chart.swing) == (back.title, back.key, back.tempo, back.swing)
    assert written_sounds(chart) == foreign_sounds(text)
    part = foreign(text).parts[0]
    lengths = [bar.beats * bar.meter.quarters_of_beat for section in back.sections for bar in section.bars]
    assert lengths == [Fraction(measure.duration.quarterLength) for measure in part.getElementsByClass("Measure")]
    assert chart.title == foreign(text).metadata.title


@pytest.mark.parametrize("root", ["C", "Eb", "F#"])
@pytest.mark.parametrize("bass", ["", "/D"])
def test_music21_finds_every_quality(root: str, bass: str) -> None:
    """Each quality of the table, over its root and over a foreign bass, is found by music21 as it sounds."""
    chart = read_chart("| " + " | ".join(f"{root}{quality.spelling}{bass}" for quality in QUALITIES) + " |")
    assert written_sounds(chart) == foreign_sounds(write_musicxml(chart))


@pytest.mark.parametrize(
    "body",
    [
        "|: C | F | G :|",
        "|: C | F :| x3 G |",
        "| C | F :| G |",
        "|: C | [1.] F :| [2.] G | Am |",
        "|: C | [1,2.] F :| [3.] G | Am |",
        "| C | F fine | G | Am D.C. al fine |",
        "| C | segno F fine | G | Am D.S. al fine |",
        "| C | segno F to coda | G | Am D.S. al coda | coda Dm | Em |",
        "| C to coda | F | G D.C. al coda | coda Am |",
        "| C | F | G | Am D.C. |",
    ],
)
def test_music21_plays_the_same_bars(body: str) -> None:
    """Repeats, endings and jumps of our MusicXML are played out by music21 in our order."""
    chart = read_chart(body)
    expanded = repeat.Expander(foreign(write_musicxml(chart)).parts[0]).process()
    theirs = [chord.root().name for chord in expanded.recurse().getElementsByClass(harmony.ChordSymbol)]
    assert [str(span.symbol.root) for span in unfold(chart).spans if span.symbol] == theirs


def test_words_of_a_reading_stand_at_their_chords() -> None:
    """Functions and key centers are words that music21 finds at their places and that we don't take for anything."""
    chart = read_chart("[A]\n| Dm7 / G7 / | Cmaj7 |")
    words = {
        (1, Fraction(0)): ChordWords("ii7", "C major"),
        (1, Fraction(2)): ChordWords("V7", "C major"),
        (2, Fraction(0)): ChordWords("Imaj7"),
    }
    text = write_musicxml(chart, words)
    found = [
        (measure.number, float(element.offset), element.content)
        for measure in foreign(text).parts[0].getElementsByClass("Measure")
        for element in measure.getElementsByClass("TextExpression")
    ]
    assert [(1, 0.0, "C major"), (1, 0.0, "ii7"), (1, 2.0, "V7"), (2, 0.0, "Imaj7")] == found
    back = read_musicxml(text.encode())
    assert (chart.sections, ()) == (back.sections, back.remarks)


def test_spellings_are_kept() -> None:
    """The player's own spelling of a chord goes out and comes in again."""
    chart = read_chart("| C-7 | F7(b9, 13) | BbΔ7/D | N.C. |")
    back = read_musicxml(write_musicxml(chart).encode())
    assert ["C-7", "F7(b9, 13)", "BbΔ7/D", "N.C."] == [span.written for span in unfold(back).spans]


def test_a_title_holds_what_xml_can_hold() -> None:
    """Markup in a text is harmless, and a character that XML can't hold is replaced."""
    chart = replace(read_chart("| C |"), title="<Salt> & \x01Lamp", composer='"Mirrel" <b>')
    back = read_musicxml(write_musicxml(chart).encode())
    assert ("<Salt> & \N{REPLACEMENT CHARACTER}Lamp", '"Mirrel" <b>') == (back.title, back.composer)
