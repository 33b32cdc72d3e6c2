"""One voice over the bass of some chords, as a player would sing it: what a guide-tone line is by ear."""

from collections.abc import Sequence
from fractions import Fraction

from trainer.charts.chart import Meter
from trainer.harmony.key import Key
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.leading import voice
from trainer.voicing.patterns import accent, quarter_tempo, quarters_of
from trainer.voicing.sheet import BASS_VELOCITY, KEYS_VELOCITY, Performance, Sheet

MIDDLE = 64
"""E4: a line begins as near to it as it can, and comes back to it where it strays."""
STRAYS = 9
"""Half steps from the middle at which a line leaps an octave."""


def heights(line: Sequence[int | None]) -> tuple[int | None, ...]:
    """MIDI numbers for a line of pitch classes, each as near as can be to the one before; None is silence."""
    placed: list[int | None] = []
    before = MIDDLE
    for pitch_class in line:
        if pitch_class is None:
            placed.append(None)
            continue
        midi = before + (pitch_class - before + 5) % 12 - 5
        if abs(midi - MIDDLE) > STRAYS:
            midi = MIDDLE + (pitch_class - MIDDLE + 5) % 12 - 5
        placed.append(midi)
        before = midi
    return tuple(placed)


def perform_line(
    symbols: Sequence[ChordSymbol],
    beats: Sequence[Fraction],
    line: Sequence[int | None],
    tempo: Fraction,
    meter: Meter,
    *,
    key: Key | None = None,
    role: str = "answer",
    seed: int | None = None,
) -> Performance:
    """Play the bass of some chords and one pitch class of each as a voice above it. Beats as in a progression."""
    sheet = Sheet()
    sheet.tempos.append((Fraction(0), quarter_tempo(tempo, meter)))
    sheet.meter(Fraction(0), (meter.beats, meter.unit))
    sheet.mark(Fraction(0), "role", role)
    at = Fraction(0)
    voicings = voice(symbols, "guide-tones", True)
    for voicing, count, midi in zip(voicings, beats, heights(line), strict=True):
        length = Fraction(count) * 4 / meter.unit
        harder = accent(at % quarters_of(meter), meter)
        if voicing.bass is not None:
            sheet.play(at, length, voicing.bass.midi, BASS_VELOCITY + harder, "bass", role)
        if midi is not None:
            sheet.play(at, length, midi, KEYS_VELOCITY + harder, "keys", role)
        sheet.name(voicing.symbol, at, at + length, role, None)
        at += length
    return sheet.finished(at, key, "", seed)
