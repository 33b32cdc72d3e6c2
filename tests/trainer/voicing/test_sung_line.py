"""A voice over the bass: as asked, near the one before, and in the middle of the keyboard."""

from fractions import Fraction
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from trainer.charts.chart import Meter
from trainer.harmony.symbol import parse_chord
from trainer.voicing.sung_line import MIDDLE, STRAYS, heights, perform_line


@given(st.lists(st.one_of(st.none(), st.integers(0, 11)), max_size=12))
def test_a_line_stays_near_and_in_the_middle(line: list[int | None]) -> None:
    """Every note is its pitch class, near the middle, and moves the short way unless it would stray."""
    placed = heights(line)
    assert line == [None if midi is None else midi % 12 for midi in placed]
    sounding = [midi for midi in placed if midi is not None]
    assert all(abs(midi - MIDDLE) <= STRAYS for midi in sounding)
    for one, other in pairwise(sounding):
        assert abs(other - one) <= 6 or abs(other - MIDDLE) <= 6


def test_bass_and_voice_sound_for_each_chord() -> None:
    """The seventh of two falls over the basses of a two-five-one; a note left out is silence."""
    chords = [parse_chord(text) for text in ("Dm7", "G7", "Cmaj7")]
    played = perform_line(chords, [Fraction(4)] * 3, [0, 11, None], Fraction(120), Meter(4, 4))
    notes = played.score.notes
    assert [2, 7, 0] == [note.midi % 12 for note in notes if note.part == "bass"]
    assert [60, 59] == [note.midi for note in notes if note.part == "keys"]
    assert 6.0 == played.score.duration_s
