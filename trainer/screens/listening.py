"""What is heard while a screen stands: which chord sounds now, as far as the way out can tell."""

from collections.abc import Sequence

from trainer.practice.sounding import Loudspeaker, Sounding
from trainer.voicing.sheet import Performance

TICK_S = 0.1
"""How often the playhead is looked at."""

Times = tuple[tuple[float, float], ...]
"""From when to when each chord of a row sounds, in seconds."""


def times_of(performance: Performance, roles: Sequence[str] = ("question", "answer")) -> Times:
    """When each chord that is asked or answered sounds; the key that is given first has none."""
    return tuple((chord.from_s, chord.until_s) for chord in performance.chords if chord.role in roles)


def sounding_now(sounding: Sounding, times: Times) -> int | None:
    """Which chord sounds, from 0; None between sounds or where the way out can't tell."""
    at = sounding.playhead_s if isinstance(sounding, Loudspeaker) else None
    if at is None:
        return None
    return next((n for n, (since, until) in enumerate(times) if since <= at < until), None)
