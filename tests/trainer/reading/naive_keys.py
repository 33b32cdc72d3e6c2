"""Two naive ways to find keys, which a reading must beat: one key for all, and a window that slides.

Both know nothing of roots, order or functions: they count tones. The weights are Krumhansl & Kessler's key
profiles (Krumhansl, *Cognitive Foundations of Musical Pitch*, 1990), as music21 publishes them in
`analysis.discrete.KrumhanslSchmuckler`; a key's score is the correlation of its profile with the tones' durations.
"""

from collections.abc import Sequence
from functools import cache

import numpy as np
import numpy.typing as npt
from music21.analysis.discrete import KrumhanslSchmuckler

from tests.trainer.reading.sets import KeyClass
from trainer.charts.timeline import Span, Timeline

MODES = ("major", "minor")
KEYS: tuple[KeyClass, ...] = tuple((tonic, mode) for mode in MODES for tonic in range(12))
SCALES = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 11)}
"""Semitones above the tonic; minor has its leading tone, or it would be its relative major's scale."""
WINDOW_BARS = 4
"""The window reaches so many bars back and ahead."""

Numbers = npt.NDArray[np.float64]


@cache
def profiles() -> Numbers:
    """The 24 key profiles, normalized so that a product with durations ranks as their correlation does."""
    rows = []
    for mode in MODES:
        weights = np.array(KrumhanslSchmuckler().getWeights(mode), dtype=float)
        weights = (weights - weights.mean()) / weights.std()
        rows += [np.roll(weights, tonic) for tonic in range(12)]
    return np.array(rows)


def durations(spans: Sequence[Span]) -> Numbers:
    """How long each pitch class sounds."""
    out = np.zeros(12)
    for span in spans:
        if span.symbol is not None:
            out[list(span.symbol.pitch_classes)] += float(span.quarters)
    return out


def by_profile(spans: Sequence[Span]) -> KeyClass:
    """The key whose profile fits the tones of some spans best."""
    return KEYS[int(np.argmax(profiles() @ durations(spans)))]


def by_scale(spans: Sequence[Span]) -> KeyClass:
    """The key whose scale holds most of the tones; on a tie the one whose tonic sounds longer."""
    lasting = durations(spans)

    def worth(key: KeyClass) -> tuple[float, float]:
        inside = sum(lasting[(key[0] + degree) % 12] for degree in SCALES[key[1]])
        return round(float(inside), 9), float(lasting[key[0]])

    return max(KEYS, key=worth)


def one_key_by_scale(timeline: Timeline) -> list[KeyClass]:
    """One key for the whole piece, by the share of chord tones in its scale."""
    return [by_scale(timeline.spans)] * len(timeline.spans)


def one_key_by_profile(timeline: Timeline) -> list[KeyClass]:
    """One key for the whole piece, by the profiles."""
    return [by_profile(timeline.spans)] * len(timeline.spans)


def sliding_window(timeline: Timeline) -> list[KeyClass]:
    """For each chord the key that fits the bars around it best."""
    found: dict[int, KeyClass] = {}
    for bar in {span.bar for span in timeline.spans}:
        around = [span for span in timeline.spans if abs(span.bar - bar) <= WINDOW_BARS]
        if any(span.symbol is not None for span in around):
            found[bar] = by_profile(around)
    return [found.get(span.bar, KEYS[0]) for span in timeline.spans]


NAIVE = {
    "one key by its scale": one_key_by_scale,
    "one key by its profile": one_key_by_profile,
    "a window of 9 bars by profile": sliding_window,
}
"""Every naive reader by what it is called in a table."""
