"""A pin on the command and the same pin in the chart are one."""

from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.charts.chart_strategies import pins
from trainer.charts.chart import Pin
from trainer.charts.pins import parse_pin_option, pin_text
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold

BARS = "[A]\n| Cm7 | {pin} F7 | Bbmaj7 | % | Gm7 C7 |\n[B]\n| Fmaj7 | C7 |\n"


@given(pins, st.booleans())
def test_the_command_takes_what_the_chart_takes(pin: Pin, braces: bool) -> None:
    """Whatever stands between a chart's braces can stand behind `--pin 2=`, holds as far, and ends where it ends."""
    text = pin_text(pin)
    in_chart = unfold(read_chart(BARS.replace("{pin}", text)))
    option = parse_pin_option(f"2={text if braces else text.strip('{}')}")
    on_command = unfold(read_chart(BARS.replace("{pin} ", "")), [option])
    assert [span.pin for span in in_chart.spans] == [span.pin for span in on_command.spans]


def test_an_empty_pin_ends_the_charts_own() -> None:
    """`--pin 3=` lets the reading decide from bar 3 on, though the chart pins the section."""
    spans = unfold(read_chart(BARS.replace("{pin}", "{Bb}")), [parse_pin_option("3=")]).spans
    assert [False, True, False, False, False, False, False, False] == [span.pin is not None for span in spans]
