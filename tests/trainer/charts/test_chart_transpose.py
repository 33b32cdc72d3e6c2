"""Charts in other keys: what sounds is moved, nothing else changes, and names are those that players read."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.interval import Interval as ReferenceInterval
from music21.key import Key as ReferenceKey
from music21.pitch import Pitch as ReferencePitch

from tests.trainer.charts.chart_strategies import charts
from trainer.charts.chart import Chart, WrittenBar, WrittenSection
from trainer.charts.library import load
from trainer.charts.reader import read_chart
from trainer.charts.transpose import (
    StepsError,
    moved_chord,
    moved_key,
    parse_steps,
    transposed_chart,
    transposed_timeline,
)
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.harmony.key import Key, parse_key
from trainer.harmony.symbol import ChordSymbol, parse_chord

HALF_STEPS = st.integers(-14, 14)


def sound(symbol: ChordSymbol | None, by: int) -> tuple[int, str, int] | None:
    """A chord without its spelling, so many half steps lower."""
    if symbol is None:
        return None
    return (symbol.root.pitch_class - by) % 12, symbol.quality.id, (symbol.bass_name.pitch_class - by) % 12


def key_sound(key: Key | None, by: int) -> tuple[int, str] | None:
    """A key without its spelling, so many half steps lower."""
    return None if key is None else ((key.tonic.pitch_class - by) % 12, key.mode)


def sounds(chart: Chart, by: int) -> list[object]:
    """Whatever sounds or names a key in a chart, so many half steps lower."""
    told: list[object] = [key_sound(chart.key, by)]
    for section in chart.sections:
        for bar in section.bars:
            for chord in bar.chords:
                pin = None if chord.pin is None else (key_sound(chord.pin.center, by), chord.pin.numeral)
                told.append((sound(chord.symbol, by), pin))
    return told


def silenced(chart: Chart) -> Chart:
    """Everything of a chart that has nothing to do with pitch."""

    def bare(bar: WrittenBar) -> WrittenBar:
        return replace(bar, chords=tuple(replace(chord, symbol=None, pin=None) for chord in bar.chords))

    def emptied(section: WrittenSection) -> WrittenSection:
        return replace(section, bars=tuple(map(bare, section.bars)))

    return replace(chart, key=None, sections=tuple(map(emptied, chart.sections)))


@given(charts(), HALF_STEPS)
def test_what_sounds_is_moved_and_nothing_else(chart: Chart, by: int) -> None:
    """Chords, bass notes, pins and the printed key sound so many half steps away; bars, signs and words stay."""
    moved = transposed_chart(chart, by)
    assert sounds(chart, 0) == sounds(moved, by)
    assert silenced(chart) == silenced(moved)


@given(charts(), HALF_STEPS)
def test_a_moved_chart_can_be_written(chart: Chart, by: int) -> None:
    """What is moved reads back from its text as it is."""
    moved = transposed_chart(chart, by)
    assert moved == read_chart(write_chart(moved))


@given(charts(), HALF_STEPS)
def test_a_timeline_is_moved_as_its_chart(chart: Chart, by: int) -> None:
    """Playing out and moving can change places."""
    one, other = unfold(transposed_chart(chart, by)), transposed_timeline(unfold(chart), by)
    assert [sound(span.symbol, 0) for span in one.spans] == [sound(span.symbol, 0) for span in other.spans]
    assert [span.pin for span in one.spans] == [span.pin for span in other.spans]
    assert (one.key, one.bars, one.sections) == (other.key, other.bars, other.sections)


@given(charts())
def test_twelve_half_steps_come_home(chart: Chart) -> None:
    """Twelve times up a half step, everything sounds as at first; whole octaves at once change nothing at all."""
    moved = chart
    for _ in range(12):
        moved = transposed_chart(moved, 1)
    assert sounds(chart, 0) == sounds(moved, 0)
    assert chart == transposed_chart(chart, 12) == transposed_chart(chart, -24)


@pytest.mark.parametrize(
    ("chord", "key", "target", "expected"),
    [
        ("E7", "Eb", "D", "Eb7"),
        ("B7", "Eb", "C", "Ab7"),
        ("Ab7", "C", "Eb", "B7"),
        ("A7", "Db", "Eb", "B7"),
        ("F#m7b5", "C", "Db", "Gm7b5"),
        ("F#dim7", "C", "Ab", "Ddim7"),
        ("C#dim7", "C", "F", "F#dim7"),
        ("E7/G#", "C", "Eb", "G7/B"),
        ("D7/F#", "C", "Db", "Eb7/G"),
        ("Cm7/Bb", "Eb", "E", "C#m7/B"),
        ("Bbm7", "Gb", "G", "Bm7"),
        ("Cbmaj7", "Gb", "F", "Bbmaj7"),
        ("Bbmaj7", "F", "Gb", "Cbmaj7"),
        ("G7alt", "C minor", "F# minor", "C#7alt"),
        ("Ab/Bb", "Eb", "B", "E/F#"),
    ],
)
def test_chords_are_spelled_by_their_new_key(chord: str, key: str, target: str, expected: str) -> None:
    """A chord keeps its degree, and its root is named as players write it in that key (common practice, no source)."""
    assert expected == moved_chord(parse_chord(chord), parse_key(key), parse_key(target)).text


def test_keys_have_the_fewest_accidentals() -> None:
    """Every key on every half step has a signature of six accidentals at most, and that of music21 has as many."""
    for name in ("C", "Eb", "F#", "Gb", "A minor", "Bb minor", "D# minor"):
        for by in range(-12, 13):
            moved = moved_key(parse_key(name), by)
            assert abs(moved.fifths) <= 6
            reference = ReferenceKey(str(moved.tonic).replace("b", "-"), moved.mode)
            assert reference.sharps == moved.fifths


@pytest.mark.parametrize("by", [1, 2, 7, 9, -3])
def test_roots_sound_as_those_that_music21_transposes(by: int) -> None:
    """music21's transposed pitches and the moved roots are the same keys of a piano."""
    chart = load("the-lending-stair")
    moved = transposed_chart(chart, by)
    for before, after in zip(chart.sections, moved.sections, strict=True):
        for one, other in zip(before.bars, after.bars, strict=True):
            for mine, theirs in zip(one.chords, other.chords, strict=True):
                assert mine.symbol is not None
                assert theirs.symbol is not None
                reference = ReferencePitch(str(mine.symbol.root).replace("b", "-")).transpose(by)
                assert reference.pitchClass == theirs.symbol.root.pitch_class


def test_a_center_spells_its_chords_and_a_hold_follows_what_it_holds() -> None:
    """In A major a ii V I has sharps, though the tune's own key has flats; `%` and `/` are spelled as their chord."""
    chart = read_chart("key: E\n| Cm7 / F7 / | Bbmaj7 | % | / |")
    center = parse_key("Bb")
    centers = {(1, Fraction(0)): center, (1, Fraction(2)): center, (2, Fraction(0)): center}
    assert "| Bm7 E7 | Amaj7 | % | / |" in write_chart(transposed_chart(chart, -1, centers))


def test_a_key_that_is_asked_for_keeps_its_name() -> None:
    """Gb where Gb is asked for, F# where F# is."""
    chart = read_chart("key: F\n| Gm7 | C7 | Fmaj7 | Bb6 |")
    for name, bars in (("Gb", "| Abm7 | Db7 | Gbmaj7 | Cb6 |"), ("F#", "| G#m7 | C#7 | F#maj7 | B6 |")):
        moved = transposed_chart(chart, 1, asked=parse_key(name))
        assert parse_key(name) == moved.key
        assert bars in write_chart(moved)


@pytest.mark.parametrize(
    ("text", "half_steps"),
    [
        ("P1", 0), ("m2", 1), ("M2", 2), ("m3", 3), ("M3", 4), ("P4", 5), ("A4", 6), ("d5", 6), ("P5", 7), ("A5", 8),
        ("m6", 8), ("M6", 9), ("d7", 9), ("m7", 10), ("M7", 11), ("P8", 12), ("M9", 14), ("P15", 24), ("-M2", -2),
        ("−m3", -3), ("+P5", 7), ("0", 0), ("5", 5), ("+5", 5), ("-11", -11), ("24", 24),
    ],
)  # fmt: skip
def test_distances_are_read(text: str, half_steps: int) -> None:
    """Intervals by their short names, as music21 counts them too, and plain half steps; a minus is down."""
    assert half_steps == parse_steps(text)
    if text[-2:].isalnum() and not text.strip("+-−").isdigit():
        assert ReferenceInterval(text.replace("−", "-").lstrip("+")).semitones == half_steps


@pytest.mark.parametrize(
    "text", ["", "3m", "P3", "m5", "M4", "m0", "P16", "25", "-25", "--3", "+-3", "third", "1.5", "³"]
)
def test_what_is_no_distance_is_refused(text: str) -> None:
    """Intervals that there are not, and more than two octaves, are told with what would have been right."""
    with pytest.raises(StepsError, match="expected an interval"):
        parse_steps(text)
