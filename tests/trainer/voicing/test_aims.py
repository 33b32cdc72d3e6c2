"""Aims: where a dominant goes, from its neighbours and from a reading."""

from dataclasses import replace

import pytest

from tests.trainer.voicing.passages import chords
from tests.trainer.voicing.tunes import bars, reading
from trainer.harmony.pitch import parse_note_name
from trainer.voicing.aims import aims_of, aims_of_reading


@pytest.mark.parametrize(
    ("text", "place", "expected"),
    [
        ("Dm7 G7 Cmaj7", 1, "major"),
        ("Dm7 G7 Cm6", 1, "minor"),
        ("Dm7b5 G7 Cmaj7", 1, "minor"),
        ("A7 D7", 0, "major"),
        ("A7 Dm7", 0, "minor"),
        ("Dm7 Db7 Cmaj7", 1, "substitute"),
        ("Fm7 Bb7 Cmaj7", 1, "substitute"),
        ("Dm7 G7 G7", 1, None),
        ("G7sus4 G7 C", 0, "major"),
        ("C7 F7", 1, None),
        ("Cmaj7 F", 0, None),
        ("Bb7 Cm7", 0, None),
        ("Bb7 C7", 0, None),
    ],
)
def test_the_next_chord_decides(text: str, place: int, expected: str | None) -> None:
    """Down a fifth to major or minor, down a half step or up a whole step home as a substitute."""
    assert expected == aims_of(chords(text))[place]


@pytest.mark.parametrize(
    ("symbol", "center", "leads_to", "expected"),
    [
        ("G7", "C", "C", "major"),
        ("G7", "c", "C", "minor"),
        ("A7", "C", "D", "minor"),
        ("D7", "C", "G", "major"),
        ("Db7", "C", "C", "substitute"),
        ("Bb7", "C", "C", "substitute"),
        ("C7", "C", None, None),
        ("Em7", "C", None, "plain"),
        ("Em7", "D", None, None),
    ],
)
def test_a_reading_knows_the_target(symbol: str, center: str, leads_to: str | None, expected: str | None) -> None:
    """The awaited tonic and its center's mode decide; the iii of a major key takes no natural 9th."""
    analysis = reading(bars(f"| {symbol} |"), {0: center})
    target = None if leads_to is None else parse_note_name(leads_to)
    assert (expected,) == aims_of_reading([replace(analysis.chords[0], leads_to=target)])
