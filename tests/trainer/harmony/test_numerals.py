"""Numerals both ways, against music21's roots and by round trips."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import key as m21_key
from music21 import roman

from trainer.harmony.key import Key, parse_key, simplest_key
from trainer.harmony.numeral import (
    PLAIN_DEGREES,
    Degree,
    Numeral,
    NumeralError,
    applied_chord,
    chord_of,
    numeral_of,
    parse_applied,
    parse_numeral,
)
from trainer.harmony.quality import QUALITIES, QUALITY
from trainer.harmony.symbol import parse_chord

KEYS = [Key(simplest_key(pc, "major").tonic, mode) for pc in range(12) for mode in ("major", "minor")]
DEGREES = ("I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII")
TARGETS = {"major": ("ii", "iii", "IV", "V", "vi", "bIII", "bVI"), "minor": ("bIII", "iv", "V", "bVI", "bVII")}


def music21_root(figure: str, key: Key) -> int:
    """The root that music21 gives a roman numeral in the key's parallel major: there degrees count as ours do."""
    tonic = str(key.tonic).replace("b", "-")
    return int(roman.RomanNumeral(figure, m21_key.Key(tonic, "major")).root().pitchClass)


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_the_root_of_every_degree_is_music21s(key: Key) -> None:
    """Every degree in every key has the root that music21 finds (roots only: its figures are figured bass)."""
    for text in DEGREES:
        chord = chord_of(parse_numeral(text), key)
        assert music21_root(text, key) == chord.root.pitch_class, text


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_the_root_of_every_applied_degree_is_music21s(key: Key) -> None:
    """V, ii and vii of every degree have the root that music21 finds."""
    for target in TARGETS[key.mode]:
        for text, figure in (("V7", "V"), ("ii7", "ii"), ("vii°7", "vii")):
            applied = parse_applied(f"{text}/{target}")
            # In music21 a small target is minor, and vii of a minor key is its raised leading tone.
            assert music21_root(f"{figure}/{target.upper().replace('B', 'b')}", key) == (
                applied_chord(applied, key).root.pitch_class
            ), (text, target)


@pytest.mark.parametrize(
    ("chord", "key", "expected"),
    [
        ("Cm7", "Bb", "ii7"), ("C7", "Bb", "II7"), ("Cm7b5", "Bb", "iiø7"), ("Cdim7", "Bb", "ii°7"),
        ("Cdim", "Bb", "ii°"), ("Cmaj7", "C", "Imaj7"), ("Cm6", "c", "i6"), ("CmMaj7", "c", "imaj7"),
        ("C+", "C", "I+"), ("C7b9", "C", "I7b9"), ("C7sus4", "F", "V7sus4"), ("C6", "C", "I6"),
        ("Ebmaj7", "c", "bIIImaj7"), ("Ab7", "C", "bVI7"), ("Bb7", "C", "bVII7"), ("C/E", "C", "I/3"),
        ("F/G", "C", "IV/5"), ("F#m7b5", "C", "#ivø7"), ("C#dim7", "C", "#i°7"), ("Ebdim7", "C", "biii°7"),
        ("E7", "Eb", "bII7"), ("B7", "Eb", "bVI7"), ("Em7", "Db", "biii7"), ("F#dim7", "Eb", "#ii°7"),
        ("B7", "Gb", "IV7"), ("F#7", "C", "#IV7"), ("Gb7", "C", "bV7"),
    ],
)  # fmt: skip
def test_a_chord_in_a_key_has_the_numeral_players_write(chord: str, key: str, expected: str) -> None:
    """Numerals as players write them (common practice, no source); sharp degrees only where a chord rises."""
    assert expected == numeral_of(parse_chord(chord), parse_key(key)).text


@given(
    st.sampled_from(KEYS),
    st.sampled_from(PLAIN_DEGREES),
    st.sampled_from(QUALITIES),
    st.none() | st.sampled_from(PLAIN_DEGREES),
)
def test_numeral_to_chord_and_back(key: Key, degree: Degree, quality: object, bass: Degree | None) -> None:
    """A numeral's chord has that numeral, in every key."""
    numeral = Numeral(degree, quality, bass)  # type: ignore[arg-type]
    again = numeral_of(chord_of(numeral, key), key)
    assert (numeral.degree.semitones, numeral.quality) == (again.degree.semitones, again.quality)
    assert (numeral.bass or numeral.degree).semitones == (again.bass or again.degree).semitones


@given(st.sampled_from(PLAIN_DEGREES), st.sampled_from(QUALITIES), st.none() | st.sampled_from(PLAIN_DEGREES))
def test_a_numerals_text_reads_back(degree: Degree, quality: object, bass: Degree | None) -> None:
    """What is written is read again."""
    numeral = Numeral(degree, quality, bass)  # type: ignore[arg-type]
    assert numeral == parse_numeral(numeral.text)


def test_tones_come_from_the_chords_own_quality() -> None:
    """ii7 in C minor is the minor seventh that was written, whatever the key's scale says."""
    chord = chord_of(parse_numeral("ii7"), parse_key("c"))
    assert ("D", QUALITY["m7"]) == (str(chord.root), chord.quality)
    assert ["D", "F", "A", "C"] == [str(tone) for tone in chord.tones]


@pytest.mark.parametrize(
    ("text", "column", "expected"),
    [("VIII", 4, ""), ("", 1, "degree"), ("Q7", 1, "degree"), ("ii7/V/x", 6, ""), ("##I", 1, "one flat or sharp")],
)
def test_a_numeral_that_isnt_one_is_told_with_its_place(text: str, column: int, expected: str) -> None:
    """The error names the column and what would have been right."""
    with pytest.raises(NumeralError) as error:
        parse_numeral(text)
    assert expected in str(error.value)
    assert error.value.column >= 1
