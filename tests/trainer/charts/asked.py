"""Short questions to the reader that many tests of charts ask."""

from fractions import Fraction

import pytest

from trainer.charts.chart import Chart
from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import parse_pin_option, unfold
from trainer.errors import Fault, TextError


def faults_of(text: str) -> tuple[Fault, ...]:
    """The faults of a text that must have some."""
    with pytest.raises(TextError) as caught:
        read_chart(text, "tune.chart")
    return caught.value.faults


def read_or_faults(text: str) -> Chart | tuple[Fault, ...]:
    """The chart of a text, or why it is none."""
    try:
        return read_chart(text)
    except TextError as error:
        return error.faults


def places_of(text: str) -> list[tuple[int, int]]:
    """Line and column of each fault of a text that must have some."""
    return [(fault.line, fault.column) for fault in faults_of(text)]


def the_fault_of(text: str) -> Fault:
    """The one fault of a text that must have exactly one."""
    faults = faults_of(text)
    assert 1 == len(faults), faults
    return faults[0]


def timeline_of(text: str, *pins: str) -> Timeline:
    """A text as played, with pins of the command."""
    return unfold(read_chart(text), [parse_pin_option(pin) for pin in pins])


def played(text: str) -> list[int]:
    """The written bars in played order."""
    return [bar.written_bar for bar in timeline_of(text).bars]


def slots_of(bar: str, header: str = "") -> list[tuple[str, Fraction, Fraction]]:
    """What the only bar of a text holds: chord, where it begins, how long it is."""
    return [
        (chord.symbol.text if chord.symbol else "N.C.", chord.at, chord.beats)
        for chord in read_chart(f"{header}\n| {bar} |").sections[0].bars[0].chords
    ]


def pins_of(text: str, *pins: str) -> list[str | None]:
    """The pin in force at each span as played: `Bb major`, `Bb major ii7`, None."""
    return [
        None
        if span.pin is None or span.pin.center is None
        else span.pin.center.name + (f" {span.pin.numeral.text}" if span.pin.numeral else "")
        for span in timeline_of(text, *pins).spans
    ]
