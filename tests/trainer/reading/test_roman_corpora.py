"""The reading against annotated chorales and madrigals, keys withheld, beside what counting tones comes to."""

from collections.abc import Sequence

import pytest

from tests.trainer.reading.naive_keys import NAIVE
from tests.trainer.reading.roman_corpora import CHORALES, MADRIGALS, RomanPiece, paths_of, roman_piece
from tests.trainer.reading.sets import Reader, agreement, found_centers, mean
from tests.trainer.reading.telling import tell
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis

CENTER_LEAST = {CHORALES: 0.74, MADRIGALS: 0.57}
"""Agreement on the key center, a mean over pieces; a little under what is reached."""
DEGREE_LEAST = {CHORALES: 0.74, MADRIGALS: 0.64}
"""Agreement on the root's degree in the center."""
APPLIED_LEAST = 0.6
"""Of the annotators' applied numerals in a center that agrees: those that are applied to the same degree here."""
BEYOND_NAIVE = 0.15
"""By so much the reading must beat the best naive reader."""

READERS: dict[str, Reader] = {"this program": lambda timeline: found_centers(analyze(timeline)), **NAIVE}


def degrees_alike(piece: RomanPiece, analysis: Analysis) -> float:
    """The share of time in which a root has the same degree here and for the annotator."""
    alike = whole = 0.0
    for chord, wanted in zip(analysis.chords, piece.degrees, strict=True):
        assert chord.numeral is not None
        whole += float(chord.span.quarters)
        alike += float(chord.span.quarters) * (chord.numeral.degree.semitones % 12 == wanted)
    return alike / whole


def applied_alike(piece: RomanPiece, analysis: Analysis) -> tuple[int, int]:
    """Of the applied numerals whose center agrees: how many point to the same degree, and how many there are."""
    alike = count = 0
    for chord, wanted, center in zip(analysis.chords, piece.applied, piece.centers, strict=True):
        assert chord.center is not None
        if wanted is not None and center == (chord.center.tonic.pitch_class, chord.center.mode):
            count += 1
            alike += chord.applied_to is not None and chord.applied_to.semitones % 12 == wanted
    return alike, count


def compared(name: str, chosen: Sequence[RomanPiece], capsys: pytest.CaptureFixture[str]) -> tuple[float, float]:
    """Tell how all readers agree with the annotators, and return how this program does and the best naive one."""
    found = {
        who: mean(agreement(piece.timeline, piece.centers, reader(piece.timeline)) for piece in chosen)
        for who, reader in READERS.items()
    }
    cells = ", ".join(f"{who} {one.center:.3f}/{one.tonic:.3f}" for who, one in found.items())
    tell(capsys, f"{len(chosen)} {name} (center/tonic alone): {cells}")
    return found["this program"].center, max(found[who].center for who in NAIVE)


@pytest.mark.parametrize(("name", "count"), [(CHORALES, 20), pytest.param(MADRIGALS, 48, marks=pytest.mark.long)])
def test_the_whole_corpus(name: str, count: int, capsys: pytest.CaptureFixture[str]) -> None:
    """Centers, degrees and applied numerals of every piece are mostly the annotators', more than by counting tones."""
    chosen = [roman_piece(name, path) for path in paths_of(name)]
    assert count == len(chosen)
    ours, naive = compared(name, chosen, capsys)
    analyses = [analyze(piece.timeline) for piece in chosen]
    degrees = sum(map(degrees_alike, chosen, analyses)) / count
    pairs = [applied_alike(piece, analysis) for piece, analysis in zip(chosen, analyses, strict=True)]
    alike, applied = sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)
    exact = sum(piece.exact for piece in chosen) / count
    tell(
        capsys,
        f"  roots on the annotator's degree {degrees:.3f}; {alike} of {applied} applied numerals "
        f"({alike / applied:.3f}); {exact:.3f} of the numerals have a symbol of exactly their tones",
    )
    assert ours >= CENTER_LEAST[name]
    assert ours >= naive + BEYOND_NAIVE
    assert degrees >= DEGREE_LEAST[name]
    assert alike / applied >= APPLIED_LEAST


def test_a_numeral_becomes_the_symbol_of_its_tones() -> None:
    """The first chorale's first bars by hand, from the file's own text: `I`, `I IV6 V6`, `I V vi` in G major."""
    piece = roman_piece(CHORALES, paths_of(CHORALES)[0])
    symbols = [span.symbol.text for span in piece.timeline.spans[:7] if span.symbol is not None]
    assert ["G", "G", "C/E", "D/F#", "G", "D", "Em"] == symbols
    assert {(7, "major")} == set(piece.centers[:7])
    assert [0, 0, 5, 7, 0, 7, 9] == list(piece.degrees[:7])
    assert [0, 1, 1, 1, 2, 2, 2] == [span.bar for span in piece.timeline.spans[:7]]
    assert piece.timeline.key is None
