"""What a chord can do, told from its symbol alone: its class, its sounding root, what it leans to.

A chord is sorted by its third, its fifth and its seventh; tensions only lean. Some slash chords
are other chords in disguise: a major triad a whole step below its bass (F/G) and a minor seventh
a fourth below its bass (Dm7/G) are suspended dominants on the bass note; a minor chord a major
third above its bass is a major seventh (Am/F), a major triad a minor third above its bass is a
minor seventh (C/A). Common practice, no source.
"""

from enum import IntEnum
from functools import lru_cache

from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass


class ChordClass(IntEnum):
    """What a chord can do; the dozen that harmony in fifths and thirds tells apart."""

    MAJOR = 0
    """Major seventh or sixth: a chord of rest."""
    MAJOR_TRIAD = 1
    """At rest, or a dominant whose seventh nobody wrote."""
    MINOR_REST = 2
    """Minor sixth or minor with a major seventh: a chord of rest."""
    MINOR_TRIAD = 3
    MINOR_SEVENTH = 4
    HALF_DIMINISHED = 5
    DOMINANT = 6
    SUSPENDED = 7
    DIMINISHED = 8
    AUGMENTED = 9
    OPEN = 10
    """Root and fifth alone."""


@dataclass(frozen=True, slots=True)
class Heard:
    """A chord as the search sees it."""

    root: int
    """Pitch class of the sounding root (the bass of a suspension in disguise)."""
    bass: int
    """Pitch class of the lowest note."""
    kind: ChordClass
    lean: int
    """-1: its tensions lean to a minor goal, 1: to a major goal, 0: they don't say."""
    six_four: bool
    """A triad over its own fifth: it may stand for the dominant's suspension."""


_MINOR_LEANS = frozenset({(9, -1), (9, 1), (13, -1), (5, 1)})
_MAJOR_LEANS = frozenset({(9, 0), (13, 0), (11, 1)})


def _lean(tones: tuple[tuple[int, int], ...]) -> int:
    if _MINOR_LEANS & set(tones):
        return -1
    return 1 if _MAJOR_LEANS & set(tones) else 0


def _class(symbol: ChordSymbol) -> ChordClass:
    quality = symbol.quality
    if quality.third is None:
        if not quality.suspended:
            return ChordClass.OPEN
        has_seventh = quality.seventh == "minor"
        return ChordClass.SUSPENDED if has_seventh or (4, 0) in quality.tones else ChordClass.MAJOR_TRIAD
    if quality.third == "minor":
        if quality.fifth == "diminished":
            return ChordClass.HALF_DIMINISHED if quality.seventh == "minor" else ChordClass.DIMINISHED
        if quality.seventh == "major" or quality.sixth:
            return ChordClass.MINOR_REST
        return ChordClass.MINOR_SEVENTH if quality.seventh == "minor" else ChordClass.MINOR_TRIAD
    if quality.seventh == "minor":
        return ChordClass.DOMINANT
    if quality.seventh == "major" or quality.sixth:
        return ChordClass.MAJOR
    return ChordClass.AUGMENTED if quality.fifth == "augmented" else ChordClass.MAJOR_TRIAD


@lru_cache(maxsize=4096)
def heard(symbol: ChordSymbol) -> Heard:
    """Sort a chord."""
    root, kind = symbol.root.pitch_class, _class(symbol)
    lean = _lean(symbol.quality.tones)
    bass = symbol.bass_name.pitch_class
    over = (bass - root) % 12
    if over == 2 and kind in (ChordClass.MAJOR, ChordClass.MAJOR_TRIAD):
        return Heard(bass, bass, ChordClass.SUSPENDED, 0, False)
    if over == 5 and kind == ChordClass.MINOR_SEVENTH:
        return Heard(bass, bass, ChordClass.SUSPENDED, 0, False)
    if over == 8 and kind in (ChordClass.MINOR_TRIAD, ChordClass.MINOR_SEVENTH):
        return Heard(bass, bass, ChordClass.MAJOR, 0, False)
    if over == 9 and kind == ChordClass.MAJOR_TRIAD:
        return Heard(bass, bass, ChordClass.MINOR_SEVENTH, 0, False)
    triad = kind in (ChordClass.MAJOR_TRIAD, ChordClass.MINOR_TRIAD)
    return Heard(root, bass, kind, lean, triad and over == 7)
