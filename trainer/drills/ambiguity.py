"""What else the ear could take a question for, judged from the notes that sound.

Two rows sound alike where each chord's sounding notes fit both. With a bass the bass is the root;
without one a rootless voicing may stand for another chord: Dm9 for Fmaj7, V7alt for bII9, a
diminished seventh for three others. What is compared is the cadence table in every key that the
question leaves open.
"""

from collections.abc import Sequence
from functools import lru_cache

from trainer.drills.question import Row
from trainer.harmony.cadence import CADENCES, formula_for
from trainer.harmony.key import Key, Mode, parse_key
from trainer.harmony.numeral import chord_of_any, numeral_of, parse_any
from trainer.harmony.quality import Quality, semitones_of
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.heard import heard
from trainer.records import dataclass
from trainer.voicing.leading import VoicedChord
from trainer.voicing.shapes import Aim, Style, allowed_tones

_AIMS: tuple[Aim, ...] = ("plain", "major", "minor", "substitute")

ROOT_LEFT_OUT: tuple[Style, ...] = ("rootless", "guide-tones")
"""Styles whose keys may do without the root where no bass plays."""
_MOST: Style = "quartal"
"""The style that adds the most tensions: who listens doesn't know the style, so they may sound in any."""


@dataclass(frozen=True, slots=True)
class Sounding:
    """The pitch classes of one voiced chord."""

    bass: int | None
    keys: frozenset[int]
    rooted: bool
    """The voicing names the root; False where it may stay away from the keys."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """Another row of the table that the same notes fit."""

    unit: str
    tonic: int
    mode: Mode
    numerals: Row


@dataclass(frozen=True, slots=True)
class _Shape:
    """What may and what must sound of a chord in C."""

    root: int
    bass: int
    may: frozenset[int]
    must: frozenset[int]


@dataclass(frozen=True, slots=True)
class _TableRow:
    unit: str
    mode: Mode
    numerals: Row
    shapes: tuple[_Shape, ...]


def sounding(chords: Sequence[VoicedChord], style: Style) -> tuple[Sounding, ...]:
    """What sounds of each chord."""
    rooted = style not in ROOT_LEFT_OUT
    return tuple(
        Sounding(
            None if chord.bass is None else chord.bass.name.pitch_class,
            frozenset(pitch.name.pitch_class for pitch in chord.keys),
            rooted,
        )
        for chord in chords
    )


@lru_cache(maxsize=1024)
def _guides(quality: Quality) -> frozenset[int]:
    """The third (or what is suspended in its place) and the seventh (or the sixth), above the root."""
    wanted = (3, 7) if quality.third is not None else (4, 2, 7)
    found = {semitones_of(tone) % 12 for tone in quality.tones if tone[0] in wanted}
    if quality.seventh is None and quality.sixth:
        found.add(9)
    if quality.fifth == "diminished":
        found.add(6)
    return frozenset(found)


@lru_cache(maxsize=4096)
def _may(quality: Quality) -> frozenset[int]:
    return frozenset(semitones_of(tone) % 12 for aim in _AIMS for tone in allowed_tones(quality, aim, _MOST))


@lru_cache(maxsize=4096)
def _shape(symbol: ChordSymbol) -> _Shape:
    root, bass = symbol.root.pitch_class, symbol.bass_name.pitch_class
    may = frozenset((root + tone) % 12 for tone in _may(symbol.quality)) | {bass}
    return _Shape(root, bass, may, frozenset((root + tone) % 12 for tone in _guides(symbol.quality)))


def alike(chord: ChordSymbol) -> tuple[int, int, int]:
    """What two chords share that nobody could tell apart: bass, sounding root and class."""
    known = heard(chord)
    return chord.bass_name.pitch_class, known.root, int(known.kind)


def fits(one: Sounding, symbol: ChordSymbol) -> bool:
    """Whether a chord's symbol may name what sounds."""
    return _fits(one, _shape(symbol), 0)


def _fits(one: Sounding, shape: _Shape, up: int) -> bool:
    root, bass = (shape.root + up) % 12, (shape.bass + up) % 12
    heard = one.keys if one.bass is None else one.keys | {one.bass}
    if one.bass is not None and one.bass != bass:
        return False
    if one.bass is None and one.rooted and root not in one.keys:
        return False
    return all((pitch - up) % 12 in shape.may for pitch in heard) and all(
        (pitch + up) % 12 in heard for pitch in shape.must
    )


@lru_cache(maxsize=64)
def _rows(length: int) -> tuple[_TableRow, ...]:
    """Every uninterrupted row of the table with so many chords, spelled in C."""
    rows: dict[tuple[Mode, Row], _TableRow] = {}
    for cadence in CADENCES:
        if cadence.shapes:
            continue
        key = parse_key("C" if cadence.mode == "major" else "C minor")
        for degree in cadence.degrees or (None,):
            for variant in (None, *range(len(cadence.variants))):
                row = formula_for(cadence, degree, variant)
                if len(row) != length:
                    continue
                chords = [chord_of_any(parse_any(text), key) for text in row]
                numerals = tuple(numeral_of(chord, key).text for chord in chords)
                known = _TableRow(cadence.id, cadence.mode, numerals, tuple(map(_shape, chords)))
                rows.setdefault((cadence.mode, numerals), known)
    return tuple(rows.values())


def table_rows(length: int) -> tuple[tuple[str, Mode, Row], ...]:
    """Unit, mode and numerals of every uninterrupted row of the table with so many chords, each once."""
    return tuple((row.unit, row.mode, row.numerals) for row in _rows(length))


def other_rows(heard: Sequence[Sounding], key: Key | None) -> tuple[Fitting, ...]:
    """Every row of the table that fits what sounds, in one key or (None) in any; the asked one too."""
    tonics = range(12) if key is None else (key.tonic.pitch_class,)
    return tuple(
        Fitting(row.unit, tonic, row.mode, row.numerals)
        for row in _rows(len(heard))
        for tonic in tonics
        if all(_fits(one, shape, tonic) for one, shape in zip(heard, row.shapes, strict=True))
    )


def stands_for_substitute(one: Sounding, symbol: ChordSymbol) -> bool:
    """Whether notes without a bass would do for a dominant a tritone away, or another diminished root."""
    if one.bass is not None or one.rooted:
        return False
    quality = symbol.quality
    if quality.third == "minor" and quality.seventh == "diminished":
        return True
    if not quality.dominant or quality.third is None:
        return False
    other = (symbol.root.pitch_class + 6) % 12
    altered = {(other + tone) % 12 for tone in range(12) if tone not in (5, 11)}
    return one.keys <= altered
