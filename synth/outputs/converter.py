"""A feed for a device that takes another rate only: what it is fed is converted as it is drawn.

A windowed sinc, one row of taps for each place between two frames (polyphase; Kaiser window: Oppenheim
and Schafer, "Discrete-Time Signal Processing", 2010, ch. 4 and 7).
"""

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from synth.outputs.feed import Feed

Samples = NDArray[np.float32]

TAPS: Final = 64
BETA: Final = 10.0
"""Of the Kaiser window: what is folded lies some 100 dB lower."""

WIDTH: Final = 0.9
"""What passes, as a part of half the lower rate: the window needs room to fall in."""


class Converter:
    """Draws from a feed at its rate and hands out frames at another; by one thread."""

    def __init__(self, feed: Feed, rate: int) -> None:
        self.rate = rate
        self._feed = feed
        common = math.gcd(feed.rate, rate)
        self._steps, self._places = feed.rate // common, rate // common
        """So many frames of the feed last as long as so many of the device's."""
        self._taps = _taps(self._places, min(1.0, rate / feed.rate) * WIDTH)
        self._at = 0
        """Where the next frame lies after the first one kept, in places between two frames."""
        self._kept = np.zeros((2, TAPS - 1), dtype=np.float32)

    def fill(self, out: Samples, latency_s: float) -> None:
        """Write the next frames, which will be heard so much later."""
        frames, between = np.divmod(self._at + self._steps * np.arange(len(out)), self._places)
        drawn = np.empty((max(int(frames[-1]) + TAPS - self._kept.shape[1], 0), 2), dtype=np.float32)
        if len(drawn):
            self._feed.fill(drawn, latency_s + TAPS / 2 / self._feed.rate)
        sound = np.concatenate([self._kept, drawn.T], axis=1)
        taps = self._taps[between]
        for channel, frames_of in enumerate(sound):
            out[:, channel] = np.einsum("ft,ft->f", sliding_window_view(frames_of, TAPS)[frames], taps)
        gone, self._at = divmod(self._at + self._steps * len(out), self._places)
        self._kept = sound[:, gone:].copy()


@lru_cache(maxsize=4)
def _taps(places: int, width: float) -> Samples:
    """Return the taps for each place between two frames, (places, TAPS), of gain 1."""
    away = np.arange(TAPS) - (TAPS // 2 - 1) - np.arange(places)[:, None] / places
    window = np.i0(BETA * np.sqrt(np.clip(1.0 - (away / (TAPS / 2)) ** 2, 0.0, 1.0))) / np.i0(BETA)
    taps = np.sinc(width * away) * window
    found: Samples = (taps / taps.sum(axis=1, keepdims=True)).astype(np.float32)
    return found
