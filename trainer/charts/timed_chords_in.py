"""Timed chords read as a chart: lines of onset, offset and chord in seconds, the chord in Harte's shorthand.

Such lines tell no tempo and no bars. The tempo is the one from 70 to 140 at whose beats the chords change
most exactly; bars are of four beats from the first chord on, and each change goes to the nearest beat.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from trainer.charts.chart import Chart, Remark
from trainer.charts.lexer import shortened
from trainer.charts.reader import read_chart
from trainer.charts.text_file import decoded
from trainer.errors import Fault, TextError
from trainer.harmony.harte import symbol_of_harte
from trainer.harmony.pitch import HarmonyError
from trainer.harmony.symbol import ChordSymbol

MOST_LINES = 20_000
LONGEST_S = 6 * 3600.0
"""So long a recording holds no tune."""
BEATS_A_BAR = 4
TEMPOS = [Fraction(half, 2) for half in range(140, 280)]
"""In quarters a minute; an octave of them, so that twice as fast is no other answer."""
TOUCHING_S = 0.05
"""Chords that are no further apart have no silence between them."""

COLUMNS_TOLD = "onset, offset and chord, parted by tabs or spaces: `0.000 1.846 C:maj7`"


class _Piece(NamedTuple):
    start: float
    end: float
    symbol: ChordSymbol | None


def read_timed_chords(data: bytes, file: str = "-") -> Chart:
    """Read timed chords as a chart; its remarks tell the tempo that was found. Raises TextError."""
    pieces = _pieces(decoded(data, file), file)
    if not any(piece.symbol for piece in pieces):
        raise TextError(file, (Fault(0, 0, "no chord", "at least one chord that sounds"),))
    tempo = _tempo([piece.start for piece in pieces] + [pieces[-1].end])
    beats = _beats(pieces, tempo)
    lines = [f"tempo: {float(tempo):g}", "meter: 4/4", ""]
    for first in range(0, len(beats), 4 * BEATS_A_BAR):
        row = beats[first : first + 4 * BEATS_A_BAR]
        bars = [row[n : n + BEATS_A_BAR] for n in range(0, len(row), BEATS_A_BAR)]
        lines.append("| " + " | ".join(" ".join(bar) for bar in bars) + " |")
    chart = read_chart("\n".join(lines) + "\n", file)
    told = (
        f"timed chords tell no tempo and no bars; these change on the beats of {float(tempo):g} quarters a minute, "
        "and bars of four are counted from the first chord"
    )
    return replace(chart, remarks=(*chart.remarks, Remark(0, 0, told)))


def _pieces(text: str, file: str) -> list[_Piece]:
    faults: list[Fault] = []
    pieces: list[_Piece] = []
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        raise TextError(file, (Fault(0, 0, f"{len(lines)} lines", f"at most {MOST_LINES}"),))
    for number, line in enumerate(lines, 1):
        words = line.split()
        if not words or words[0].startswith("#"):
            continue
        if len(words) != 3:
            faults.append(Fault(number, 0, f"`{shortened(line.strip())}`", COLUMNS_TOLD))
            continue
        try:
            start, end = float(words[0]), float(words[1])
        except ValueError:
            faults.append(Fault(number, 0, f"`{shortened(' '.join(words[:2]))}`", "two times in seconds"))
            continue
        latest = pieces[-1].end if pieces else 0.0
        if not latest - TOUCHING_S <= start < end <= LONGEST_S:
            expected = f"an onset from {latest:g} on and an offset after it, within {LONGEST_S / 3600:g} hours"
            faults.append(Fault(number, 0, f"{words[0]} to {words[1]}", expected))
            continue
        try:
            symbol = symbol_of_harte(words[2])
        except HarmonyError as error:
            faults.append(Fault(number, line.find(words[2]) + error.column, error.found, error.expected))
            continue
        if pieces and start - latest > TOUCHING_S:
            pieces.append(_Piece(latest, start, None))
        pieces.append(_Piece(start, end, symbol))
    if faults:
        raise TextError(file, tuple(faults))
    while pieces and pieces[0].symbol is None:
        del pieces[0]
    return pieces


def _tempo(times: Sequence[float]) -> Fraction:
    """The tempo at whose beats from the first time on the others lie most exactly; the nearer to 100 on a tie."""

    def off(tempo: Fraction) -> tuple[float, Fraction]:
        a_second = float(tempo) / 60
        beats = ((time - times[0]) * a_second for time in times)
        return round(sum(abs(beat - round(beat)) for beat in beats) / len(times), 4), abs(tempo - 100)

    return min(TEMPOS, key=off)


def _beats(pieces: Sequence[_Piece], tempo: Fraction) -> list[str]:
    """What stands on each beat: a chord, a hold or silence, to the end of a bar."""
    a_second = float(tempo) / 60
    begins = [round((piece.start - pieces[0].start) * a_second) for piece in pieces]
    begins.append(max(round((pieces[-1].end - pieces[0].start) * a_second), begins[-1] + 1))
    out: list[str] = []
    for piece, (first, until) in zip(pieces, pairwise(begins), strict=True):
        if until <= first:
            continue
        if piece.symbol is None:
            out += ["N.C."] * (until - first)
        else:
            out += [piece.symbol.text, *["/"] * (until - first - 1)]
    while len(out) % BEATS_A_BAR:
        out.append("N.C." if out[-1] == "N.C." else "/")
    return out
