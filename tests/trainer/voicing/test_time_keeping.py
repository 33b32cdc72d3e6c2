"""Time under a chart: brushes in swing, waltz and bossa, and a click."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.voicing.tunes import bars
from trainer.charts.chart import Meter
from trainer.voicing.patterns import GROUPS, TWO_BARS, quarters_of
from trainer.voicing.performance import perform_chart
from trainer.voicing.time_keeping import SLAP, SWIRL, TAP, brush_hits

meters = st.sampled_from([Meter(*pair) for pair in (*GROUPS, (6, 8), (9, 8), (12, 8))])


def places(meter: Meter, midi: int, bossa: bool = False, number: int = 0) -> list[Fraction]:
    """Where a kind of stroke falls in a bar."""
    return [hit.place for hit in brush_hits(meter, bossa, number) if hit.midi == midi]


def test_swing_slaps_two_and_four() -> None:
    """Beats and the last eighth of each half are tapped, 2 and 4 slapped, each half swept (common practice)."""
    four = Meter(4, 4)
    assert [1, 3] == places(four, SLAP)
    assert [0, Fraction(3, 2), 2, Fraction(7, 2)] == places(four, TAP)
    assert [0, 2] == places(four, SWIRL)


def test_the_waltz_slaps_two() -> None:
    """In three 2 has the slap, 1 and 3 are tapped, and one sweep fills the bar."""
    assert [1] == places(Meter(3, 4), SLAP)
    assert [0, Fraction(3, 2), 2] == places(Meter(3, 4), TAP)
    assert [0] == places(Meter(3, 4), SWIRL)


@pytest.mark.parametrize("number", [0, 1])
def test_the_bossa_has_straight_eighths(number: int) -> None:
    """Every eighth is played, the two bars' pattern slapped, nothing swept."""
    four = Meter(4, 4)
    assert list(TWO_BARS[number]) == places(four, SLAP, True, number)
    assert 8 == len(brush_hits(four, True, number))
    assert [] == places(four, SWIRL, True, number)


@given(meters, st.booleans(), st.integers(0, 1))
def test_brushes_stay_in_their_bar(meter: Meter, bossa: bool, number: int) -> None:
    """No stroke begins before the bar or ends after it, and there is one on the first beat."""
    hits = brush_hits(meter, bossa, number)
    assert 0 == hits[0].place
    assert all(0 <= hit.place < quarters_of(meter) for hit in hits)
    assert all(hit.place + hit.quarters <= quarters_of(meter) for hit in hits)
    assert all(1 <= hit.velocity <= 127 for hit in hits)


def test_time_is_kept_from_the_first_bar_to_the_last() -> None:
    """Brushes and clicks play after the count-in, swung as the tune is; without time there is none."""
    timeline = bars("| Dm7 | G7 |", feel="swing")
    brushed = perform_chart(timeline, time="brush")
    clicked = perform_chart(timeline, time="click", count_in=False)
    brushes = [note.onset_s for note in brushed.score.notes if note.part == "brush"]
    assert 2.0 == min(brushes)
    assert any(abs(onset - 2.0 - 0.5 * (1 + 2 / 3)) < 1e-9 for onset in brushes)
    assert [0.5 * beat for beat in range(8)] == [note.onset_s for note in clicked.score.notes if note.part == "click"]
    assert "brush" not in {note.part for note in perform_chart(timeline).score.notes}


def test_a_pickup_has_the_end_of_its_bar() -> None:
    """A pickup of one beat gets the last beat's strokes."""
    made = perform_chart(bars("| Bb7 | Ebmaj7 | Bb7 |", pickup="1"), count_in=False, time="brush")
    first = [note.midi for note in made.score.notes if note.part == "brush" and note.onset_s < 0.5]
    assert [SLAP, TAP] == first
