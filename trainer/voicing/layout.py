"""A tune laid out in time: bars one after the other, chorus after chorus, with the chords to be voiced.

A chord held over a barline is one chord with a stretch in each bar; every chorus begins with chords of
its own. The passage is one from the first chorus to the last, so that voices are led across the seam.
"""

from collections.abc import Sequence
from fractions import Fraction

from trainer.charts.timeline import PlayedBar
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass
from trainer.voicing.aims import aims_of
from trainer.voicing.material import Material, is_pickup
from trainer.voicing.patterns import swung
from trainer.voicing.shapes import Aim


@dataclass(frozen=True, slots=True)
class Stretch:
    """One chord in one bar; places count in quarters from the start of the bar, before swing."""

    at: Fraction
    until: Fraction
    chord: int | None
    """Which of the laid out chords; None is silence."""
    struck: bool
    """False where the chord before is held on."""
    span: int
    """Place in the material's spans."""


@dataclass(frozen=True, slots=True)
class Row:
    """One bar in time."""

    at: Fraction
    """Quarters from the start of everything."""
    bar: PlayedBar
    stretches: tuple[Stretch, ...]
    chorus: int
    number: int
    """From 0 in each chorus, a pickup left out (it has -1): what two-bar patterns count by."""
    swing: Fraction

    def when(self, place: Fraction) -> Fraction:
        """Where a place of the bar is played, in quarters from the start of everything."""
        return self.at + swung(place, self.swing, self.bar.meter)


@dataclass(frozen=True, slots=True)
class Layout:
    """All bars of all choruses."""

    rows: tuple[Row, ...]
    symbols: tuple[ChordSymbol, ...]
    """One for each chord that is struck anew."""
    aims: tuple[Aim | None, ...]
    until: Fraction


def lay_out(choruses: Sequence[Material], start: Fraction, swing: Fraction) -> Layout:
    """Lay choruses out from a start on; a pickup is played before the first one alone.

    A chorus's last chord goes to the first of the next where it is in another key, or no reading says more.
    """
    rows: list[Row] = []
    symbols: list[ChordSymbol] = []
    aims: list[Aim | None] = []
    seams: list[int] = []
    at = start
    for chorus, material in enumerate(choruses):
        seams.append(len(symbols))
        stretches = _stretches(material, symbols, aims, skip_pickup=chorus > 0)
        for bar in material.bars:
            if bar.number not in stretches:
                continue
            first = material.bars[0].number + is_pickup(material.bars[0])
            number = -1 if is_pickup(bar) else bar.number - first
            rows.append(Row(at, bar, tuple(stretches[bar.number]), chorus, number, swing))
            at += bar.quarters
    for seam in seams[1:]:
        silent = not 0 < seam < len(symbols)
        if not silent and (aims[seam - 1] is None or choruses[0].key != choruses[1].key):
            aims[seam - 1] = aims_of(symbols[max(0, seam - 3) : seam + 1])[-2]
    return Layout(tuple(rows), tuple(symbols), tuple(aims), at)


def _stretches(
    material: Material, symbols: list[ChordSymbol], aims: list[Aim | None], skip_pickup: bool
) -> dict[int, list[Stretch]]:
    """The stretches of each bar by its number; chords that are struck anew are added to the lists."""
    skipped = {bar.number for bar in material.bars[:1] if skip_pickup and is_pickup(bar) and len(material.bars) > 1}
    found: dict[int, list[Stretch]] = {bar.number: [] for bar in material.bars if bar.number not in skipped}
    last: ChordSymbol | None = None
    for place, (span, aim) in enumerate(zip(material.spans, material.aims, strict=True)):
        if span.bar in skipped:
            continue
        struck = not (span.continues and span.symbol == last)
        last = span.symbol
        if struck and last is not None:
            symbols.append(last)
            aims.append(aim)
        at = span.at * Fraction(4, span.meter.unit)
        chord = None if last is None else len(symbols) - 1
        found[span.bar].append(Stretch(at, at + span.quarters, chord, struck, place))
    return found
