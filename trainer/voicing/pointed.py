"""An answer for the ear: a key by its cadence, then lone notes that point to roots, each before its chords.

A note on the tonic and a note on the root above it say a chord's degree as an interval, which is how the
degree is heard in the passage itself. They are played in the middle of the keyboard, where small
loudspeakers still sound.
"""

from collections.abc import Sequence
from fractions import Fraction

from trainer.charts.chart import Meter
from trainer.harmony.key import Key
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass
from trainer.voicing.leading import voice
from trainer.voicing.patterns import accent
from trainer.voicing.performance import CONFIRM_TEMPO, give_key
from trainer.voicing.sheet import KEYS_VELOCITY, Performance, Sheet, strike
from trainer.voicing.styles import Style

LOWEST_TONIC = 50
"""D3: tonics that are pointed to lie in the octave from here on."""

CHORD_QUARTERS = 2
_METER = Meter(4, 4)


@dataclass(frozen=True, slots=True)
class Pointed:
    """Some chords, and the notes that point to them."""

    points: tuple[int, ...]
    """Half steps from the key's tonic, up or down; a quarter note each."""
    chords: tuple[ChordSymbol, ...]
    """A half note each; the last one fills its bar."""


def perform_pointed(
    groups: Sequence[Pointed],
    key: Key,
    style: Style = "close",
    with_bass: bool = True,
    *,
    start_on: int | None = None,
    role: str = "answer",
    seed: int | None = None,
) -> Performance:
    """Give a key, then each group in whole bars of four; no group leaves the key alone."""
    sheet = Sheet()
    at = give_key(sheet, key)
    sheet.tempos.append((at, CONFIRM_TEMPO))
    symbols = [symbol for group in groups for symbol in group.chords]
    voiced = iter(voice(symbols, style, with_bass, start_on=start_on)) if symbols else iter(())
    if groups:
        sheet.meter(at, (_METER.beats, _METER.unit))
        sheet.mark(at, "role", role)
    tonic = LOWEST_TONIC + (key.tonic.pitch_class - LOWEST_TONIC) % 12
    for group in groups:
        start = at
        for point in group.points:
            sheet.play(at, Fraction(1), tonic + point, KEYS_VELOCITY + accent((at - start) % 4, _METER), "keys", role)
            at += 1
        for left in range(len(group.chords), 0, -1):
            until = at + CHORD_QUARTERS
            if left == 1:
                until += -(until - start) % _METER.beats
            chord = next(voiced)
            strike(sheet, at, until - at, chord, accent((at - start) % 4, _METER), role)
            sheet.name(chord.symbol, at, until, role, chord)
            at = until
        at += -(at - start) % _METER.beats
    return sheet.finished(at, key, "", seed)
