"""Music21's bundled analyses as chord charts with the key withheld: 20 chorales by Bach, 48 madrigals by Monteverdi.

The analyses are roman numerals by their annotators (chorales: A. Jones, proofread by D. Tymoczko and H. Robb;
madrigals: as named in the files), in RomanText (Tymoczko, Gotham, Cuthbert & Ariza, ISMIR 2019). Each numeral
becomes a chord symbol: its root, the quality of its tones, its bass. What key it stood in is kept apart.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from music21 import converter, corpus, roman, stream
from music21.pitch import Pitch

from tests.trainer.reading.sets import KeyClass
from trainer.charts.chart import Meter
from trainer.charts.timeline import PlayedBar, PlayedSection, Span, Timeline
from trainer.harmony.pitch import NoteName
from trainer.harmony.suffix import parse_quality
from trainer.harmony.symbol import ChordSymbol

CHORALES, MADRIGALS = "chorales", "madrigals"
FOLDERS = {CHORALES: "choraleAnalyses", MADRIGALS: "monteverdi"}

SUFFIXES = {
    (0, 4, 7): "", (0, 3, 7): "m", (0, 3, 6): "dim", (0, 4, 8): "aug", (0, 4, 7, 10): "7", (0, 4, 7, 11): "maj7",
    (0, 3, 7, 10): "m7", (0, 3, 6, 10): "m7b5", (0, 3, 6, 9): "dim7", (0, 4, 8, 11): "maj7#5", (0, 5, 7): "sus4",
    (0, 4): "", (0, 3): "m", (0, 7): "5", (0,): "5", (0, 11): "maj7", (0, 7, 10): "7", (0, 4, 10): "7",
    (0, 3, 10): "m7", (0, 5): "sus4",
}  # fmt: skip
"""The tones of a numeral above its root, and how a player would write them; fifths may be left out."""


@dataclass(frozen=True, slots=True)
class RomanPiece:
    """One analysed piece as a chart that names no key."""

    corpus: str
    name: str
    timeline: Timeline
    centers: tuple[KeyClass, ...]
    """The annotator's key of each span."""
    degrees: tuple[int, ...]
    """Half steps of each root above the annotator's tonic."""
    applied: tuple[int | None, ...]
    """For a numeral of another degree (`V7/ii`): the half steps of that degree above the tonic."""
    exact: float
    """The share of the numerals whose tones stand in the table."""


@cache
def paths_of(name: str) -> tuple[Path, ...]:
    """The analyses of a corpus, in the order of their names."""
    found = (Path(path) for path in corpus.getPaths(fileExtensions=(".rntxt", ".rntext", ".romantext")))
    return tuple(sorted(path for path in found if FOLDERS[name] in path.parts))


@cache
def roman_piece(name: str, path: Path) -> RomanPiece:
    """Read one analysis. Parsing takes music21 half a second or so."""
    score = converter.parse(path)
    spans: list[Span] = []
    centers, degrees, applied, exact = [], [], [], []
    bars: list[PlayedBar] = []
    meter = Meter(4, 4)
    for measure in score.recurse().getElementsByClass(stream.Measure):
        for signature in measure.getElementsByClass("TimeSignature"):
            meter = Meter(signature.numerator, signature.denominator)
        unit = Fraction(meter.unit, 4)
        start = _exact(measure.getOffsetInHierarchy(score))
        number = len(bars) + (0 if _has_pickup(score) else 1)
        bars.append(PlayedBar(number, number, 0, meter, start, _exact(measure.duration.quarterLength)))
        for numeral, at, quarters in _numerals(measure):
            symbol, known = symbol_of(numeral)
            root, tonic = symbol.root.pitch_class, numeral.key.tonic.pitchClass
            again = bool(spans) and spans[-1].symbol == symbol and at == 0
            length = quarters * unit
            place = (at * unit, start + at, quarters, number, length, meter, number, 0)
            spans.append(Span(len(spans), *place, symbol, again, None, symbol.text))
            centers.append((tonic, numeral.key.mode))
            degrees.append((root - tonic) % 12)
            applied.append(_target(numeral))
            exact.append(known)
    section = PlayedSection(None, bars[0].number, bars[-1].number + 1, 0, len(spans))
    timeline = Timeline(
        path.stem, path.name, None, Fraction(90), False, Fraction(1), (), tuple(spans), tuple(bars), (section,)
    )
    return RomanPiece(
        name, path.stem, timeline, tuple(centers), tuple(degrees), tuple(applied), sum(exact) / len(exact)
    )


def _has_pickup(score: stream.Score) -> bool:
    first = score.recurse().getElementsByClass(stream.Measure).first()
    return bool(first.duration.quarterLength < first.barDuration.quarterLength)


def _exact(quarters: float | Fraction) -> Fraction:
    """Music21's quarters, which are floats where those are exact, as a fraction."""
    return Fraction(quarters).limit_denominator(96)


def _numerals(measure: stream.Measure) -> Iterator[tuple[roman.RomanNumeral, Fraction, Fraction]]:
    """The numerals of a measure with their offsets and lengths in quarters."""
    for numeral in measure.getElementsByClass(roman.RomanNumeral):
        quarters = _exact(numeral.quarterLength)
        if quarters > 0:
            yield numeral, _exact(numeral.offset), quarters


def symbol_of(numeral: roman.RomanNumeral) -> tuple[ChordSymbol, bool]:
    """A numeral's chord symbol, and whether its tones stand in the table.

    What doesn't stand there is told by its third, and by its seventh where that is minor.
    """
    root = numeral.root()
    tones = tuple(sorted({0} | {(pitch.pitchClass - root.pitchClass) % 12 for pitch in numeral.pitches}))
    suffix = SUFFIXES.get(tones)
    if suffix is None:
        third = "m" if 3 in tones and 4 not in tones else ""
        suffix = third + ("7" if 10 in tones else "")
    symbol = ChordSymbol(_note(root), parse_quality(suffix), _note(numeral.bass()))
    return symbol, tones in SUFFIXES


def _note(pitch: Pitch) -> NoteName:
    """A music21 pitch as a note name."""
    return NoteName(pitch.step, int(pitch.alter))


def _target(numeral: roman.RomanNumeral) -> int | None:
    """The degree that an applied numeral belongs to, in half steps above the tonic."""
    target = numeral.secondaryRomanNumeral
    return None if target is None else (target.root().pitchClass - numeral.key.tonic.pitchClass) % 12
