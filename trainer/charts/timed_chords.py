"""A tune as lines of onset, offset and chord: seconds, and the plain-text shorthand of trainer.harmony.harte.

One line for each chord as it sounds, held chords in one piece, silence as `N`; three columns parted by
tabs, times with six decimals. This is how chord data are commonly kept as text (common practice, no source).
"""

from fractions import Fraction

from trainer.charts.timeline import Timeline
from trainer.harmony.harte import harte_of
from trainer.harmony.symbol import ChordSymbol


def write_timed_chords(timeline: Timeline, tempo: Fraction | None = None) -> str:
    """Write a played tune as timed chords; the tempo counts as the chart's does and is its own where None."""
    first = timeline.bars[0].meter
    quarters_a_minute = (tempo or timeline.tempo) * (Fraction(3, 2) if first.compound else 1)
    second = Fraction(60) / quarters_a_minute
    pieces: list[tuple[Fraction, Fraction, ChordSymbol | None]] = []
    for span in timeline.spans:
        until = span.start + span.quarters
        if pieces and pieces[-1][2] == span.symbol and (span.continues or span.symbol is None):
            pieces[-1] = pieces[-1][0], until, span.symbol
        else:
            pieces.append((span.start, until, span.symbol))
    return "".join(
        f"{float(start * second):.6f}\t{float(until * second):.6f}\t{harte_of(symbol)}\n"
        for start, until, symbol in pieces
    )
