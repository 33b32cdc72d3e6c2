"""The first two steps: what they call home and two–five–one is so, by the analysis and by music21."""

from random import Random

import music21
import pytest

from trainer.harmony.numeral import parse_any
from trainer.practice.first_steps import AWAY_CHORD, HOME_CHORD, HOME_KEY, KEY, first_steps
from trainer.voicing.sheet import PlayedChord


def asked(chords: tuple[PlayedChord, ...]) -> list[str]:
    """The chords after the key that is given."""
    return [chord.symbol.text for chord in chords if chord.role == "question"]


def roots(chords: tuple[PlayedChord, ...]) -> list[music21.pitch.Pitch]:
    """Their roots, as music21 writes them."""
    return [music21.pitch.Pitch(text[: 1 + text[1:2].count("b")].replace("b", "-")) for text in asked(chords)]


@pytest.mark.parametrize("seed", range(12))
def test_the_digit_of_home_is_the_chord_of_rest(seed: int) -> None:
    """The right digit is the place of the tonic chord among the two that sound."""
    home, _ = first_steps(Random(seed))
    sounding = asked(home.performance.chords)
    assert {HOME_CHORD, AWAY_CHORD} == set(sounding)
    tonic = music21.key.Key("C").tonic.name
    assert tonic == roots(home.performance.chords)[home.right - 1].name
    assert HOME_KEY.startswith(tonic)


@pytest.mark.parametrize("seed", range(12))
def test_the_right_row_is_what_sounds(seed: int) -> None:
    """The right row names, by music21's degrees, the roots that sound; the others don't."""
    _, cadence = first_steps(Random(seed))
    key = music21.key.Key(KEY.split()[0])
    degrees = [key.getScaleDegreeFromPitch(root) for root in roots(cadence.performance.chords)]
    told = [[parse_any(cell).degree.number for cell in row] for row in cadence.rows]
    assert [2, 5, 1] == degrees
    assert [n for n, row in enumerate(told, 1) if row == degrees] == [cadence.right]
    assert asked(cadence.performance.chords)[0].startswith("Gm")
    assert len(cadence.rows) == cadence.choices


def test_both_places_come() -> None:
    """Over some seeds the right one stands in each place."""
    rights = [tuple(step.right for step in first_steps(Random(seed))) for seed in range(40)]
    assert {1, 2} == {home for home, _ in rights}
    assert {1, 2, 3} <= {row for _, row in rights}
