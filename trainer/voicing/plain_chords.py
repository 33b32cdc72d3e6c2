"""A tune as plain block chords, for other programs to read: each chord once, held, its bass below it.

Every tone of the symbol that one hand can play sounds, within an octave over the root or the written
bass; nothing is added, so that who reads the notes finds the chords that are written. Sections, key
centers, chord symbols and functions are marked at their places.
"""

from collections.abc import Sequence
from fractions import Fraction

from synth.score import Score
from trainer.charts.timeline import Timeline
from trainer.reading.values import Analysis
from trainer.voicing.tune import perform_chart

STRAIGHT = Fraction(1)


def numerals(analysis: Analysis) -> tuple[str, ...]:
    """The numeral of each chord as text, one for each span; empty for silence."""
    return tuple("" if chord.numeral is None else chord.numeral.text for chord in analysis.chords)


def plain_chords(timeline: Timeline, analysis: Analysis | None = None, functions: Sequence[str] | None = None) -> Score:
    """Lay a tune out as block chords from its first bar on, without a count-in and without swing.

    The analysis gives the key centers' markers and, where `functions` is None, the numeral of each chord
    as its function; else `functions` is one text for each span of the timeline, empty for none.
    """
    if functions is None and analysis is not None:
        functions = numerals(analysis)
    return perform_chart(
        timeline, analysis, count_in=False, style="close", comping="held", bass_feel="held", swing=STRAIGHT,
        functions=functions or (),
    ).score  # fmt: skip
