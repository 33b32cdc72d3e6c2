"""Charts without repeats and jumps are laid out by a short way: it finds what walking bar by bar finds."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.charts.chart_strategies import charts
from trainer.charts.chart import Chart
from trainer.charts.order import _Player


@given(charts(), st.integers(1, 3))
def test_the_short_way_is_the_long_way(chart: Chart, times: int) -> None:
    """Bars laid in a row, with every section played some times, are the bars that a walk through them meets."""
    bare = [
        replace(
            section,
            bars=tuple(replace(bar, repeat_start=False, repeat_end=0, ending=(), signs=()) for bar in section.bars),
        )
        for section in chart.sections
    ]
    playings = [index for index, section in enumerate(bare) if section.bars] * times
    player = _Player(replace(chart, sections=tuple(bare)), playings, dict.fromkeys(range(len(bare)), ()))
    assert list(player.walk()) == list(player.straight())
