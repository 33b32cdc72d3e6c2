"""Guide tones in words: the two tones of a chord that carry its sound, and where they go."""

from collections.abc import Sequence

from trainer.commands.page import Page
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis
from trainer.voicing.guide_tones import GuideTone, guide_lines


def guide_tones_told(analysis: Analysis, indices: Sequence[int], page: Page) -> dict[int, str]:
    """For each chord struck among these its guide tones; those of a run of chords are led together."""
    told: dict[int, str] = {}
    for run in _runs(analysis, indices):
        symbols = [symbol for _, symbol in run]
        lines = guide_lines(symbols)
        for at, (n, _) in enumerate(run):
            if n in indices:
                told[n] = "; ".join(
                    _tone(page, line[at], line[at + 1] if at + 1 < len(line) else None) for line in reversed(lines)
                )
    return told


def _runs(analysis: Analysis, indices: Sequence[int]) -> list[list[tuple[int, ChordSymbol]]]:
    """The chords from one silence to the next, with the one that follows the stretch."""
    runs: list[list[tuple[int, ChordSymbol]]] = [[]]
    last = indices[-1]
    for chord in analysis.chords[indices[0] :]:
        n, symbol = chord.span.index, chord.span.symbol
        if symbol is None:
            runs.append([])
        elif not (runs[-1] and chord.span.continues and runs[-1][-1][1] == symbol):
            runs[-1].append((n, symbol))
        if n > last and runs[-1] and runs[-1][-1][0] > last:
            break
    return [run for run in runs if run]


def _tone(page: Page, tone: GuideTone, after: GuideTone | None) -> str:
    here = f"{page.note(tone.pitch.name)} ({tone.degree})"
    if after is None:
        return here
    there = f"{after.degree} of {page.chord(after.symbol.text)}"
    if tone.step == "held":
        return f"{here} stays, the {there}"
    moves = {"falls": "falls a half step", "rises": "rises a half step"}.get(tone.step, "goes")
    return f"{here} {moves} to {page.note(after.pitch.name)}, the {there}"
