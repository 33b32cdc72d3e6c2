"""Times of a sound in frames: a place in it, and a stretch that goes round."""

from typing import Final

from synth.errors import SoundError
from synth.outputs.feed import Round
from synth.outputs.source import Source

SHORTEST_LOOP_S: Final = 0.05
"""A shorter one would be a tone of its own."""


def frame_at(at_s: float, source: Source) -> int:
    """Return the frame at a time."""
    return round(at_s * source.rate)


def round_of(from_s: float, until_s: float, source: Source) -> Round:
    """Return a stretch of a sound in frames; raises SoundError for one that can't go round."""
    found = Round(max(frame_at(from_s, source), 0), min(frame_at(until_s, source), source.frames))
    if (found.end - found.begin) / source.rate < SHORTEST_LOOP_S:
        lasts = source.frames / source.rate
        raise SoundError(
            f"a loop from {from_s:g} to {until_s:g} s in a sound of {lasts:g} s; "
            f"expected a stretch of it that lasts {SHORTEST_LOOP_S:g} s or more"
        )
    return found
