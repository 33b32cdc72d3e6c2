"""Patterns: groups of beats, strokes of the comping, swing, bars of a MIDI file."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.charts.chart import Meter
from trainer.voicing.patterns import (
    GROUPS,
    accent,
    bar_meter,
    bass_places,
    comping_places,
    group_starts,
    pulses,
    quarter_tempo,
    quarters_of,
    swung,
)

meters = st.sampled_from([Meter(*pair) for pair in (*GROUPS, (6, 8), (9, 8), (12, 8), (6, 4), (1, 4), (4, 8))])


def places(*numbers: float) -> tuple[Fraction, ...]:
    """Exact places in quarters."""
    return tuple(Fraction(number) for number in numbers)


@pytest.mark.parametrize("pair", GROUPS)
def test_groups_fill_their_meter(pair: tuple[int, int]) -> None:
    """The groups of a meter add up to its beats."""
    assert pair[0] == sum(GROUPS[pair])


@pytest.mark.parametrize(
    ("meter", "counted", "charleston", "bass"),
    [
        (Meter(4, 4), places(0, 1, 2, 3), places(0, 1.5), places(0, 2)),
        (Meter(3, 4), places(0, 1, 2), places(0, 1.5), places(0)),
        (Meter(5, 4), places(0, 1, 2, 3, 4), places(0, 1.5, 3), places(0, 3)),
        (Meter(6, 8), places(0, 1.5), places(0, 1.5), places(0, 1.5)),
        (Meter(12, 8), places(0, 1.5, 3, 4.5), places(0, 1.5, 3, 4.5), places(0, 1.5, 3, 4.5)),
        (Meter(2, 4), places(0, 1), places(0), places(0)),
        (Meter(2, 2), places(0, 2), places(0, 1.5), places(0, 2)),
    ],
    ids=str,
)
def test_strokes_of_the_common_meters(
    meter: Meter,
    counted: tuple[Fraction, ...],
    charleston: tuple[Fraction, ...],
    bass: tuple[Fraction, ...],
) -> None:
    """One and the "and" of two, and the groups' starts (common practice, no source)."""
    assert counted == pulses(meter) == comping_places(meter, "quarters") == bass_places(meter, "quarters")
    assert charleston == comping_places(meter, "charleston")
    assert bass == bass_places(meter, "halves") == group_starts(meter)
    assert () == comping_places(meter, "held")


@given(meters, st.sampled_from(["charleston", "quarters", "held"]))
def test_every_stroke_lies_in_the_bar(meter: Meter, comping: str) -> None:
    """No place is before the bar or at its end or after."""
    strokes = (*comping_places(meter, comping), *bass_places(meter, "halves"))  # type: ignore[arg-type]
    assert all(0 <= place < quarters_of(meter) for place in strokes)


@pytest.mark.parametrize(
    ("at", "swing", "expected"),
    [
        (Fraction(3, 2), Fraction(2), Fraction(5, 3)),
        (Fraction(1, 2), Fraction(3, 2), Fraction(3, 5)),
        (Fraction(1, 4), Fraction(2), Fraction(1, 3)),
        (Fraction(3, 4), Fraction(2), Fraction(5, 6)),
        (Fraction(2), Fraction(2), Fraction(2)),
        (Fraction(3, 2), Fraction(1), Fraction(3, 2)),
    ],
)
def test_swing_moves_the_second_eighth(at: Fraction, swing: Fraction, expected: Fraction) -> None:
    """Two to one puts the "and" on the last triplet; beats stay, and straight is straight."""
    assert expected == swung(at, swing, Meter(4, 4))


@given(st.fractions(0, 4), st.fractions(0, 4), st.fractions(1, 4))
def test_swing_keeps_the_order(one: Fraction, other: Fraction, swing: Fraction) -> None:
    """What comes first straight comes first swung."""
    meter = Meter(4, 4)
    assert (one <= other) == (swung(one, swing, meter) <= swung(other, swing, meter))


def test_compound_meters_do_not_swing() -> None:
    """Eighths of 6/8 stay even."""
    assert Fraction(1, 2) == swung(Fraction(1, 2), Fraction(2), Meter(6, 8))


def test_accents_fall_with_the_metre() -> None:
    """One is strongest, then the groups' starts, then beats, then what lies between."""
    meter = Meter(4, 4)
    strengths = [accent(place, meter) for place in places(0, 2, 1, 1.5)]
    assert strengths == sorted(strengths, reverse=True)
    assert 4 == len(set(strengths))


@pytest.mark.parametrize(
    ("quarters", "meter", "expected"),
    [
        (Fraction(4), Meter(4, 4), (4, 4)),
        (Fraction(1), Meter(4, 4), (1, 4)),
        (Fraction(3, 2), Meter(4, 4), (3, 8)),
        (Fraction(1, 2), Meter(6, 8), (1, 8)),
        (Fraction(3), Meter(6, 8), (6, 8)),
    ],
)
def test_an_incomplete_bar_gets_a_meter_of_its_own(quarters: Fraction, meter: Meter, expected: tuple[int, int]) -> None:
    """A bar of a MIDI file has a meter that holds exactly its quarters."""
    assert expected == bar_meter(quarters, meter)


def test_compound_meters_count_dotted_quarters() -> None:
    """80 dotted quarters a minute are 120 quarters."""
    assert 120 == quarter_tempo(80, Meter(6, 8))
    assert 80 == quarter_tempo(80, Meter(3, 4))
