"""The tune in one line: one sentence for any tune, in words that a player would use."""

import pytest
from hypothesis import given, settings

from tests.trainer.reading.charting import reading_of
from tests.trainer.reading.test_properties import tunes
from trainer.charts.library import load
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.reading.one_line import in_one_line


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("the-courier-turns-back",
         "Home in Bb; up a major third to D (bars 9-16), and home; in bar 11 Bb breaks in on D."),
        ("the-lending-stair", "Home in E; down in whole steps through D and C to Bb (bars 5-10), and home."),
        ("three-bells-at-saint-orrin",
         "Home in Eb; up in major thirds through G to B (bars 2-5, again 9-11), and home."),
        ("coal-barge", "A minor blues in G, with dominants of iv and V."),
        ("foundry-shift", "A blues in Bb, with dominants of IV and ii."),
        ("tallow-lane-after-rain", "Home in C minor; up a minor third to Eb (bars 17-20), and home."),
        ("the-toll-keepers-two-windows",
         "Home in F; up a fourth to Bb (bars 9-12), and home; in bar 20 Db breaks in on F."),
    ],
)  # fmt: skip
def test_an_exercise_tune_in_one_line(name: str, expected: str) -> None:
    """The centers, the moves and what breaks in, as the tune's golden reading has them."""
    assert expected == in_one_line(analyze(unfold(load(name))))


def test_a_silent_tune() -> None:
    """Where nothing sounds, that is what is said."""
    assert "Nothing sounds." == in_one_line(reading_of("N.C. | N.C."))


def test_major_is_said_where_both_modes_are_met() -> None:
    """Bb alone is major; where a tune has both keys on one note, both are named in full."""
    both = in_one_line(reading_of("Cmaj7 | Dm7 G7 | Cmaj7 | % | Dm7b5 | G7b9 | Cm6 | % | Dm7b5 | G7b9 | Cm6 | %"))
    assert "C minor" in both
    assert "C " not in both.replace("C minor", "").replace("C major", "")


@settings(max_examples=60, deadline=None)
@given(tunes)
def test_any_tune_is_told_in_one_short_sentence(tune: str) -> None:
    """One sentence, on one line, that names the home and stays short enough to say."""
    analysis = reading_of(tune)
    told = in_one_line(analysis)
    assert analysis.home is not None
    assert told.endswith(".")
    assert 1 == told.count(".")
    assert "\n" not in told
    assert str(analysis.home.key.tonic) in told
    assert len(told) < 700


def test_a_long_wander_is_cut_short() -> None:
    """A tune through many keys is told by its first moves and by how many come after."""
    keys = ("C", "Gb", "A", "Eb", "B", "D", "Ab", "F", "Db", "G", "E", "Bb")
    dominants = {"C": "G", "Gb": "Db", "A": "E", "Eb": "Bb", "B": "F#", "D": "A", "Ab": "Eb", "F": "C", "Db": "Ab",
                 "G": "D", "E": "B", "Bb": "F"}  # fmt: skip
    twos = {"C": "D", "Gb": "Ab", "A": "B", "Eb": "F", "B": "C#", "D": "E", "Ab": "Bb", "F": "G", "Db": "Eb",
            "G": "A", "E": "F#", "Bb": "C"}  # fmt: skip
    bars = " | ".join(f"{twos[key]}m7 {dominants[key]}7 | {key}maj7 | %" for key in (*keys, "C"))
    told = in_one_line(reading_of(bars))
    assert "more moves to" in told
    assert told.startswith("Home in C; ")
