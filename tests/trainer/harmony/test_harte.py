"""Chords in the shorthand of Harte, Sandler, Abdallah & Gómez (ISMIR 2005), held against mir_eval's reading of it."""

import mir_eval.chord
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.harmony.harte import HarteError, harte_of, symbol_of_harte
from trainer.harmony.pitch import NoteName
from trainer.harmony.quality import QUALITIES, Quality
from trainer.harmony.symbol import ChordSymbol, parse_chord

note_names = st.builds(NoteName, st.sampled_from("ABCDEFG"), st.integers(-2, 2))
symbols = st.builds(ChordSymbol, note_names, st.sampled_from(QUALITIES), st.one_of(st.none(), note_names))


def foreign(text: str) -> tuple[int, frozenset[int], int]:
    """Root, all that sounds, and bass, as pitch classes, as mir_eval reads them."""
    root, bitmap, bass = mir_eval.chord.encode(text, reduce_extended_chords=True)
    sounding = {(root + step) % 12 for step, sounds in enumerate(bitmap) if sounds > 0}
    return root, frozenset(sounding | {(root + bass) % 12}), (root + bass) % 12


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.id)
def test_every_quality_comes_back_and_sounds_alike(quality: Quality) -> None:
    """Each row of the table survives the shorthand, and mir_eval hears the row's own tones in it."""
    symbol = ChordSymbol(NoteName("E", -1), quality)
    text = harte_of(symbol)
    assert symbol == symbol_of_harte(text)
    assert (3, symbol.pitch_classes, 3) == foreign(text)


@given(symbols)
def test_any_chord_comes_back_and_sounds_alike(symbol: ChordSymbol) -> None:
    """Whatever its root and its bass, a chord comes back as it is spelled, and mir_eval hears the same."""
    text = harte_of(symbol)
    assert symbol == symbol_of_harte(text)
    assert (symbol.root.pitch_class, symbol.pitch_classes, symbol.bass_name.pitch_class) == foreign(text)


@pytest.mark.parametrize(
    ("expected", "text"),
    [
        ("C:maj7", "Cmaj7"), ("A:min7/b3", "Am7/C"), ("G:7(b9)", "G7b9"), ("F#:hdim7", "F#m7b5"), ("Eb:maj", "Eb"),
        ("B:dim7", "Bdim7"), ("D:minmaj7", "DmMaj7"), ("G:sus4(b7)", "G7sus4"), ("A:(5)", "A5"), ("C:7(*3)", "C7no3"),
        ("C:maj/2", "C/D"), ("C:maj/b7", "C/Bb"), ("Bb:maj6(9)", "Bb6/9"), ("C:(2,5)", "Csus2"),
    ],
)  # fmt: skip
def test_what_is_written(expected: str, text: str) -> None:
    """The shorthand with the fewest degrees beside it is chosen, and only from those of the paper."""
    assert expected == harte_of(parse_chord(text))


@pytest.mark.parametrize(
    ("expected", "text"),
    [
        ("C", "C"), ("C/E", "C/3"), ("Cadd9", "C:maj(2)"), ("C6/9", "C:maj6(9)"), ("C7b9", " C:7(b9) "),
        ("Csus2", "C:sus2"), ("C13", "C:13"), ("C5", "C:5"), ("C7", "C:(3,5,b7)"), ("C7alt", "C:7(*5,b9,#9,#11,b13)"),
        ("A##/Cbb", "A##:maj/bbbbb3"), ("Cm7/Bb", "C:min7/b7"), ("Gbb", "Gbb:maj"), ("C7add13", "C:7(6)"),
    ],
)  # fmt: skip
def test_what_is_read(expected: str, text: str) -> None:
    """Lists without a shorthand, later shorthands, and degrees an octave lower than theory stacks them."""
    assert parse_chord(expected) == symbol_of_harte(text)


def test_silence() -> None:
    """N is silence, both ways."""
    assert ("N", None) == (harte_of(None), symbol_of_harte("N"))


@pytest.mark.parametrize(
    ("text", "column", "expected"),
    [
        ("", 1, "`N`, or a root"), ("H:maj", 1, "`N`, or a root"), ("C:", 3, "one of maj"), ("C:blue", 3, "one of maj"),
        ("C:maj(b3x)", 7, "a degree from 1 to 13"), ("C:7(b9,14)", 8, "a degree from 1 to 13"),
        ("C:maj/0", 7, "a degree from 1 to 13"), ("C:maj(*7)", 7, "a tone of the shorthand"),
        ("C:(b2,b3,3,4,#4,b6,b7,7)", 3, "tones that a chord symbol holds"), ("C:maj(bbbbbb9)", 7, "a degree"),
        ("C:maj" + "(" * 100, 1, "`N`, or a root"),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, column: int, expected: str) -> None:
    """What can't be read is told with its column and with what would be right."""
    with pytest.raises(HarteError) as told:
        symbol_of_harte(text)
    assert column == told.value.column
    assert told.value.expected.startswith(expected)


@given(st.text(alphabet="ABCGN:#b/()*,maj minsudh79 1536é", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything but the shorthand's own error; what is read can be written again."""
    try:
        symbol = symbol_of_harte(text)
    except HarteError:
        return
    assert symbol == symbol_of_harte(harte_of(symbol))
