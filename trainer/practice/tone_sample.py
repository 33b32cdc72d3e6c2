"""A few bars to hear how tunes sound as the settings are now."""

from functools import cache

from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.practice.played_tunes import performed_as_set
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis
from trainer.settings import Settings
from trainer.voicing.sheet import Performance

CHART = """title: Lamp Oil
key: F
tempo: 132
feel: swing

| Gm7 | C7 | Fmaj7 | D7b9 |
| Gm7 / Bbm6 / | Am7 D7 | Gm7 C7 | F6 |
"""
"""Swinging and in four, so that every setting of tunes can be heard."""


@cache
def _read() -> tuple[Timeline, Analysis]:
    timeline = unfold(read_chart(CHART, "sample"))
    return timeline, analyze(timeline)


def tone_sample(settings: Settings) -> Performance:
    """The bars as the settings have tunes played."""
    return performed_as_set(*_read(), settings)
