"""Roman numerals in every key by their spelled roots, applied both ways, and told when faulty."""

import pytest
from hypothesis import given
from music21 import key as music21_key
from music21 import roman

from tests.trainer.harmony.vocabulary import (
    KEPT_DEGREES,
    MAJOR_TONICS,
    RISING_DEGREES,
    foreign_class,
    keys,
    numerals,
)
from trainer.harmony.key import Key, parse_key
from trainer.harmony.numeral import (
    AppliedNumeral,
    Degree,
    Numeral,
    NumeralError,
    applied_chord,
    applied_to,
    chord_of,
    chord_of_any,
    degree_of,
    numeral_of,
    parse_any,
    parse_applied,
    parse_numeral,
    target_is_minor,
)
from trainer.harmony.symbol import parse_chord

TARGETS = "ii bII II bIII iii III IV iv V v bVI vi VI bVII vii VII".split()
APPLIED = "V7 ii7 bII7 vii°7".split()


@pytest.mark.parametrize("tonic", MAJOR_TONICS)
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_the_root_of_each_degree_is_music21s(tonic: str, mode: str) -> None:
    """In every key, in either mode, each degree's root is the one of music21 in the parallel major."""
    # Our degrees count from the major scale in both modes; music21's from the key's own scale.
    key, theirs = parse_key(f"{tonic} {mode}"), music21_key.Key(tonic.replace("b", "-"), "major")
    for degree in (*KEPT_DEGREES, *RISING_DEGREES):
        for text in (degree.roman(minor=False) + "7", degree.roman(minor=True) + "7"):
            root = roman.RomanNumeral(text, theirs).root().name
            assert root.replace("-", "b") == str(chord_of(parse_numeral(text), key).root)


@pytest.mark.parametrize("tonic", MAJOR_TONICS)
@pytest.mark.parametrize("target", TARGETS)
def test_the_root_of_each_applied_degree_is_music21s(tonic: str, target: str) -> None:
    """In every key each applied chord's root is the one of music21 in the parallel major."""
    # Where music21 writes a triple flat, only the sound is compared.
    key, theirs = parse_key(f"{tonic} minor"), music21_key.Key(tonic.replace("b", "-"), "major")
    for text in (f"{numeral}/{target}" for numeral in APPLIED):
        root = roman.RomanNumeral(text.replace("°", "o"), theirs).root().name
        ours = applied_chord(parse_applied(text), key).root
        assert foreign_class(root) == ours.pitch_class
        if root.count("-") < 3:
            assert root.replace("-", "b") == str(ours)


@given(numerals, keys)
def test_a_numerals_chord_is_named_back(numeral: Numeral, key: Key) -> None:
    """Naming the chord of a numeral gives the numeral, in every key where its roots need no respelling."""
    degrees = [degree for degree in (numeral.degree, numeral.bass) if degree is not None]
    if all(abs(key.tonic.alteration + degree.alteration) < 2 for degree in degrees) or not key.tonic.alteration:
        assert numeral == numeral_of(chord_of(numeral, key), key)
    assert numeral.degree.semitones == degree_of(chord_of(numeral, key).root, key).semitones


@given(numerals, numerals, keys)
def test_an_applied_numerals_text_reads_back(numeral: Numeral, target: Numeral, key: Key) -> None:
    """Reading what was written gives the applied numeral."""
    applied = applied_to(numeral, target.degree, key.mode)
    assert applied == parse_applied(applied.text) == parse_any(str(applied))
    assert chord_of_any(applied, key) == applied_chord(applied, key)


@pytest.mark.parametrize(
    ("symbol", "text"),
    [
        ("Cm7", "ii7"), ("C7", "II7"), ("Cm7b5", "iiø7"), ("C°7", "ii°7"), ("C°", "ii°"), ("Cmaj7", "IImaj7"),
        ("Cm6", "ii6"), ("C-Δ", "iimaj7"), ("C+", "II+"), ("C7b9", "II7b9"), ("Csus7", "II7sus4"), ("C6", "II6"),
        ("Bb/D", "I/3"), ("Eb/F", "IV/5"), ("Cm7/Bb", "ii7/1"), ("Gb7", "bVI7"), ("F#7", "bVI7"),
        ("B6/9", "bII6/9"), ("B°7", "#i°7"), ("F#°7", "#v°7"), ("Fb°", "bv°"),
        ("Cb7", "bII7"), ("Fb7", "bV7"), ("E7", "#IV7"), ("Cø9", "iiø9"), ("C7#5", "II7#5"),
    ],
)  # fmt: skip
def test_chords_in_b_flat(symbol: str, text: str) -> None:
    """Numerals of chords in Bb as the house writes them (common practice, no source)."""
    assert text == numeral_of(parse_chord(symbol), parse_key("Bb")).text


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("V7/ii", "A7"), ("iiø7/ii", "Em7b5"), ("V7/V", "D7"), ("bII7/V", "Ab7"), ("V7/IV", "C7"),
        ("vii°7/vi", "G#dim7"), ("V7/bVI", "Eb7"), ("ii7/bIII", "Fm7"), ("V7/7/ii", "A7/C#"), ("IIm7", "Dm7"),
        ("iim7", "Dm7"), ("IIm7b5", "Dm7b5"), ("VII°7", "Bdim7"), ("I6/9/3", "C6/9/E"), ("♭III", "Eb"),
    ],
)  # fmt: skip
def test_numerals_in_c(text: str, symbol: str) -> None:
    """Numerals as players write them, in C; the arabic degree counts in the key that the chord is read in."""
    assert symbol == chord_of_any(parse_any(text), parse_key("C")).text


def test_degrees_of_minor_count_from_the_major_scale() -> None:
    """In C minor Eb is bIII, Ab bVI and Bb bVII (Nettles & Graf, from memory)."""
    found = [numeral_of(parse_chord(symbol), parse_key("Cm")).text for symbol in ("Ebmaj7", "Abmaj7", "Bb7", "Fm7")]
    assert ["bIIImaj7", "bVImaj7", "bVII7", "iv7"] == found


@pytest.mark.parametrize(("mode", "minor"), [("major", {"II", "III", "VI", "VII"}), ("minor", {"I", "II", "IV"})])
def test_targets_are_minor_where_their_own_chord_is(mode: str, minor: set[str]) -> None:
    """A degree of the key is an applied chord's minor target where its own chord is minor or diminished."""
    key = parse_key(f"C {mode}")
    found = {str(degree) for degree in KEPT_DEGREES if target_is_minor(degree, key.mode)}
    assert minor == found


@pytest.mark.parametrize(
    ("text", "column", "found"),
    [
        ("", 1, "the end"), ("H7", 1, "'H7'"), ("bbII7", 1, "'bbII7'"), ("V8", 2, "'8'"), ("iisus4", 3, "'sus4'"),
        ("ii8", 3, "'8'"), ("V7/ii", 4, "'ii'"), ("I/9", 2, "'/9'"), ("VIII", 4, "'I'"),
    ],
)  # fmt: skip
def test_what_is_no_numeral_is_told_by_column(text: str, column: int, found: str) -> None:
    """A faulty numeral is refused with its column, what was found and what would have been accepted."""
    with pytest.raises(NumeralError) as error:
        parse_numeral(text)
    assert (text, column, found) == (error.value.text, error.value.column, error.value.found)
    assert error.value.expected
    assert f"column {column}" in str(error.value)


@pytest.mark.parametrize(("text", "column"), [("V7", 3), ("V7/3", 5), ("V7/ii/x", 6), ("V7/iim7", 6), ("V7/bbII", 4)])
def test_what_is_no_applied_numeral_is_told_by_column(text: str, column: int) -> None:
    """A faulty applied numeral is refused with its column."""
    with pytest.raises(NumeralError) as error:
        parse_applied(text)
    assert column == error.value.column


def test_a_bass_that_is_the_root_is_none() -> None:
    """A bass on the root says nothing, so two ways to write one chord are equal."""
    assert parse_numeral("V7") == parse_numeral("V7/5") == Numeral(Degree(5), parse_chord("C7").quality)
    assert parse_chord("C7") == parse_chord("C7/C")


def test_an_applied_numeral_is_a_value() -> None:
    """Two applied numerals with the same parts are equal, and the target's size is part of them."""
    five = parse_numeral("V7")
    assert AppliedNumeral(five, Degree(2), True) == parse_applied("V7/ii")
    assert parse_applied("V7/II") != parse_applied("V7/ii")
