"""Intervals in words: those that players say, held against music21's own count of half steps."""

import pytest
from music21.interval import Interval as ReferenceInterval

from trainer.harmony.interval import Interval, degree_interval
from trainer.harmony.interval_words import IntervalNameError, parse_interval

QUALITIES = {"perfect": "P", "major": "M", "minor": "m", "augmented": "A", "diminished": "d"}
NUMBERS = ("second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth")


@pytest.mark.parametrize("number", range(2, 11))
@pytest.mark.parametrize("quality", QUALITIES)
def test_words_and_short_names_are_those_of_the_reference(quality: str, number: int) -> None:
    """Every quality of every number is the interval that music21 has by that name, or is none in both."""
    words = f"{quality} {NUMBERS[number - 2]}"
    perfect = (number - 1) % 7 in (0, 3, 4)
    if (quality in ("major", "minor")) == perfect and quality not in ("augmented", "diminished"):
        with pytest.raises(IntervalNameError):
            parse_interval(words)
        return
    reference = ReferenceInterval(f"{QUALITIES[quality]}{number}")
    expected = Interval(number - 1, reference.semitones)
    assert expected == parse_interval(words) == parse_interval(f"{QUALITIES[quality]}{number}")
    assert -expected == parse_interval(f"down a {words}") == parse_interval(f"-{QUALITIES[quality]}{number}")
    assert parse_interval(expected.name) == expected


@pytest.mark.parametrize(
    ("text", "half_steps"),
    [
        ("half step", 1), ("a half step", 1), ("up a whole step", 2), ("down 3 half steps", -3), ("2 whole steps", 4),
        ("Tritone", 6), ("-2", -2), ("+7", 7), ("a semitone", 1), ("down a tone", -2),
    ],
)  # fmt: skip
def test_steps_are_counted_and_not_spelled(text: str, half_steps: int) -> None:
    """Half steps, whole steps and the tritone say no letters (common practice, no source)."""
    assert half_steps == parse_interval(text)


def test_numbers_that_are_perfect_need_no_quality() -> None:
    """A fourth, a fifth and an octave are perfect unless said otherwise (common practice, no source)."""
    for number, word in ((4, "fourth"), (5, "fifth"), (8, "octave")):
        assert degree_interval(number) == parse_interval(word) == parse_interval(f"up a {word}")


@pytest.mark.parametrize("text", ["", "third", "3 thirds", "perfect third", "P3", "d1", "m0", "25", "big third", "³"])
def test_what_is_no_interval_is_refused(text: str) -> None:
    """What was found is told, and what would have been an interval."""
    with pytest.raises(IntervalNameError, match="expected an interval"):
        parse_interval(text)
