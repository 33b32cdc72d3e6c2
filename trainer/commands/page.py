"""How a reading is written out: so many columns, and numerals in the way that a player reads them.

roman writes ii7 V7 Imaj7, small for minor; upper writes IIm7 V7 Imaj7, all large, with the chord's quality
in full; arabic writes 2-7 5(7) 1maj7, where a quality that begins with a figure stands in brackets, so that
it isn't read as part of the degree. All three count degrees against the major scale (common practice, no source).
"""

import re
from dataclasses import replace
from typing import Literal, cast

from trainer.commands.instrument import Instrument
from trainer.commands.player import player_settings
from trainer.commands.words import width
from trainer.harmony.key import Key, Mode
from trainer.harmony.note_names import Naming, chord_told, key_told, named, note_told
from trainer.harmony.numeral import Degree, Numeral
from trainer.harmony.pitch import NoteName
from trainer.reading.degrees import target_text
from trainer.reading.values import Analysis
from trainer.records import dataclass

Numerals = Literal["roman", "upper", "arabic"]

NUMERALS: dict[Numerals, str] = {"roman": "ii7 V7", "upper": "IIm7 V7", "arabic": "2-7 5(7)"}
"""Each way of writing with an example."""

_SIGNS = {"m7b5": "ø7", "m9b5": "ø9", "m11b5": "ø11", "aug": "+"}
"""Qualities that figures write with the trade's signs."""

_DEGREE = re.compile(r"(?<![\w#/])([b#]?)(VII|III|VI|IV|II|V|I|vii|iii|vi|iv|ii|v|i)(?![\w'/(+°ø])")
"""A degree that stands by itself in a sentence."""

_NUMBERS = {"I": "1", "II": "2", "III": "3", "IV": "4", "V": "5", "VI": "6", "VII": "7"}


@dataclass(frozen=True, slots=True)
class Page:
    """What a reading is written on."""

    columns: int
    numerals: Numerals = "roman"
    instrument: Instrument = "C"
    """Whose pitch the reading is in; it was transposed before."""
    naming: Naming = "english"
    """How notes, keys and chords are named."""
    chords: frozenset[str] = frozenset()
    """The symbols of the tune, by which a triad is told from a note."""

    def key(self, key: Key) -> str:
        """A key's name: `Bb major`, `B-Dur` or `Sib major`."""
        return key_told(key, self.naming)

    def note(self, name: NoteName) -> str:
        """A note's name."""
        return note_told(name, self.naming)

    def chord(self, text: str) -> str:
        """A chord's symbol as it is written."""
        return chord_told(text, self.naming)

    def read_on(self, analysis: Analysis) -> "Page":
        """The page with the chords of a tune."""
        if self.naming == "english":
            return self
        symbols = (chord.span.symbol for chord in analysis.chords)
        return replace(self, chords=self.chords | {symbol.text for symbol in symbols if symbol is not None})

    def numeral(self, numeral: Numeral) -> str:
        """A chord's numeral: `ii7`, `IIm7` or `2-7`."""
        return numeral_text(numeral, self.numerals)

    def degree(self, degree: Degree, mode: Mode) -> str:
        """A degree that something points to: `ii`, `II` or `2`."""
        return self.say(target_text(degree, mode))

    def say(self, sentence: str) -> str:
        """A sentence with the degrees in it written so, and the names."""
        told = sentence if self.numerals == "roman" else _DEGREE.sub(self._degree, sentence)
        return named(told, self.naming, self.chords)

    def _degree(self, found: re.Match[str]) -> str:
        signs, roman = found[1], found[2].upper()
        return signs + (roman if self.numerals == "upper" else _NUMBERS[roman])


def numeral_text(numeral: Numeral, numerals: Numerals) -> str:
    """Write a numeral in one of the three ways."""
    if numerals == "roman":
        return numeral.text
    bass = "" if numeral.bass is None else f"/{numeral.bass.arabic}"
    if numerals == "upper":
        return f"{numeral.degree.roman(minor=False)}{numeral.quality.spelling}{bass}"
    return f"{numeral.degree.arabic}{_after_figure(numeral)}{bass}"


def _after_figure(numeral: Numeral) -> str:
    """A chord's quality as it stands behind a figure: `-7`, `(7)`, `maj7`, `ø7`."""
    quality = numeral.quality
    suffix = _SIGNS.get(quality.id)
    if suffix is not None:
        return suffix
    suffix = quality.spelling.replace("Maj", "maj")
    if suffix.startswith("dim"):
        return "°" + suffix.removeprefix("dim")
    if quality.third == "minor":
        return "-" + suffix.removeprefix("m")
    return f"({suffix})" if suffix[:1].isdigit() else suffix


def page_for(numerals: Numerals | None, instrument: Instrument | None) -> Page:
    """The page of this terminal, as asked for or else as the settings say. Raises SettingsError."""
    settings = player_settings()
    return Page(
        width(),
        numerals or cast(Numerals, settings.numerals),
        instrument or cast(Instrument, settings.instrument),
        cast(Naming, settings.note_names),
    )
