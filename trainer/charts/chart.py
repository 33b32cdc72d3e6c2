"""A chart as written: header, sections, bars, chords in exact time, and the player's pins.

Written bars are numbered from 1 in the order of the text; a pickup bar is 0. Positions in a bar
are Fractions of a beat from 0; a beat is the meter's denominator. Line and column count from 1.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from trainer.harmony.key import Key
from trainer.harmony.numeral import Numeral
from trainer.harmony.symbol import ChordSymbol


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter as printed."""

    beats: int
    unit: int

    @property
    def compound(self) -> bool:
        """6/8, 9/8, 12/8: the beat that is counted is dotted."""
        return self.unit == 8 and self.beats % 3 == 0 and self.beats > 3

    def __str__(self) -> str:
        return f"{self.beats}/{self.unit}"


@dataclass(frozen=True, slots=True)
class Pin:
    """The player's word on a key center, or on one chord's function."""

    center: Key | None
    """None ends the pin before it: `{}`."""
    numeral: Numeral | None = None
    """Set: the pin holds for the next chord alone, and that chord is this numeral of the center."""


@dataclass(frozen=True, slots=True)
class WrittenChord:
    """What is written at one place of a bar: a chord, a hold of the one before, or silence."""

    at: Fraction
    """Beats from the start of the bar."""
    beats: Fraction
    symbol: ChordSymbol | None
    """None is silence (`N.C.`). A hold or a `%` repeats what it holds."""
    held: bool = False
    """True where the text has `/` or `%` and no symbol of its own."""
    pin: Pin | None = None
    """A pin written right before this chord."""
    line: int = 0
    column: int = 0


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """One bar as written, with the signs that stand on its barlines."""

    number: int
    meter: Meter
    chords: tuple[WrittenChord, ...]
    """In order, filling the bar; holds within the bar are already part of the chord they hold."""
    repeated_bar: bool = False
    """True for `%`."""
    repeat_start: bool = False
    repeat_end: int = 0
    """How often the passage that ends here is played in all; 0 is no repeat sign."""
    ending: tuple[int, ...] = ()
    """The passes of an ending that begins here."""
    signs: tuple[str, ...] = ()
    """segno, coda, to coda, fine, D.C., D.S., and `D.C. al fine` and the like, in order."""
    double_barline: bool = False
    final_barline: bool = False
    line: int = 0


@dataclass(frozen=True, slots=True)
class WrittenSection:
    """A run of bars under one name; no bars where the name alone asks to play its last body again."""

    name: str | None
    """None for bars of a chart that names no sections."""
    bars: tuple[WrittenBar, ...]
    line: int = 0


Feel = Literal["straight", "swing"]


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart as written."""

    title: str
    sections: tuple[WrittenSection, ...]
    meter: Meter
    composer: str | None = None
    key: Key | None = None
    """What the printed signature says: a hint, never a verdict. None is `none`, or not said."""
    tempo: Fraction | None = None
    """Quarters a minute, dotted quarters in compound meters."""
    swing: Fraction | None = None
    """Long to short of a pair of eighths: 1 is straight, 2 is triplet swing, None is not said."""
    form: tuple[str, ...] = ()
    pickup: Fraction | None = None
    """Beats of bar 0."""
    trains: str | None = None
    source: str | None = None
    extra: tuple[tuple[str, str], ...] = ()
    """Header lines whose name this program doesn't know, kept as written."""
    comments: tuple[tuple[int, str], ...] = ()
    """Comments with the line they stood on."""
    file: str = ""
