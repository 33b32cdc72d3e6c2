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
from trainer.records import dataclass

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


@dataclass(frozen=True, slots=True)
class _Laid:
    """What is the same at every playing of a written bar."""

    bar: WrittenBar
    quarters: Fraction
    """Its length."""
    chords: tuple[tuple[WrittenChord, Fraction, Fraction, Pin | None], ...]
    """Each chord with its start in the bar and its length, in quarter notes, and the pin in force by the text."""


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
        laid = [_laid_out(section) for section in chart.sections]
        start = Fraction(0)
        number = 0 if chart.pickup is not None else 1
        first = (number, 0)
        before: Step | None = None
        for step in order.steps:
            if before is not None and before.playing != step.playing:
                self.end_section(chart.sections[before.section].name, first, number)
                first = (number, len(self.spans))
            before = step
            one = laid[step.section][step.bar]
            self.add_bar(step, one, number, start)
            start += one.quarters
            number += 1
        if before is not None:
            self.end_section(chart.sections[before.section].name, first, number)

    def end_section(self, name: str | None, first: tuple[int, int], number: int) -> None:
        """Note a section that is over: the bar and span it began with, and the bar behind it."""
        self.sections.append(PlayedSection(name, first[0], number, first[1], len(self.spans)))

    def add_bar(self, step: Step, laid: _Laid, number: int, start: Fraction) -> None:
        """Add one bar and its spans."""
        bar, spans, section = laid.bar, self.spans, len(self.sections)
        copied = self.sounded.get((step.section, step.bar - 1)) if bar.repeated_bar else None
        sounding = []
        for place, (chord, at, quarters, pin) in enumerate(laid.chords):
            symbol, written = self.sounding(chord, bar, copied[place] if copied else None)
            if chord.held and not bar.repeated_bar and chord.pin is None and spans:
                held = spans[-1].pin
                pin = held if held is not None and held.numeral is not None else pin
            sounding.append((symbol, written))
            spans.append(
                Span(
                    len(spans), chord.at, start + at if at else start, quarters, number, chord.beats, bar.meter,
                    bar.number, section, symbol, chord.held, pin, written,
                )
            )  # fmt: skip
            self.pinned_here.append(chord.pin is not None)
        self.sounded[step.section, step.bar] = sounding
        self.bars.append(PlayedBar(number, bar.number, section, bar.meter, start, laid.quarters))

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


def _laid_out(section: WrittenSection) -> list[_Laid]:
    """The bars of a section with their times in quarter notes and the pins in force."""
    out = []
    for bar, pins in zip(section.bars, pins_in_force(section), strict=True):
        of_beat = bar.meter.quarters_of_beat
        times = [(chord.at, chord.beats) for chord in bar.chords]
        if of_beat != 1:
            times = [(at * of_beat, beats * of_beat) for at, beats in times]
        chords = tuple((chord, *time, pin) for chord, time, pin in zip(bar.chords, times, pins, strict=True))
        last = chords[-1]
        out.append(_Laid(bar, last[1] + last[2], chords))
    return out


def _with_placed_pins(spans: list[Span], pinned_here: list[bool], extra_pins: Sequence[PlacedPin]) -> tuple[Span, ...]:
    """Put the pins of the command on top of the chart's."""
    if not extra_pins:
        return tuple(spans)
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
