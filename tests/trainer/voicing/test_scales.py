"""Scales by function, as textbooks pair them with chords."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.voicing.passages import AIMS, aims
from trainer.harmony.quality import QUALITIES, QUALITY, Quality, semitones_of
from trainer.harmony.xml_kinds import read_tones
from trainer.voicing.scales import SCALES, chord_steps, scale_of, steps_of
from trainer.voicing.shapes import Aim


@pytest.mark.parametrize(
    ("name", "aim", "expected"),
    [
        ("maj7", None, "1 2 3 4 5 6 7"),
        ("maj7#11", None, "1 2 3 #11 5 6 7"),
        ("m7", None, "1 2 b3 4 5 6 b7"),
        ("m7", "plain", "1 b2 b3 4 5 b6 b7"),
        ("m6", None, "1 2 b3 4 5 6 7"),
        ("7", "major", "1 2 3 4 5 6 b7"),
        ("7", "minor", "1 b2 3 4 5 b6 b7"),
        ("7", "substitute", "1 2 3 #4 5 6 b7"),
        ("7b9", None, "1 b9 3 4 5 b6 b7"),
        ("7sus4", None, "1 2 4 5 6 b7"),
        ("m7b5", None, "1 b2 b3 4 b5 b6 b7"),
        ("dim7", None, "1 2 b3 4 b5 b6 bb7 7"),
        ("7alt", "minor", "1 b9 #9 3 #11 b13 b7"),
    ],
)
def test_chords_have_the_scales_of_the_textbooks(name: str, aim: Aim | None, expected: str) -> None:
    """Chord and scale as jazz theory pairs them: Levine, The Jazz Theory Book, 1995, from memory."""
    assert {semitones_of(tone) % 12 for tone in read_tones(expected)} == steps_of(QUALITY[name], aim)


@given(st.sampled_from(QUALITIES), aims)
def test_a_scale_holds_its_chord_and_no_degree_against_it(quality: Quality, aim: Aim | None) -> None:
    """What is played of the chord is in the scale, and none of its degrees stands there in another form."""
    scale = scale_of(quality, aim)
    assert {semitones_of(tone) % 12 for tone in quality.played_tones} <= steps_of(quality, aim)
    assert chord_steps(quality) <= steps_of(quality, aim)
    own = {degree for degree, _ in quality.played_tones if degree in (3, 5)}
    assert all(tone in quality.played_tones for tone in scale if tone[0] in own)


def test_every_scale_begins_on_its_root_and_rises() -> None:
    """The table's scales are written from 1 up, six to eight tones within an octave."""
    for tones in SCALES.values():
        steps = [semitones_of(tone) for tone in tones]
        assert 0 == steps[0]
        assert sorted(set(steps)) == steps
        assert 6 <= len(steps) <= 8
    assert len(AIMS) == 5
