"""The shorthand of Harte, Sandler, Abdallah & Gómez (ISMIR 2005) over its whole range, held against mir_eval."""

from itertools import product

import mir_eval.chord
import pytest

from trainer.harmony.harte import harte_of, symbol_of_harte
from trainer.harmony.pitch import HarmonyError, NoteName
from trainer.harmony.quality import QUALITIES, Quality
from trainer.harmony.symbol import ChordSymbol, parse_chord

ROOTS = [NoteName(letter, step) for letter, step in product("CDEFGAB", range(-2, 3))]
BASSES = [NoteName(letter, step) for letter, step in product("CDEFGAB", range(-1, 2))]


def encoded(text: str) -> tuple[int, frozenset[int], int]:
    """Root and all that sounds with the bass, and the bass, as pitch classes, by mir_eval."""
    root, bitmap, bass = mir_eval.chord.encode(text, reduce_extended_chords=True)
    low = (root + bass) % 12
    return root, frozenset({low} | {(root + step) % 12 for step, sounds in enumerate(bitmap) if sounds > 0}), low


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.id)
def test_each_row_on_every_root(quality: Quality) -> None:
    """All 35 names of a root, up to two flats or sharps: the chord comes back, and mir_eval hears its tones."""
    for root in ROOTS:
        symbol = ChordSymbol(root, quality)
        text = harte_of(symbol)
        assert symbol == symbol_of_harte(text)
        assert (root.pitch_class, symbol.pitch_classes, root.pitch_class) == encoded(text), text


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.id)
def test_each_row_over_every_bass(quality: Quality) -> None:
    """All 21 basses with one flat or sharp at most, own tones and foreign ones, on a root of each kind."""
    for root, bass in product((NoteName("D"), NoteName("A", -1), NoteName("F", 1)), BASSES):
        symbol = ChordSymbol(root, quality, bass)
        text = harte_of(symbol)
        assert symbol == symbol_of_harte(text)
        assert (root.pitch_class, symbol.pitch_classes, bass.pitch_class) == encoded(text), text


def test_mir_eval_finds_every_text_valid() -> None:
    """No text that is written breaks the grammar as mir_eval checks it."""
    for root, quality in product(ROOTS, QUALITIES):
        mir_eval.chord.validate_chord_label(harte_of(ChordSymbol(root, quality)))


@pytest.mark.parametrize(
    ("expected", "text"),
    [
        ("Bbaddb9", "Bb:(1,3,5,b9)"),
        ("C", "C:(1,3,5)"),
        ("Am7", "A:(1,b3,5,b7)"),
        ("D7b5", "D:(1,3,b5,b7)"),
        ("F#m7b5/E", "F#:(1,b3,b5,b7)/b7"),
        ("Ebmaj7#11", "Eb:maj7(#11)"),
    ],
)
def test_lists_of_degrees(expected: str, text: str) -> None:
    """Tones listed one by one, the root among them or not, are the chord that they make."""
    symbol = symbol_of_harte(text)
    assert symbol is not None
    root, sounding, low = encoded(text)
    assert (root, sounding, low) == (symbol.root.pitch_class, symbol.pitch_classes, symbol.bass_name.pitch_class)
    assert parse_chord(expected) == symbol


@pytest.mark.parametrize(
    "text", ["X", "c:maj", "C:maj:", "C:maj/", "C:(", "C:7(b9", "C:7()", "C maj7", "N/3", "NN", "C/H"]
)
def test_bad_input_is_told(text: str) -> None:
    """What isn't in the grammar raises the house's error, with what was found and what would have been right."""
    with pytest.raises(HarmonyError) as told:
        symbol_of_harte(text)
    assert told.value.found
    assert told.value.expected
