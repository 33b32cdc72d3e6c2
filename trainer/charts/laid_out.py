"""Charts written out in the order in which they are played, for formats that know no `form:`.

A section that is named again gets its bars again; repeats and jumps stay as they are. Where that
would play otherwise, everything is written out bar for bar.
"""

from collections.abc import Iterator
from dataclasses import replace

from trainer.charts.chart import Chart, Pin, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.form import bodies_of, playings_of_form
from trainer.charts.order import order_of
from trainer.charts.timeline import Span, Timeline
from trainer.charts.unfold import pins_in_force, unfold
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A chart without a form and without sections to be played again."""

    chart: Chart
    origins: tuple[int, ...]
    """For each bar, in the order of the text, the number of the written bar that it comes from."""


def laid_out(chart: Chart) -> LaidOut:
    """Write a chart out so that its text plays as it stands. Raises TextError for a chart at fault."""
    if not chart.form and all(section.bars for section in chart.sections):
        return LaidOut(chart, tuple(bar.number for section in chart.sections for bar in section.bars))
    timeline = unfold(chart)
    made = _by_sections(chart)
    if order_of(made.chart).faults or _heard(unfold(made.chart)) != _heard(timeline):
        made = _bar_for_bar(chart, timeline)
    return made


def _heard(timeline: Timeline) -> list[tuple[object, ...]]:
    return [(span.start, span.quarters, span.symbol, span.continues, span.pin) for span in timeline.spans]


def _by_sections(chart: Chart) -> LaidOut:
    bodies, _ = bodies_of(chart)
    playings = playings_of_form(chart, bodies)[0] if chart.form else [body for body in bodies if body is not None]
    sections: list[WrittenSection] = []
    for place, body in enumerate(playings):
        section = chart.sections[body]
        bars = section.bars
        if place and bars and bars[0].number == 0:
            bars = _without_pickup(section)
        if body in playings[:place]:
            bars = tuple(replace(bar, signs=()) for bar in bars)
        if bars:
            sections.append(WrittenSection(section.name, bars))
    return _numbered(chart, sections)


def _without_pickup(section: WrittenSection) -> tuple[WrittenBar, ...]:
    """A section's bars from bar 1 on, with the pin that its pickup would have put in force."""
    bars = list(section.bars[1:])
    first = bars[0].chords[0] if bars else None
    center = pins_in_force(section)[1][0] if bars else None
    if first is not None and first.pin is None and center is not None:
        bars[0] = replace(bars[0], chords=(replace(first, pin=center), *bars[0].chords[1:]))
    return tuple(bars)


def _numbered(chart: Chart, sections: list[WrittenSection]) -> LaidOut:
    """A chart of new sections, their bars numbered anew."""
    pickup = chart.pickup if sections[0].bars[0].number == 0 else None
    number = 1 if pickup is None else 0
    origins: list[int] = []
    made = []
    before: ChordSymbol | None = None
    for section in sections:
        bars: list[WrittenBar] = []
        for bar in section.bars:
            origins.append(bar.number)
            chords = _holding(bar, before, bars[-1].chords if bars else ())
            before = chords[-1].symbol
            bars.append(replace(bar, number=number, chords=chords))
            number += 1
        made.append(replace(section, bars=tuple(bars)))
    meter = made[0].bars[0].meter
    return LaidOut(
        replace(chart, sections=tuple(made), form=(), pickup=pickup, meter=meter, header_places=(), comments=()),
        tuple(origins),
    )


def _holding(bar: WrittenBar, before: ChordSymbol | None, last: tuple[WrittenChord, ...]) -> tuple[WrittenChord, ...]:
    """A bar's chords, each hold with the symbol that now stands before it."""
    if bar.repeated_bar:
        return tuple(replace(chord, symbol=same.symbol) for chord, same in zip(bar.chords, last, strict=True))
    first, *others = bar.chords
    return (replace(first, symbol=before), *others) if first.held else bar.chords


def _bar_for_bar(chart: Chart, timeline: Timeline) -> LaidOut:
    sections = []
    for played in timeline.sections:
        spans = timeline.spans[played.first_span : played.until_span]
        sections.append(WrittenSection(played.name, tuple(_bars(spans, timeline))))
    return _numbered(chart, sections)


def _bars(spans: tuple[Span, ...], timeline: Timeline) -> Iterator[WrittenBar]:
    number: int | None = None
    chords: list[WrittenChord] = []
    center: Pin | None = None
    for index, span in enumerate(spans):
        if span.bar != number:
            number, chords = span.bar, []
        before = timeline.spans[span.index - 1] if span.index else None
        held = before is not None and span.continues and not chords and span.symbol == before.symbol
        pin = _pin_to_write(span, center, before if held else None)
        if pin is not None:
            center = pin if pin.center is not None and pin.numeral is None else None
        chords.append(WrittenChord(span.at, span.beats, span.symbol, held, pin, span.written))
        if index + 1 == len(spans) or spans[index + 1].bar != number:
            first = span.written_bar if number else 0
            yield WrittenBar(first, span.meter, tuple(chords))


def _pin_to_write(span: Span, center: Pin | None, held: Span | None) -> Pin | None:
    """The pin that has to stand at a chord so that its own is in force there; None where it is already."""
    running = center
    if held is not None and held.pin is not None and held.pin.numeral is not None:
        running = held.pin
    if span.pin == running:
        return None
    return span.pin or Pin(None)
