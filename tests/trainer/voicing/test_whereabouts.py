"""Bars in seconds, the same bars at another tempo, and where one is in them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.voicing.tunes import bars, tune
from trainer.reading.analysis import analyze
from trainer.voicing.hands import LATEST_S
from trainer.voicing.performance import joined, perform_chart
from trainer.voicing.sheet import Performance, performed
from trainer.voicing.whereabouts import (
    bar_at,
    barline_near,
    marked_at,
    numbered,
    place_in,
    section_around,
    section_starts,
)

PICKUP = {"pickup": "1", "meter": "3/4", "tempo": "90"}
LINE = "| Bb7 | Ebmaj7 | Bb7 | Ebmaj7 |"


def played(tempo: float | None = None, **more: object) -> Performance:
    """A tune of two sections with its reading."""
    return perform_chart(tune(), analyze(tune()), "chart", tempo, **more)  # type: ignore[arg-type]


def test_bars_tile_the_tune() -> None:
    """Bar follows bar from the count-in to the end; each chorus counts anew, a pickup comes once."""
    found = perform_chart(bars(LINE, **PICKUP), choruses=2)
    assert [0, 1, 2, 3, 1, 2, 3] == [bar.number for bar in found.bars]
    assert [0, 0, 0, 0, 1, 1, 1] == [bar.chorus for bar in found.bars]
    assert [1, 3, 3, 3, 3, 3, 3] == [bar.beats for bar in found.bars]
    assert all(one.until_s == other.from_s for one, other in zip(found.bars, found.bars[1:], strict=False))
    # Three quarters at 90 a minute: two seconds a bar; a bar of count-in, and two thirds of one before the pickup.
    assert pytest.approx(2.0 + 4 / 3) == found.bars[0].from_s
    assert [2.0] * 6 == [pytest.approx(bar.until_s - bar.from_s) for bar in found.bars[1:]]
    assert found.score.duration_s == found.bars[-1].until_s


def test_beats_are_counted_in_the_meters_units() -> None:
    """In six eighths the fourth beat begins halfway; before its start a bar is at its first beat."""
    (bar,) = perform_chart(bars("| Cmaj7 |", meter="6/8", tempo="60"), count_in=False).bars
    assert [1, 1, 3, 4, 6] == [bar.beat_at(at_s) for at_s in (-0.1, 0.0, 0.7, 1.0, 1.9)]


@pytest.mark.parametrize("what", ["chart", "route", "guide-tones", "bass"])
def test_another_tempo_is_the_tune_performed_at_it(what: str) -> None:
    """Made again from the same sheet at half as fast again, a tune is note for note what it is at that tempo."""
    one = perform_chart(tune(), analyze(tune()), what, 100, choruses=2, time="brush")  # type: ignore[arg-type]
    other = perform_chart(tune(), analyze(tune()), what, 150, choruses=2, time="brush")  # type: ignore[arg-type]
    assert one.written is not None
    assert other == performed(one.written, Fraction(3, 2))
    assert one == performed(one.written)


def test_hands_are_no_later_when_it_is_slower() -> None:
    """At half the tempo a stroke is as late as at the whole one, and never later than the table lets it be."""
    one = played(120.0, seed=3)
    even = played(60.0)
    assert one.written is not None
    slow = performed(one.written, Fraction(1, 2))
    late = [found.onset_s - exact.onset_s for found, exact in zip(slow.score.notes, even.score.notes, strict=True)]
    assert 0.0 < max(late) <= LATEST_S + 1e-9


@given(
    share=st.floats(0.0, 1.0),
    tempi=st.tuples(st.integers(40, 300), st.integers(40, 300)),
)
def test_the_same_place_is_the_same_beat(share: float, tempi: tuple[int, int]) -> None:
    """Whatever the tempi, the count-ins among them, the same place has the same bar and the way back is the same."""
    one, other = (perform_chart(bars(LINE), tempo=tempo, choruses=2) for tempo in tempi)
    at_s = share * one.score.duration_s
    there = place_in(one, other)(at_s)
    place, found = bar_at(one, at_s), bar_at(other, there)
    assert place == found
    assert pytest.approx(at_s, abs=1e-6) == place_in(other, one)(there)
    if place is not None and place < len(one.bars) - 1:
        into = (at_s - one.bars[place].from_s) * tempi[0]
        assert pytest.approx(into, abs=1e-3) == (there - other.bars[place].from_s) * tempi[1]


def test_a_count_in_of_another_length_moves_no_barline() -> None:
    """Slow, one bar is counted, fast two; the first bar's start is at the end of each."""
    slow, fast = perform_chart(bars(LINE), tempo=60), perform_chart(bars(LINE), tempo=240)
    assert [4.0, 2.0] == [performance.bars[0].from_s for performance in (slow, fast)]
    assert [0.0, 1.0, 2.0, 2.5] == [place_in(slow, fast)(at_s) for at_s in (0.0, 2.0, 4.0, 6.0)]
    assert fast.score.duration_s == place_in(slow, fast)(1000.0)


def test_other_tunes_have_no_same_place() -> None:
    """Performances of different numbers of bars are refused."""
    with pytest.raises(ValueError, match="1 and 4 bars"):
        place_in(perform_chart(bars("| C |")), perform_chart(bars(LINE)))


def test_where_one_is() -> None:
    """Before the first bar there is none; then the bar, the section and the center in force; the last one stays."""
    found = played(120.0)
    assert bar_at(found, 0.5) is None
    assert marked_at(found, "section", 0.5) is None
    starts = section_starts(found)
    assert found.bars[0].from_s == starts[0]
    names = [marked_at(found, "section", start) for start in starts]
    assert [marker.text for marker in found.score.markers if marker.kind == "section"] == names
    assert len(found.bars) - 1 == bar_at(found, 1e6)
    assert marked_at(found, "center", found.bars[0].from_s) is not None


def test_a_section_runs_to_the_next() -> None:
    """Around any time in it; the count-in belongs to the first, what rings on to the last; without names it is all."""
    found = played(120.0)
    starts = section_starts(found)
    assert (starts[0], starts[1]) == section_around(found, 0.0)
    assert (starts[0], starts[1]) == section_around(found, starts[1] - 0.01)
    assert starts[1] == section_around(found, starts[1])[0]
    assert (starts[-1], found.bars[-1].until_s) == section_around(found, 1e6)
    plain = perform_chart(bars(LINE), count_in=False)
    assert (0.0, plain.score.duration_s) == section_around(plain, 3.0)


def test_barlines_are_near() -> None:
    """A little before or after a barline is at it; after the end it is the last one."""
    found = perform_chart(bars(LINE, tempo="120"), count_in=False)
    assert [0.0, 2.0, 2.0, 8.0] == [barline_near(found, at_s) for at_s in (0.9, 1.1, 2.9, 99.0)]


def test_a_bars_number_is_looked_for_in_the_chorus_that_is_played() -> None:
    """Bar 2 in the second chorus is that one's; a number that no bar has is none."""
    found = perform_chart(bars(LINE, tempo="120"), count_in=False, choruses=2)
    assert [2.0, 10.0] == [numbered(found, 2, near_s).from_s for near_s in (0.0, 14.0)]  # type: ignore[union-attr]
    assert numbered(found, 5, 0.0) is None


def test_parts_that_are_joined_keep_their_bars() -> None:
    """One after the other, the second's bars stand where its notes do, and nothing says how to make them again."""
    one = perform_chart(bars(LINE), count_in=False, role="reading")
    found = joined(one, one)
    assert 8 == len(found.bars)
    begins = found.bars[4].from_s
    assert begins == min(note.onset_s for note in found.score.notes if note.onset_s >= begins)
    assert found.written is None
