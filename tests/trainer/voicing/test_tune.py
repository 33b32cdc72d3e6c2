"""A tune performed: bars, count-in, strokes, holds, silence, swing, choruses, keys, route."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from synth.score import Note
from tests.trainer.voicing.passages import plain_passages
from tests.trainer.voicing.tunes import bars, reading, tune
from trainer.harmony.interval import Interval
from trainer.harmony.quality import semitones_of
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.leading import muddy
from trainer.voicing.performance import Performance, perform_chart

BAR_S = 2.0
"""A bar of 4/4 at 120."""


def part(performance: Performance, name: str) -> list[Note]:
    """The notes of one part."""
    return [note for note in performance.score.notes if note.part == name]


def strokes(performance: Performance, name: str) -> list[float]:
    """Each onset of one part once, in order."""
    return sorted({note.onset_s for note in part(performance, name)})


def marks(performance: Performance, kind: str) -> list[tuple[float, str]]:
    """Times and texts of the markers of one kind."""
    return [(mark.at_s, mark.text) for mark in performance.score.markers if mark.kind == kind]


def test_a_bar_is_counted_in() -> None:
    """Four clicks come before the first chord, the first of them higher and harder."""
    played = perform_chart(tune())
    clicks = part(played, "click")
    assert [0.0, 0.5, 1.0, 1.5] == [note.onset_s for note in clicks]
    assert clicks[0].velocity > clicks[1].velocity
    assert [76, 77, 77, 77] == [note.midi for note in clicks]
    assert BAR_S == played.chords[0].from_s
    assert [(0.0, "count-in"), (BAR_S, "tune")] == marks(played, "role")


def test_a_short_bar_is_counted_twice() -> None:
    """At 240 a bar lasts a second, so two are counted; without a count-in nothing clicks."""
    assert 8 == len(part(perform_chart(tune(), tempo=240), "click"))
    bare = perform_chart(tune(), count_in=False)
    assert [] == part(bare, "click")
    assert 0.0 == bare.chords[0].from_s


def test_chords_stand_where_the_chart_has_them() -> None:
    """Chords begin and end by the chart's beats; a `%` sounds again, a hold goes on, N.C. is silence."""
    played = perform_chart(tune(), count_in=False)
    assert [
        ("Ebmaj7", 0.0, 2.0),
        ("Cm7", 2.0, 3.5),
        ("F7", 3.5, 4.0),
        ("Cm7", 4.0, 5.5),
        ("F7", 5.5, 6.0),
        ("Fm7", 8.0, 11.0),
        ("Bb7", 11.0, 12.0),
        ("Ebmaj7", 12.0, 16.0),
    ] == [(one.symbol.text, one.from_s, one.until_s) for one in played.chords]
    assert 16.0 == played.score.duration_s
    assert not [note for note in played.score.notes if note.onset_s < 8 and note.onset_s + note.duration_s > 6]


def test_the_charleston_strikes_one_and_the_and_of_two() -> None:
    """In a plain bar chords come on one and on the "and" of two, the bass on one and three."""
    played = perform_chart(bars("| Dm7 | G7 |"), count_in=False)
    assert [0.0, 0.75, 2.0, 2.75] == strokes(played, "keys")
    assert [0.0, 1.0, 2.0, 3.0] == strokes(played, "bass")


def test_two_chords_in_a_bar_are_struck_once_each() -> None:
    """A stroke that would leave its chord less than a beat gives way to the next chord."""
    played = perform_chart(bars("| Dm7 G7 |"), count_in=False)
    assert [0.0, 1.0] == strokes(played, "keys") == strokes(played, "bass")


def test_a_swung_and_comes_late() -> None:
    """Two to one, the "and" of two lies on the last triplet of its beat."""
    played = perform_chart(bars("| Dm7 |", feel="swing"), count_in=False)
    assert pytest.approx([0.0, (1 + Fraction(2, 3)) / 2]) == strokes(played, "keys")
    straight = perform_chart(bars("| Dm7 |", feel="swing"), count_in=False, swing=Fraction(1))
    assert [0.0, 0.75] == strokes(straight, "keys")


def test_a_chord_on_a_swung_eighth_begins_late() -> None:
    """A chord written on the "and" of two is swung like what is played there, marker and all."""
    played = perform_chart(
        bars("| Dm7 / / G7 / / / / |", feel="swing"), count_in=False, comping="held", bass_feel="halves"
    )
    late = float((1 + Fraction(2, 3)) / 2)
    assert pytest.approx(late) == played.chords[1].from_s == strokes(played, "keys")[1]
    assert pytest.approx(late) == marks(played, "chord")[1][0]


@pytest.mark.parametrize(
    ("comping", "expected"),
    [
        ("held", [0.0]),
        ("quarters", [0.5 * beat for beat in range(8)]),
        ("charleston", [0.0, 0.75, 2.0, 2.75]),
    ],
)
def test_a_held_chord_is_struck_again_where_the_pattern_says_so(comping: str, expected: list[float]) -> None:
    """Over a barline a held pattern rings on, others go on striking; the chord is named once."""
    played = perform_chart(bars("| Dm7 | / |"), count_in=False, comping=comping)  # type: ignore[arg-type]
    assert expected == strokes(played, "keys")
    assert [("Dm7", 0.0, 4.0)] == [(one.symbol.text, one.from_s, one.until_s) for one in played.chords]


@pytest.mark.parametrize(
    ("meter", "line", "tempo", "bar_s", "clicks"),
    [
        ("3/4", "| Dm7 | G7 |", 120, 1.5, 3),
        ("5/4", "| Dm7 | G7 |", 120, 2.5, 5),
        ("6/8", "| Dm7 | G7 |", 90, 4 / 3, 2),
        ("7/8", "| Dm7 | G7 |", 120, 1.75, 7),
    ],
)
def test_meters_are_respected(meter: str, line: str, tempo: int, bar_s: float, clicks: int) -> None:
    """Bars last what their meter says, the count goes by its beats, the score has the meter once."""
    played = perform_chart(bars(line, meter=meter, tempo=str(tempo)))
    beats, unit = map(int, meter.split("/"))
    assert clicks == len(part(played, "click"))
    assert pytest.approx([bar_s, 2 * bar_s]) == [one.from_s for one in played.chords]
    assert [(0.0, beats, unit)] == [(one.at_s, one.beats, one.unit) for one in played.score.meters]


def test_a_change_of_meter_stands_at_its_bar() -> None:
    """The score changes meter where the chart does, in seconds, and back for the next chorus."""
    timeline = bars("| C | F |\nmeter: 3/4\n| G | C |")
    played = perform_chart(timeline, choruses=2)
    assert [(0.0, 4), (6.0, 3), (9.0, 4), (13.0, 3)] == [(one.at_s, one.beats) for one in played.score.meters]
    assert 16.0 == played.score.duration_s


def test_a_pickup_is_counted_in_whole() -> None:
    """The count fills the pickup's bar, so that bars of the MIDI file fall on bars of the tune."""
    played = perform_chart(bars("| Bb7 | Ebmaj7 | Bb7 |", pickup="1"), choruses=2)
    assert 7 == len(part(played, "click"))
    assert [3.5, 4.0, 6.0, 8.0, 10.0] == [one.from_s for one in played.chords]
    assert 1 == len(played.score.meters)
    bare = perform_chart(bars("| Bb7 | Ebmaj7 | Bb7 |", pickup="1"), count_in=False)
    assert [(0.0, 1, 4), (0.5, 4, 4)] == [(one.at_s, one.beats, one.unit) for one in bare.score.meters]


def test_bars_may_be_chosen_and_repeated() -> None:
    """A stretch from bar to bar plays alone, as often as wanted, each chorus alike."""
    played = perform_chart(tune(), bars=(5, 6), choruses=3, count_in=False)
    assert ["Fm7", "Bb7"] * 3 == [one.symbol.text for one in played.chords]
    assert [0.0, 3.0, 4.0, 7.0, 8.0, 11.0] == [one.from_s for one in played.chords]
    assert 12.0 == played.score.duration_s
    with pytest.raises(ValueError, match="no bars"):
        perform_chart(tune(), bars=(40, 44))


def test_a_stretch_may_begin_on_a_held_chord() -> None:
    """Where the first bar chosen only holds what came before, it is struck."""
    played = perform_chart(tune(), bars=(8, 8), count_in=False, comping="held")
    assert ["Ebmaj7"] == [one.symbol.text for one in played.chords]
    assert [0.0] == strokes(played, "keys")


def test_another_key_moves_everything() -> None:
    """Symbols, centers and signature are named in the new key, and the same tones sound there."""
    timeline = tune()
    analysis = reading(timeline, {0: "Eb"})
    here = perform_chart(timeline, analysis)
    there = perform_chart(timeline, analysis, transpose=Interval(1, 2))
    assert "Eb" == here.score.key_signature
    assert "F" == there.score.key_signature
    assert "Fmaj7" == there.chords[0].symbol.text
    assert ["F major"] == [text for _, text in marks(there, "center")]
    for one, other in zip(here.chords, there.chords, strict=True):
        assert one.voicing is not None
        assert other.voicing is not None
        assert {(midi + 2) % 12 for midi in one.voicing.midi} == {midi % 12 for midi in other.voicing.midi}


def test_sections_centers_and_chords_are_marked() -> None:
    """A marker stands for each section, each change of center and each chord as it begins."""
    timeline = tune()
    played = perform_chart(timeline, reading(timeline, {0: "Eb", 1: "Bb", 6: "Eb"}), count_in=False)
    assert [(0.0, "A"), (8.0, "B")] == marks(played, "section")
    assert [(0.0, "Eb major"), (2.0, "Bb major"), (8.0, "Eb major")] == marks(played, "center")
    assert [(one.from_s, one.symbol.text) for one in played.chords] == marks(played, "chord")


def test_what_is_in_force_is_marked_at_the_start() -> None:
    """A stretch from the middle of a section and a chorus without its pickup still say where they are."""
    timeline = bars("[A]\n| Bb7 | Ebmaj7 | Bb7 |\n[B]\n| Ab6 | Ab6 |", pickup="1")
    analysis = reading(timeline, {0: "Eb"})
    twice = perform_chart(timeline, analysis, choruses=2, count_in=False)
    assert [(0.0, "A"), (4.5, "B"), (8.5, "A"), (12.5, "B")] == marks(twice, "section")
    assert [(0.0, "Eb major"), (8.5, "Eb major")] == marks(twice, "center")
    late = perform_chart(timeline, analysis, bars=(2, 3), count_in=False)
    assert [(0.0, "A"), (2.0, "B")] == marks(late, "section")


def test_the_route_tells_each_center_by_its_cadence() -> None:
    """Each center is its ii-V-I, in order, in proportion to its bars, with its name at its start."""
    timeline = bars("| Cmaj7 | Dm7 G7 | Cmaj7 | Cmaj7 | Am6 | Bm7b5 E7 | Am6 | Am6 |")
    analysis = reading(timeline, {0: "C", 5: "a"})
    played = perform_chart(timeline, analysis, "route", count_in=False)
    expected = ["Dm7", "G7", "Cmaj7", "Bm7b5", "E7b9", "Am6"]
    assert expected == [one.symbol.text for one in played.chords]
    assert [(0.0, "C major"), (4.0, "A minor")] == marks(played, "center")
    assert 8.0 == played.score.duration_s
    assert [0.0, 1.0, 2.0, 4.0, 5.0, 6.0] == [one.from_s for one in played.chords]


def test_the_route_may_be_tonics_alone() -> None:
    """Each center by its chord of rest, in the quality that the tune has there."""
    timeline = bars("| F7 | F7 | F7 | F7 | Am | Am | Bm7b5 | E7 |")
    analysis = reading(timeline, {0: "F", 4: "a"})
    played = perform_chart(timeline, analysis, "route", count_in=False, route_as="tonic", route_share=Fraction(1))
    assert [("F7", 0.0, 8.0), ("Am", 8.0, 16.0)] == [
        (one.symbol.text, one.from_s, one.until_s) for one in played.chords
    ]


@given(st.lists(st.integers(1, 9), min_size=1, max_size=6), st.sampled_from(["4/4", "3/4", "6/8", "5/4"]))
@settings(max_examples=40)
def test_the_route_keeps_the_proportions(lengths: list[int], meter: str) -> None:
    """Each center lasts its share of its bars, to the nearest whole bar, and long enough for its cadence."""
    line = "| " + " | ".join("Cmaj7" for count in lengths for _ in range(count)) + " |"
    timeline = bars(line, meter=meter)
    keys = ["C", "Eb", "f#", "A", "d", "Ab"]
    centers, first = {}, 0
    for key, count in zip(keys, lengths, strict=False):
        centers[first] = key
        first += count
    played = perform_chart(timeline, reading(timeline, centers), "route", count_in=False)
    least = 2 if meter == "6/8" else 1
    bar_s = float(timeline.bars[0].quarters) * 60 / played.score.tempos[0].quarters_per_minute
    told = [max(least, int(count / 2 + 0.5)) for count in lengths]
    starts = [bar_s * sum(told[:place]) for place in range(len(told))]
    assert pytest.approx(starts) == [at for at, _ in marks(played, "center")]
    assert pytest.approx(bar_s * sum(told)) == played.score.duration_s
    assert 3 * len(lengths) == len(played.chords)


def test_a_route_needs_a_reading() -> None:
    """Without an analysis there are no centers to tell."""
    with pytest.raises(ValueError, match="analysis"):
        perform_chart(tune(), what="route")


def test_guide_tones_and_bass_sound_alone() -> None:
    """Two voices held, or the bass alone, with the chords' times unchanged."""
    whole = perform_chart(tune())
    guide = perform_chart(tune(), what="guide-tones")
    bass = perform_chart(tune(), what="bass")
    assert {"keys", "click"} == {note.part for note in guide.score.notes}
    assert {"bass", "click"} == {note.part for note in bass.score.notes}
    assert [one.from_s for one in whole.chords] == [one.from_s for one in guide.chords]
    assert [one.from_s for one in whole.chords] == [one.from_s for one in bass.chords]
    assert all(2 == len(one.voicing.keys) for one in guide.chords if one.voicing)


@given(plain_passages, st.integers(40, 320), st.sampled_from(["straight", "swing"]), st.booleans())
@settings(max_examples=50)
def test_notes_and_chords_agree(symbols: list[ChordSymbol], tempo: int, feel: str, with_bass: bool) -> None:
    """Every note lies in a chord and is of its voicing or its bass's fifth; each chord begins with one."""
    line = "| " + " | ".join(symbol.text for symbol in symbols) + " |"
    played = perform_chart(bars(line, feel=feel, tempo=str(tempo)), with_bass=with_bass)
    for chord in played.chords:
        assert chord.voicing is not None
        inside = [
            note for note in played.score.notes if note.part != "click" and chord.from_s <= note.onset_s < chord.until_s
        ]
        assert chord.from_s == inside[0].onset_s
        assert all(note.onset_s + note.duration_s <= chord.until_s for note in inside)
        assert {note.midi for note in inside if note.part == "keys"} == {key.midi for key in chord.voicing.keys}
        fifths = {semitones_of(tone) for tone in chord.symbol.quality.tones if tone[0] == 5}
        roots = {note.midi - chord.voicing.bass.midi for note in inside if note.part == "bass" and chord.voicing.bass}
        assert {above % 12 for above in roots} <= {0} | fifths
        for low in (note.midi for note in inside if note.part == "bass"):
            assert not any(muddy(low, key.midi) for key in chord.voicing.keys)
    onsets = [note.onset_s for note in played.score.notes]
    assert sorted(onsets) == onsets
