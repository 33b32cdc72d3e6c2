"""Comping: where the keys strike, how long, and what is tied over."""

from fractions import Fraction
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from synth.score import Note
from tests.trainer.voicing.passages import plain_symbols
from tests.trainer.voicing.tunes import bars
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.patterns import BassFeel, Comping
from trainer.voicing.performance import Performance, perform_chart
from trainer.voicing.sheet import SOUNDING

QUARTER_S = 0.5
"""At 120."""


def played(line: str, comping: Comping, with_bass: bool = True, **header: str) -> Performance:
    """A chart in a pattern, from its first bar on."""
    return perform_chart(bars(line, **header), count_in=False, comping=comping, with_bass=with_bass)


def keys(performance: Performance) -> list[Note]:
    """What the keys play."""
    return [note for note in performance.score.notes if note.part == "keys"]


def beats(performance: Performance) -> list[float]:
    """Where the keys strike, in quarters."""
    return sorted({note.onset_s / QUARTER_S for note in keys(performance)})


def lengths(performance: Performance) -> list[float]:
    """How long each stroke sounds, in quarters, as written."""
    held = {note.onset_s: note.duration_s / float(SOUNDING) / QUARTER_S for note in keys(performance)}
    return [held[onset] for onset in sorted(held)]


@pytest.mark.parametrize(
    ("comping", "line", "meter", "expected"),
    [
        ("charleston", "| Dm7 | G7 |", "4/4", [0, 1.5, 4, 5.5]),
        ("pushes", "| Dm7 | G7 |", "4/4", [0, 1.5, 3.5, 5.5]),
        ("pushes", "| Dm7 G7 | Cmaj7 |", "4/4", [0, 1.5, 3.5, 5.5]),
        ("pushes", "| Dm7 | N.C. | G7 |", "4/4", [0, 1.5, 8, 9.5]),
        ("pushes", "| Dm7 | G7 |", "3/4", [0, 2.5]),
        ("bossa", "| Dm7 | / |", "4/4", [0, 1.5, 3, 5, 6.5]),
        ("bossa", "| Dm7 | G7 |", "4/4", [0, 1.5, 3, 4, 5, 6.5]),
        ("bossa", "| Dm7 | G7 |", "3/4", [0, 1.5, 3, 4.5]),
        ("waltz", "| Dm7 | G7 |", "3/4", [1, 2, 4, 5]),
        ("waltz", "| Dm7 / G7 | Cmaj7 |", "3/4", [1, 2, 4, 5]),
        ("waltz", "| Dm7 | G7 |", "4/4", [1, 3, 5, 7]),
        ("held", "| Dm7 | / | G7 |", "4/4", [0, 8]),
    ],
)
def test_strokes_fall_where_the_pattern_has_them(
    comping: Comping, line: str, meter: str, expected: list[float]
) -> None:
    """Pushes come an eighth ahead, the bossa has two bars, the waltz leaves one to the bass (common practice)."""
    assert pytest.approx(expected) == beats(played(line, comping, meter=meter))


def test_a_push_sounds_the_chord_that_is_to_come() -> None:
    """The next chord's keys sound an eighth early and over its beat; its name, mark and bass wait for the beat."""
    made = played("| Dm7 | G7 |", "pushes")
    second = made.chords[1]
    assert second.voicing is not None
    early = [note for note in keys(made) if note.onset_s == 3.5 * QUARTER_S]
    assert [key.midi for key in second.voicing.keys] == [note.midi for note in early]
    assert all(note.onset_s + note.duration_s > 4 * QUARTER_S for note in early)
    assert 4 * QUARTER_S == second.from_s
    assert 4 * QUARTER_S in {note.onset_s for note in made.score.notes if note.part == "bass"}


def test_a_push_is_swung_as_any_off_beat() -> None:
    """At two to one it comes on the last triplet before the beat."""
    made = played("| Dm7 | G7 |", "pushes", feel="swing")
    swing = Fraction(2)
    assert pytest.approx(float(3 + swing / (swing + 1))) == beats(made)[2]


@pytest.mark.parametrize(
    ("comping", "expected"),
    [
        ("charleston", [1.5, 1.5]),
        ("quarters", [0.75] * 4),
        ("bossa", [1, 1, 1]),
        ("held", [4]),
        ("pushes", [1.5, 1.5]),
    ],
)
def test_patterns_breathe(comping: Comping, expected: list[float]) -> None:
    """Strokes end before the next where the pattern has a rest; held chords don't."""
    assert pytest.approx(expected) == lengths(played("| Dm7 |", comping))


def test_a_waltz_without_a_bass_has_its_one() -> None:
    """Where no bass plays the first beat, the keys do."""
    assert pytest.approx([0, 1, 2]) == beats(played("| Dm7 |", "waltz", with_bass=False, meter="3/4"))


@given(
    st.lists(plain_symbols, min_size=1, max_size=8),
    st.sampled_from(get_args(Comping)),
    st.sampled_from(get_args(BassFeel)),
    st.sampled_from(["4/4", "3/4", "2/4", "5/4", "6/8", "7/8", "2/2"]),
    st.sampled_from(["straight", "swing"]),
    st.booleans(),
)
@settings(max_examples=80)
def test_every_chord_is_heard_in_every_pattern(
    symbols: list[ChordSymbol], comping: Comping, feel: BassFeel, meter: str, swing: str, with_bass: bool
) -> None:
    """Each chord's keys sound once at least, no stroke runs into the next, and all ends with the tune."""
    line = "| " + " | ".join(symbol.text for symbol in symbols) + " |"
    made = perform_chart(
        bars(line, meter=meter, feel=swing), count_in=False, comping=comping, bass_feel=feel, with_bass=with_bass
    )
    for chord in made.chords:
        assert chord.voicing is not None
        wanted = [key.midi for key in chord.voicing.keys]
        strokes = {note.onset_s for note in keys(made) if chord.from_s - QUARTER_S <= note.onset_s < chord.until_s}
        heard = [[note.midi for note in keys(made) if note.onset_s == onset] for onset in strokes]
        assert wanted in heard
    for part in ("keys", "bass"):
        notes = [note for note in made.score.notes if note.part == part]
        onsets = sorted({note.onset_s for note in notes})
        for onset, after in pairwise([*onsets, made.score.duration_s]):
            assert all(
                0 < note.duration_s and note.onset_s + note.duration_s <= after + 1e-9
                for note in notes
                if note.onset_s == onset
            )
