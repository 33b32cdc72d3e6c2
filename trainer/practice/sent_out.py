"""How loud that is which is sent out to the device now."""

import math

from trainer.practice.sounding import Loudspeaker, Sounding
from trainer.records import dataclass

WINDOW_S = 0.5
"""So much is measured: 400 ms for the loudness, and a little before for the filters to settle."""
AT_ONCE = 4096
"""Frames that are measured at once: more, and numpy's library wakes further threads, which cost far more than this."""


@dataclass(frozen=True, slots=True)
class SentOut:
    """What the meter shows."""

    momentary_lufs: float
    """Loudness of the last 400 ms (ITU-R BS.1770-4, EBU Tech 3341); -inf for silence."""
    peak_dbtp: float
    """The highest true peak of WINDOW_S; -inf for silence."""

    @property
    def silent(self) -> bool:
        """Whether nothing was sent out."""
        return not math.isfinite(self.momentary_lufs)


SILENCE = SentOut(-math.inf, -math.inf)


def sent_out(sounding: Sounding) -> SentOut:
    """Measure what was sent out lately, at the level that is set; some milliseconds of work."""
    found = sounding.lately() if isinstance(sounding, Loudspeaker) else None
    if found is None:
        return SILENCE
    from synth.meter import meter_at

    samples, rate = found
    late, meter = samples[-round(WINDOW_S * rate) :], meter_at(rate)
    for at in range(0, len(late), AT_ONCE):
        meter = meter.add(late[at : at + AT_ONCE])
    return SentOut(meter.momentary_lufs, meter.peak_dbtp)
