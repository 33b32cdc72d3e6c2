"""The development sets with the experts' readings (tests/golden/sets), and how a reading is held against them.

Keys are pitch class and mode. Agreement is counted by the time that chords last; silence doesn't count.
A quarter of the pieces, chosen by their names alone, is unseen: it takes no part in the search for costs,
though its figures were told after each change on 2026-11-25 and so are not blind.
"""

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from trainer.charts.chart import Chart
from trainer.charts.library import load
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.harmony.key import Key, parse_key
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis

FOLDER = Path(__file__).parents[2] / "golden" / "sets"
SETS = ("jazz", "rock", "songs")
PARTS = ("seen", "unseen")

KeyClass = tuple[int, str]
"""Pitch class of the tonic, and the mode."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a set, with what the expert reads in it."""

    set: str
    name: str
    timeline: Timeline
    """Without the pins: they are the expert's reading."""
    centers: tuple[KeyClass | None, ...]
    """For each span; None for silence."""
    home: KeyClass | None
    """None where the expert names none."""
    rival: KeyClass | None
    """Another home that would be right too."""

    @property
    def part(self) -> str:
        """Seen or unseen."""
        return part_of(self.name)


def part_of(name: str) -> str:
    """The part of a piece, told from its name alone: the first byte of its MD5 by four leaves 3 for the unseen."""
    return "unseen" if hashlib.md5(name.encode(), usedforsecurity=False).digest()[0] % 4 == 3 else "seen"


def key_class(key: Key) -> KeyClass:
    """A key, however it is spelled."""
    return key.tonic.pitch_class, key.mode


def _named(chart: Chart, name: str) -> KeyClass | None:
    """The key that a line of the chart's header names; a remark in brackets may follow it."""
    text = dict(chart.extra).get(name)
    return None if text is None else key_class(parse_key(text.split("(")[0].strip()))


@cache
def pieces() -> tuple[Piece, ...]:
    """Every piece of the sets, in the order of their names. Raises ValueError where a chord has no reading."""
    found = []
    for name in SETS:
        for path in sorted((FOLDER / name).glob("*.chart")):
            chart = load(path)
            pinned = unfold(chart)
            centers: list[KeyClass | None] = []
            for span in pinned.spans:
                if span.symbol is None:
                    centers.append(None)
                elif span.pin is None or span.pin.center is None:
                    raise ValueError(f"{path.name}: no center in bar {span.bar}, every chord needs one")
                else:
                    centers.append(key_class(span.pin.center))
            timeline = replace(pinned, spans=tuple(replace(span, pin=None) for span in pinned.spans))
            home, rival = _named(chart, "home"), _named(chart, "rival")
            found.append(Piece(name, path.stem, timeline, tuple(centers), home, rival))
    return tuple(found)


@cache
def read(piece: Piece) -> Analysis:
    """The program's reading of a piece; each is read once a process."""
    return analyze(piece.timeline)


def found_centers(analysis: Analysis) -> list[KeyClass | None]:
    """The center of each span."""
    return [None if chord.center is None else key_class(chord.center) for chord in analysis.chords]


@dataclass(frozen=True, slots=True)
class Agreement:
    """How far two readings of one piece, or of several on average, agree; shares of 1."""

    center: float
    tonic: float
    """Whatever the mode."""


def agreement(timeline: Timeline, expected: Sequence[KeyClass | None], found: Sequence[KeyClass | None]) -> Agreement:
    """The share of the chords' time in which two readings agree."""
    whole = center = tonic = 0.0
    for span, wanted, got in zip(timeline.spans, expected, found, strict=True):
        if wanted is None:
            continue
        whole += float(span.quarters)
        if got is not None and got[0] == wanted[0]:
            tonic += float(span.quarters)
            center += float(span.quarters) if got == wanted else 0.0
    return Agreement(center / whole, tonic / whole)


def mean(agreements: Iterable[Agreement]) -> Agreement:
    """The mean over pieces: a long one counts like a short one."""
    found = tuple(agreements)
    count = len(found)
    return Agreement(sum(one.center for one in found) / count, sum(one.tonic for one in found) / count)


Reader = Callable[[Timeline], Sequence[KeyClass | None]]
"""Whatever gives each span of a timeline a key."""


def mean_of(chosen: Iterable[Piece], reader: Reader) -> Agreement:
    """How a reader agrees with the experts over some pieces."""
    return mean(agreement(piece.timeline, piece.centers, reader(piece.timeline)) for piece in chosen)
