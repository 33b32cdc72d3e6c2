"""Plays a chart out on paper: every bar in played order, one span for each chord.

A chord held over a barline, and every chord of a `%`, is a span of its own that continues. What a hold
at a bar's start holds is what sounded before it as played. Pins belong to written bars and so count
at every playing; a pin from the command stands at a bar as played and goes before them, until the next
pin, the next section, or the end.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from trainer.charts.chart import Chart, Pin, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.order import MAX_PLAYED_BARS, Order, Step, order_of
from trainer.charts.pins import PlacedPin, parse_pin_option
from trainer.charts.timeline import PlayedBar, PlayedSection, Span, Timeline
from trainer.errors import Fault, TextError
from trainer.harmony.symbol import ChordSymbol

__all__ = ["MAX_PLAYED_BARS", "PlacedPin", "parse_pin_option", "unfold"]

DEFAULT_TEMPO_BPM = Fraction(120)


def unfold(chart: Chart, extra_pins: Sequence[PlacedPin] = ()) -> Timeline:
    """Lay a chart out as it is played. Raises TextError, with the written places or the pins at fault."""
    order = order_of(chart)
    if order.faults:
        raise TextError(chart.file, order.faults)
    played = _Playing(chart, order)
    spans = _with_placed_pins(played.spans, played.pinned_here, extra_pins)
    return Timeline(
        title=chart.title,
        file=chart.file,
        key=chart.key,
        tempo=chart.tempo or DEFAULT_TEMPO_BPM,
        tempo_given=chart.tempo is not None,
        swing=chart.swing or Fraction(1),
        form=tuple(section.name for section in played.sections if section.name is not None),
        spans=spans,
        bars=tuple(played.bars),
        sections=tuple(played.sections),
    )


def pins_in_force(section: WrittenSection) -> tuple[tuple[Pin | None, ...], ...]:
    """For each bar and chord of a section the pin that holds there, by the text alone.

    A center holds until the next pin or the section's end, a numeral for its chord alone; a `%` without
    a pin of its own is pinned as the bar it repeats.
    """
    center: Pin | None = None
    bars: list[tuple[Pin | None, ...]] = []
    for bar in section.bars:
        if bar.repeated_bar and bar.chords[0].pin is None and bars:
            bars.append(bars[-1])
            continue
        row: list[Pin | None] = []
        for chord in bar.chords:
            pin = chord.pin
            if pin is not None:
                center = pin if pin.center is not None and pin.numeral is None else None
            row.append(pin if pin is not None and pin.center is not None else center)
        bars.append(tuple(row))
    return tuple(bars)


class _Playing:
    """The spans, bars and sections of an order of bars, made one after the other."""

    def __init__(self, chart: Chart, order: Order) -> None:
        self.spans: list[Span] = []
        self.pinned_here: list[bool] = []
        """For each span whether a pin is written right there."""
        self.bars: list[PlayedBar] = []
        self.sections: list[PlayedSection] = []
        self.sounded: dict[tuple[int, int], list[tuple[ChordSymbol | None, str]]] = {}
        """What sounded in each written bar when it was last played, for the `%` behind it."""
        self.pins = [pins_in_force(section) for section in chart.sections]
        start = Fraction(0)
        number = 0 if chart.pickup is not None else 1
        before: Step | None = None
        for step in order.steps:
            section = chart.sections[step.section]
            bar = section.bars[step.bar]
            if before is None or before.playing != step.playing:
                self.begin_section(section.name, number)
            before = step
            start = self.add_bar(step, bar, number, start)
            number += 1
            self.sections[-1] = replace(self.sections[-1], until_bar=number, until_span=len(self.spans))

    def begin_section(self, name: str | None, number: int) -> None:
        self.sections.append(PlayedSection(name, number, number, len(self.spans), len(self.spans)))

    def add_bar(self, step: Step, bar: WrittenBar, number: int, start: Fraction) -> Fraction:
        """Add one bar and its spans; returns where the next bar starts."""
        quarters_of_beat = bar.meter.quarters_of_beat
        copied = self.sounded.get((step.section, step.bar - 1)) if bar.repeated_bar else None
        sounding = []
        for index, chord in enumerate(bar.chords):
            pin = self.pins[step.section][step.bar][index]
            symbol, written = self.sounding(chord, bar, copied[index] if copied else None)
            if chord.held and not bar.repeated_bar and chord.pin is None and self.spans:
                held = self.spans[-1].pin
                pin = held if held is not None and held.numeral is not None else pin
            sounding.append((symbol, written))
            self.spans.append(
                Span(
                    index=len(self.spans),
                    at=chord.at,
                    start=start + chord.at * quarters_of_beat,
                    quarters=chord.beats * quarters_of_beat,
                    bar=number,
                    beats=chord.beats,
                    meter=bar.meter,
                    written_bar=bar.number,
                    section=len(self.sections) - 1,
                    symbol=symbol,
                    continues=chord.held,
                    pin=pin,
                    written=written,
                )
            )
            self.pinned_here.append(chord.pin is not None)
        self.sounded[step.section, step.bar] = sounding
        quarters = bar.beats * quarters_of_beat
        self.bars.append(PlayedBar(number, bar.number, len(self.sections) - 1, bar.meter, start, quarters))
        return start + quarters

    def sounding(
        self, chord: WrittenChord, bar: WrittenBar, copied: tuple[ChordSymbol | None, str] | None
    ) -> tuple[ChordSymbol | None, str]:
        """What is heard at a written chord, and how the player spelled it."""
        if copied is not None:
            return copied
        if chord.held and not bar.repeated_bar:
            return self.spans[-1].symbol, self.spans[-1].written
        spelled = chord.text or (chord.symbol.text if chord.symbol else "N.C.")
        return chord.symbol, spelled


def _with_placed_pins(
    spans: list[Span], pinned_here: list[bool], extra_pins: Sequence[PlacedPin]
) -> tuple[Span, ...]:
    """Put the pins of the command on top of the chart's."""
    placed, faults = _placed(spans, extra_pins)
    if faults:
        raise TextError("--pin", tuple(faults))
    result = list(spans)
    for index, pin in placed.items():
        until = index + 1
        while until < len(spans) and until not in placed and _runs_on(spans, pinned_here, index, until, pin):
            until += 1
        force = pin if pin.center is not None else None
        for at in range(index, until):
            result[at] = replace(spans[at], pin=force)
    return tuple(result)


def _runs_on(spans: list[Span], pinned_here: list[bool], index: int, until: int, pin: Pin) -> bool:
    """Whether a pin placed at one span still holds at a later one."""
    if pinned_here[until]:
        return False
    if pin.numeral is not None:
        return spans[until].continues and spans[until].symbol == spans[index].symbol
    return spans[until].section == spans[index].section


def _placed(spans: list[Span], extra_pins: Sequence[PlacedPin]) -> tuple[dict[int, Pin], list[Fault]]:
    """Each pin of the command by the span it stands at, and what is wrong with the others."""
    by_place = {(span.bar, span.beat): span.index for span in spans}
    placed: dict[int, Pin] = {}
    faults = []
    for extra in extra_pins:
        index = by_place.get((extra.bar, extra.beat))
        told = f"`{extra.text}`" if extra.text else f"a pin at bar {extra.bar}, beat {extra.beat}"
        if index is None:
            beats = [str(span.beat) for span in spans if span.bar == extra.bar]
            if beats:
                expected = f"a beat of bar {extra.bar} where a chord begins: {', '.join(beats)}"
            else:
                expected = f"a bar from {spans[0].bar} to {spans[-1].bar}, as played"
            faults.append(Fault(0, 0, told, expected))
        elif index in placed:
            faults.append(Fault(0, 0, f"{told}, the second pin at one place", "one pin there"))
        else:
            placed[index] = extra.pin
    return placed, faults
