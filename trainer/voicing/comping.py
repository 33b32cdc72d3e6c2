"""When the keys strike: each chord where it begins and where the pattern falls, or an eighth ahead of it.

A stroke of the pattern that leaves its chord less than a quarter is left out, whatever the pattern; a
chord that gets none is struck where it begins. Common practice, no source.
"""

from collections.abc import Sequence
from fractions import Fraction

from trainer.records import dataclass
from trainer.voicing.layout import Layout, Row, Stretch
from trainer.voicing.patterns import EIGHTH, Comping, accent, comping_places, pulses, stroke_quarters

_LEAST_STROKE = Fraction(1)
"""A stroke of the pattern that leaves its chord less than a quarter is left out."""


@dataclass(frozen=True, slots=True)
class KeyStroke:
    """One stroke of the keys, or a silence."""

    when: Fraction
    """Quarters from the start of everything."""
    chord: int | None
    harder: int
    longest: Fraction | None
    """Quarters that it sounds at most; None is until the next."""


def key_strokes(layout: Layout, comping: Comping, with_bass: bool) -> list[KeyStroke]:
    """All strokes in order. Without a bass the waltz has its chords on the first beats too."""
    if comping == "pushes":
        return _pushed(layout)
    strokes: list[KeyStroke] = []
    for row in layout.rows:
        for stretch in row.stretches:
            if stretch.chord is None:
                strokes.append(KeyStroke(row.when(stretch.at), None, 0, None))
                continue
            for place in _places(row, stretch, comping, with_bass):
                longest = stroke_quarters(comping, place, row.bar.meter)
                strokes.append(KeyStroke(row.when(place), stretch.chord, accent(place, row.bar.meter), longest))
    return strokes


def _places(row: Row, stretch: Stretch, comping: Comping, with_bass: bool) -> Sequence[Fraction]:
    fitting = [
        place
        for place in comping_places(row.bar.meter, comping, row.number)
        if stretch.at <= place and place + _LEAST_STROKE <= stretch.until
    ]
    waits = comping == "waltz" and with_bass and bool(fitting)
    opening = [stretch.at] if stretch.struck and not waits else []
    return opening + [place for place in fitting if place not in opening]


def _pushed(layout: Layout) -> list[KeyStroke]:
    """Each chord and each group of beats an eighth ahead, where the chord before leaves room; else on its beat."""
    strokes: list[KeyStroke] = []
    before: Row | None = None
    free = layout.rows[0].at if layout.rows else Fraction(0)
    """Where the next push may stand at the earliest: half a quarter into the chord before."""
    sounding = False
    for row in layout.rows:
        meter = row.bar.meter
        for stretch in row.stretches:
            if stretch.chord is None:
                strokes.append(KeyStroke(row.when(stretch.at), None, 0, None))
                sounding = False
                continue
            for place in _places(row, stretch, "pushes", True):
                ahead = (row, place - EIGHTH) if place else (before, _length(before) - EIGHTH)
                pushes = sounding and place in pulses(meter) and ahead[0] is not None
                if pushes and ahead[0] is not None and ahead[0].at + ahead[1] >= free:
                    when = ahead[0].when(ahead[1])
                else:
                    when = row.when(place)
                strokes.append(
                    KeyStroke(when, stretch.chord, accent(place, meter), stroke_quarters("pushes", place, meter))
                )
                sounding, free = True, row.at + place + EIGHTH
        before = row
    return strokes


def _length(row: Row | None) -> Fraction:
    return Fraction(0) if row is None else row.bar.quarters
