"""Where one is in a tune that is played: bar, beat, section, key center, and the same place at another tempo.

Times are seconds from the start of the score. Bars, sections and their starts are those of a Performance.
"""

from bisect import bisect_right
from collections.abc import Callable

from synth.score import MarkerKind
from trainer.voicing.sheet import BarTime, Performance

NEAR_S = 1e-6
"""What lies no further apart is the same time."""


def bar_at(performance: Performance, at_s: float) -> int | None:
    """The place in `bars` of the bar that is played, or was last; None before the first."""
    starts = [bar.from_s for bar in performance.bars]
    place = bisect_right(starts, at_s + NEAR_S) - 1
    return None if place < 0 else place


def barline_near(performance: Performance, at_s: float) -> float:
    """The start or end of a bar that lies nearest. ValueError: there are no bars."""
    lines = {bar.from_s for bar in performance.bars} | {bar.until_s for bar in performance.bars}
    return min(lines, key=lambda line: (abs(line - at_s), line))


def section_starts(performance: Performance) -> tuple[float, ...]:
    """Where sections begin, the first bar in any case."""
    starts = {marker.at_s for marker in performance.score.markers if marker.kind == "section"}
    return tuple(sorted(starts | {bar.from_s for bar in performance.bars[:1]}))


def section_around(performance: Performance, at_s: float) -> tuple[float, float]:
    """From when until when the section is played that a time lies in. ValueError: there are no bars."""
    if not performance.bars:
        raise ValueError("what is played has no bars")
    starts = (*section_starts(performance), performance.bars[-1].until_s)
    first = max(0, min(bisect_right(starts, at_s + NEAR_S) - 1, len(starts) - 2))
    return starts[first], starts[first + 1]


def marked_at(performance: Performance, kind: MarkerKind, at_s: float) -> str | None:
    """The text in force of one kind of marker; None before the first."""
    markers = performance.score.markers
    texts = [marker.text for marker in markers if marker.kind == kind and marker.at_s <= at_s + NEAR_S]
    return texts[-1] if texts else None


def numbered(performance: Performance, number: int, near_s: float) -> BarTime | None:
    """The bar with a number, in the chorus or part that a time lies in, else the first; None where none has it."""
    place = bar_at(performance, near_s)
    here = performance.bars[place or 0] if performance.bars else None
    having = [bar for bar in performance.bars if bar.number == number]
    beside = [bar for bar in having if here is not None and (bar.chorus, bar.role) == (here.chorus, here.role)]
    return next(iter(beside or having), None)


def place_in(one: Performance, other: Performance) -> Callable[[float], float]:
    """What gives, for a time in one performance, the time in another of the same bars at which the same beat is played.

    Barlines fall on barlines, also where what is before, between or after the bars has another length; what
    lies between two edges is in proportion. ValueError: they don't have the same number of bars.
    """
    if len(one.bars) != len(other.bars):
        raise ValueError(f"{len(one.bars)} and {len(other.bars)} bars are not those of the same tune")
    edges, others = _edges(one), _edges(other)

    def place(at_s: float) -> float:
        after = min(bisect_right(edges, at_s), len(edges) - 1)
        start, end, to, until = edges[after - 1], edges[after], others[after - 1], others[after]
        share = min(max((at_s - start) / (end - start), 0.0), 1.0) if end > start else 0.0
        return to + (until - to) * share

    return place


def _edges(performance: Performance) -> tuple[float, ...]:
    inner = [edge for bar in performance.bars for edge in (bar.from_s, bar.until_s)]
    return (0.0, *inner, max(performance.score.duration_s, inner[-1] if inner else 0.0))
