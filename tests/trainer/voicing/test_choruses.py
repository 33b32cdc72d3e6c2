"""Choruses: rising from one to the next, led across the seam."""

from itertools import pairwise

import pytest

from tests.trainer.voicing.tunes import bars, reading
from trainer.harmony.interval import Interval
from trainer.harmony.key import parse_key
from trainer.voicing.leading import motion
from trainer.voicing.performance import Performance, perform_chart

LINE = "| Dm7 | G7 | Cmaj7 | A7 |"


def marks(performance: Performance, kind: str) -> list[str]:
    """Texts of the markers of one kind."""
    return [mark.text for mark in performance.score.markers if mark.kind == kind]


def symbols(performance: Performance) -> list[str]:
    """The chords by name."""
    return [chord.symbol.text for chord in performance.chords]


@pytest.mark.parametrize(
    ("rise", "expected"),
    [
        (5, ["C", "F", "Bb", "Eb", "Ab", "Db", "F#", "B", "E", "A", "D", "G"]),
        (1, ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]),
    ],
)
def test_twelve_choruses_go_through_all_keys(rise: int, expected: list[str]) -> None:
    """By fourths or half steps each key comes once, under its most readable name."""
    timeline = bars(LINE, key="C")
    played = perform_chart(timeline, reading(timeline, {0: "C"}), choruses=12, rise=rise, count_in=False)
    assert [parse_key(name).name for name in expected] == marks(played, "center")
    assert 12 * 4 == len(played.chords)
    assert 12 * 8.0 == played.score.duration_s


def test_chords_are_spelled_by_their_new_key() -> None:
    """A fourth up from Db the chart is in Gb or F#, with no double accidentals; degrees stay what they are."""
    timeline = bars("| Ebm7 | Ab7 | Dbmaj7 | D7 |", key="Db")
    played = perform_chart(timeline, reading(timeline, {0: "Db"}), choruses=3, rise=5, count_in=False)
    assert ["Ebm7", "Ab7", "Dbmaj7", "D7"] == symbols(played)[:4]
    assert ["Abm7", "Db7", "Gbmaj7", "G7"] == symbols(played)[4:8]
    assert ["C#m7", "F#7", "Bmaj7", "C7"] == symbols(played)[8:]


def test_a_rise_begins_from_the_key_that_was_asked_for() -> None:
    """Transposed and rising, the first chorus is in the wanted key and the next above it; a full turn comes home."""
    timeline = bars(LINE, key="C")
    played = perform_chart(
        timeline, reading(timeline, {0: "C"}), choruses=3, rise=6, transpose=Interval(1, 2), count_in=False
    )
    assert ["D major", "Ab major", "D major"] == marks(played, "center")
    assert symbols(played)[:4] == symbols(played)[8:]


def test_half_steps_take_readable_names() -> None:
    """Moved by half steps rather than an interval, G major up four is B and down one is F#."""
    timeline = bars("| Am7 | D7 | Gmaj7 | G6 |", key="G")
    analysis = reading(timeline, {0: "G"})
    assert ["B major"] == marks(perform_chart(timeline, analysis, transpose=4), "center")
    assert ["F# major", "G major"] == marks(
        perform_chart(timeline, analysis, transpose=-1, choruses=2, rise=1), "center"
    )


def test_functions_and_sections_come_in_every_chorus() -> None:
    """Numerals are the same in every key; sections are named again."""
    timeline = bars("[A]\n| Dm7 | G7 |\n[B]\n| Cmaj7 | A7 |")
    analysis = reading(timeline, {0: "C"})
    functions = ("ii7", "V7", "Imaj7", "V7/ii")
    played = perform_chart(timeline, analysis, choruses=2, rise=1, functions=functions)
    assert ["A", "B", "A", "B"] == marks(played, "section")
    assert list(functions) * 2 == marks(played, "function")
    assert 4 == len([note for note in played.score.notes if note.part == "click"])


@pytest.mark.parametrize("rise", [0, 1, 5])
def test_voices_are_led_across_the_seam(rise: int) -> None:
    """From the last chord of a chorus to the first of the next they move as within it, and the bass is led in."""
    timeline = bars(LINE, key="C")
    played = perform_chart(timeline, choruses=12, rise=rise, bass_feel="walking", count_in=False)
    keys = [tuple(key.midi for key in chord.voicing.keys) for chord in played.chords if chord.voicing]
    steps = [motion(before, after) for before, after in pairwise(keys)]
    assert max(steps[3::4]) <= 16
    bass = [note.midi for note in played.score.notes if note.part == "bass"]
    for before, after in zip(bass[15::16], bass[16::16], strict=False):
        assert abs(before - after) in (0, 1, 2, 5, 7)


def test_the_last_chord_goes_where_the_next_chorus_begins() -> None:
    """G7 before a minor chord of the chorus to come takes b9 and b13; at the very end it goes to major."""
    timeline = bars("| Cm7 | Dm7 | G7 |")
    played = perform_chart(timeline, choruses=2, count_in=False)
    tones = [set(chord.voicing.stack) for chord in played.chords if chord.voicing and chord.symbol.text == "G7"]
    assert {(9, -1), (13, -1)} <= tones[0]
    assert {(9, 0), (13, 0)} <= tones[1]


def test_a_route_may_rise_too() -> None:
    """Each chorus of the route tells the centers a fourth higher."""
    timeline = bars("| Cmaj7 | Cmaj7 | Fm6 | Fm6 |", key="C")
    analysis = reading(timeline, {0: "C", 2: "f"})
    played = perform_chart(timeline, analysis, "route", choruses=2, rise=5, count_in=False)
    assert ["C major", "F minor", "F major", "Bb minor"] == marks(played, "center")


def test_no_chorus_is_refused() -> None:
    """Nothing to play is the caller's mistake."""
    with pytest.raises(ValueError, match="at least once"):
        perform_chart(bars(LINE), choruses=0)
