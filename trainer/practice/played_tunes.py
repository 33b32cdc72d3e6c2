"""Tunes as the player's settings have them played."""

from fractions import Fraction
from typing import Literal, cast

from trainer.charts.timeline import Timeline
from trainer.reading.values import Analysis
from trainer.settings import Settings
from trainer.voicing.patterns import BassFeel, Comping, TimeKeeping
from trainer.voicing.performance import perform_chart
from trainer.voicing.sheet import Performance
from trainer.voicing.styles import Style

HANDS_SEED = 1
"""Uneven, but the same each time."""


def comping_for(timeline: Timeline, asked: Comping | None) -> Comping:
    """As asked for; else the waltz in three, the Charleston elsewhere."""
    meter = timeline.bars[0].meter
    return asked or ("waltz" if (meter.beats, meter.unit) == (3, 4) else "charleston")


def performed_as_set(
    timeline: Timeline,
    analysis: Analysis,
    settings: Settings,
    what: Literal["chart", "route"] = "chart",
    bars: tuple[int, int] | None = None,
) -> Performance:
    """A tune, some of its bars or its route, as the settings say. Raises ValueError for bars that it doesn't have."""
    swing = Fraction(settings.ratio).limit_denominator(100) if settings.ratio and timeline.swing > 1 else None
    return perform_chart(
        timeline, analysis, what, count_in=False, style=cast(Style, settings.style),
        comping=comping_for(timeline, cast(Comping, settings.comping) or None),
        bass_feel=cast(BassFeel, settings.bass),
        time=None if settings.time in ("", "none") else cast(TimeKeeping, settings.time),
        swing=swing, bars=bars, seed=HANDS_SEED if settings.hands else None,
    )  # fmt: skip
