"""Where each chord of a passage goes, as far as its tensions care.

Without a reading the next chord decides: a dominant that falls a fifth goes to what stands there,
one that falls a half step or rises a whole step home is a substitute; a half-diminished chord a
fifth above the dominant points at minor (common practice, no source). A reading knows better.
"""

from collections.abc import Sequence

from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import ChordReading
from trainer.voicing.shapes import Aim

_MINOR_DEGREES = {"major": frozenset({2, 4, 9, 11}), "minor": frozenset({0, 2, 5, 7})}
"""Degrees, in half steps above the tonic, that a dominant reaches as minor chords."""


def aims_of(symbols: Sequence[ChordSymbol]) -> tuple[Aim | None, ...]:
    """The aim of each chord, from its neighbours alone; None where they say nothing."""
    return tuple(_aim_between(symbols, index) for index in range(len(symbols)))


def _aim_between(symbols: Sequence[ChordSymbol], index: int) -> Aim | None:
    symbol = symbols[index]
    if not symbol.quality.dominant:
        return None
    root = symbol.root.pitch_class
    before = next((other for other in reversed(symbols[:index]) if other.root != symbol.root), None)
    after = next((other for other in symbols[index + 1 :] if other.root != symbol.root), None)
    if after is None:
        return None
    fall = (root - after.root.pitch_class) % 12
    if fall == 7:
        prepared_dark = (
            before is not None and before.quality.half_diminished and (before.root.pitch_class - root) % 12 == 7
        )
        return "minor" if prepared_dark or after.quality.third == "minor" else "major"
    home = after.quality.third == "major" and not after.quality.dominant
    return "substitute" if fall == 1 or (fall == 10 and home) else None


def aims_of_reading(readings: Sequence[ChordReading]) -> tuple[Aim | None, ...]:
    """The aim of each chord as the reading has it; the iii of a major key gets no natural 9th."""
    return tuple(_aim_read(reading) for reading in readings)


def _aim_read(reading: ChordReading) -> Aim | None:
    symbol, center = reading.span.symbol, reading.center
    if symbol is None or center is None or reading.numeral is None:
        return None
    if not symbol.quality.dominant:
        third_degree = center.mode == "major" and reading.numeral.degree.semitones == 4
        return "plain" if third_degree and symbol.quality.third == "minor" else None
    if reading.leads_to is None:
        return None
    above = (symbol.root.pitch_class - reading.leads_to.pitch_class) % 12
    if above in (1, 10):
        return "substitute"
    if above != 7:
        return None
    target = (reading.leads_to.pitch_class - center.tonic.pitch_class) % 12
    if target == 0:
        return center.mode
    return "minor" if target in _MINOR_DEGREES[center.mode] else "major"
