"""A chart as written: header, sections, bars, chords in exact time, and the player's pins.

Written bars are numbered from 1 in the order of the text; a pickup bar is 0. Positions in a bar
are Fractions of a beat from 0; a beat is the meter's denominator. Line and column count from 1.
Where something stands in the text, how it was spelled there, comments and remarks take no part in
comparing: two charts are equal when they say the same.
"""

from dataclasses import field
from fractions import Fraction

from trainer.harmony.key import Key
from trainer.harmony.numeral import Numeral
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter as printed."""

    beats: int
    unit: int

    @property
    def compound(self) -> bool:
        """6/8, 9/8, 12/8: the beat that is counted is dotted."""
        return self.unit == 8 and self.beats % 3 == 0 and self.beats > 3

    @property
    def quarters_of_beat(self) -> Fraction:
        """Length of one beat (the denominator) in quarter notes."""
        return Fraction(4, self.unit)

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
    text: str = field(default="", compare=False)
    """The chord as the player spelled it (`A-7`); empty where nobody did."""
    line: int = field(default=0, compare=False)
    column: int = field(default=0, compare=False)


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
    """Never beside a repeat sign on the same barline."""
    final_barline: bool = False
    """Never beside a repeat sign on the same barline."""
    line: int = field(default=0, compare=False)
    column: int = field(default=0, compare=False)
    """Of the first thing written in the bar."""
    places: tuple[tuple[str, int, int], ...] = field(default=(), compare=False)
    """Line and column of the signs, of `|:`, `:|` and of `[` (an ending)."""

    @property
    def beats(self) -> Fraction:
        """How long the bar is; less than the meter's beats in a pickup."""
        return sum((chord.beats for chord in self.chords), Fraction(0))

    def place_of(self, sign: str) -> tuple[int, int]:
        """Line and column of a sign, `|:`, `:|` or `[`; of the bar where that isn't known."""
        here = (self.line, self.column)
        return next(((line, column) for name, line, column in self.places if name == sign), here)


@dataclass(frozen=True, slots=True)
class WrittenSection:
    """A run of bars under one name; no bars where the name alone asks to play its last body again."""

    name: str | None
    """None for bars of a chart that names no sections."""
    bars: tuple[WrittenBar, ...]
    line: int = field(default=0, compare=False)
    column: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Remark:
    """Something worth telling the player that is no fault."""

    line: int
    column: int
    text: str

    def told(self, file: str) -> str:
        """The remark as one line for the player."""
        place = f"{file}, line {self.line}" if self.line else file
        return f"{place}: {self.text}"


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
    comments: tuple[tuple[int, str], ...] = field(default=(), compare=False)
    """Comments, without their `#`, with the line they stood on."""
    file: str = field(default="", compare=False)
    remarks: tuple[Remark, ...] = field(default=(), compare=False)
    """What the reader noticed that is no fault, such as header names it doesn't know."""
    header_places: tuple[tuple[str, int, int], ...] = field(default=(), compare=False)
    """Line and column of the value of each header name."""

    def place_of(self, name: str) -> tuple[int, int]:
        """Line and column of a header value; 0, 0 where it isn't known."""
        return next(((line, column) for known, line, column in self.header_places if known == name), (0, 0))
