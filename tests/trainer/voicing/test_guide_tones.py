"""Guide-tone lines: what they are of each chord and where they resolve."""

from itertools import pairwise

import pytest
from hypothesis import given

from tests.trainer.voicing.passages import ROOTS, chords, plain_passages, two_five_one
from trainer.harmony.key import Mode
from trainer.harmony.pitch import NoteName
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.guide_tones import chord_tone_map, guide_lines


@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("tonic", ROOTS, ids=str)
def test_the_two_half_steps_of_a_two_five_one(tonic: NoteName, mode: Mode) -> None:
    """7ths fall a half step to the next 3rd, from ii to V and from V to a major I (to a minor one a step)."""
    lines = guide_lines(two_five_one(tonic, mode))
    falls = [
        (place, line[place].degree, line[place + 1].degree)
        for line in lines
        for place in (0, 1)
        if line[place].step == "falls" and line[place].tone == (7, -1)
    ]
    expected = [(0, "b7", "3"), (1, "b7", "3")] if mode == "major" else [(0, "b7", "3")]
    assert expected == sorted(falls)


def test_lines_of_the_common_cadence() -> None:
    """C B B under F F E: one line holds while the other falls (common practice, no source)."""
    lower, upper = guide_lines(chords("Dm7 G7 Cmaj7"))
    assert (["C", "B", "B"], ["falls", "held", "ends"]) == (
        [str(one.pitch.name) for one in lower],
        [one.step for one in lower],
    )
    assert ["F", "F", "E"] == [str(one.pitch.name) for one in upper]
    assert [False, True, False] == [one.resolves for one in upper]


@given(plain_passages)
def test_the_lines_are_the_third_and_the_seventh(symbols: list[ChordSymbol]) -> None:
    """Lower stays below upper, they are two tones of each chord, and their steps are what the pitches do."""
    lower, upper = guide_lines(symbols)
    assert len(symbols) == len(lower) == len(upper)
    for low, high in zip(lower, upper, strict=True):
        assert low.pitch.midi < high.pitch.midi
        assert {low.pitch.midi % 12, high.pitch.midi % 12} <= low.symbol.pitch_classes
    for line in (lower, upper):
        for before, after in pairwise(line):
            assert (before.step == "held") == (before.pitch.midi == after.pitch.midi)
            assert before.resolves == (abs(before.pitch.midi - after.pitch.midi) == 1)
        assert "ends" == line[-1].step


def test_a_map_of_chord_tones() -> None:
    """Each chord's tones with their degrees, spelled from the root."""
    assert [("1", "Db"), ("3", "F"), ("5", "Ab"), ("b7", "Cb")] == [
        (degree, str(name)) for degree, name in chord_tone_map(chords("Db7"))[0]
    ]


def test_no_chords_have_no_lines() -> None:
    """An empty stretch gives two empty lines."""
    assert ((), ()) == guide_lines([])
