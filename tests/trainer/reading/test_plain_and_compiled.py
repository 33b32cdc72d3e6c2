"""The search's inner part is compiled where a compiler is, and runs as plain Python elsewhere: same readings."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from tests.house.test_compiled import is_compiled
from tests.trainer.reading.plain_copy import COMPILED, READING, plain_reading
from tests.trainer.reading.telling import tell
from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis

SHARES_WITHIN = 1e-9
"""A C compiler may join a product and a sum, which rounds once instead of twice."""


def shares_of(analysis: Analysis) -> list[float]:
    """Every share and confidence that a reading tells, in order."""
    told = [] if analysis.home is None else [analysis.home.confidence]
    for chord in analysis.chords:
        told += [chord.confidence, *(rival.share for rival in chord.rivals)]
    return told


def without_shares(analysis: Analysis) -> Analysis:
    """A reading with every share 0."""
    home = None if analysis.home is None else replace(analysis.home, confidence=0.0)
    chords = tuple(
        replace(chord, confidence=0.0, rivals=tuple(replace(rival, share=0.0) for rival in chord.rivals))
        for chord in analysis.chords
    )
    return replace(analysis, home=home, chords=chords)


def test_plain_python_reads_the_exercise_tunes_alike(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every exercise tune has the same reading from the plain source as from the package, rivals and reasons too."""
    timelines = {name: unfold(load(name)) for name, _ in exercise_tunes()}
    furthest = 0.0
    with plain_reading(tmp_path) as plain:
        for name, timeline in timelines.items():
            ours, theirs = analyze(timeline), plain["analysis"].analyze(timeline)
            assert without_shares(theirs) == without_shares(ours), name
            for ours_share, their_share in zip(shares_of(ours), shares_of(theirs), strict=True):
                furthest = max(furthest, math.fabs(ours_share - their_share))
    kinds = {"compiled" if is_compiled(str(module.__file__)) else "plain" for module in COMPILED}
    tell(
        capsys, f"{len(timelines)} tunes, {' and '.join(kinds)} against plain: shares differ by {furthest:.1e} at most"
    )
    assert furthest <= SHARES_WITHIN


def test_what_is_compiled_is_what_the_build_compiles() -> None:
    """The modules that are compared are all of the trellis, and each has its types beside it."""
    names = {path.stem for path in (READING / "trellis").glob("[a-z]*.py")}
    assert names == {module.__name__.rpartition(".")[2] for module in COMPILED}
    assert names == {path.stem for path in (READING / "trellis").glob("*.pxd")}
