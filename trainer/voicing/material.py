"""What of a tune is to be played: bars and spans in the wanted key, with their key centers and tensions.

The route is put in the same form: each key center as a few bars of its own cadence or its tonic.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from trainer.charts.timeline import PlayedBar, PlayedSection, Span, Timeline
from trainer.harmony.interval import Interval, readable, transposed
from trainer.harmony.key import Key
from trainer.harmony.numeral import chord_of, parse_numeral
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis
from trainer.voicing.aims import aims_of, aims_of_reading
from trainer.voicing.patterns import pulses, quarters_of
from trainer.voicing.shapes import Aim

RouteAs = Literal["cadence", "tonic"]
"""How a key center is told: by its ii-V-I, or by its chord of rest alone."""

CADENCE_NUMERALS = {"major": ("ii7", "V7", "Imaj7"), "minor": ("iiø7", "V7b9", "i6")}


@dataclass(frozen=True, slots=True)
class Material:
    """Bars with their spans, in the key they are to sound in."""

    bars: tuple[PlayedBar, ...]
    spans: tuple[Span, ...]
    """Those of the bars, in order."""
    aims: tuple[Aim | None, ...]
    """One for each span."""
    centers: Mapping[int, Key]
    """By place in `spans`: the key center that begins there."""
    sections: Mapping[int, str]
    """By bar number: the section that begins there, or that is in force at the first bar."""
    key: Key | None
    """Home, or the printed key."""


def is_pickup(bar: PlayedBar) -> bool:
    """Whether a bar is the incomplete one before the first."""
    return bar.number == 0 and bar.quarters < quarters_of(bar.meter)


def moved_key(key: Key, by: Interval | None) -> Key:
    """The key an interval away."""
    return key if by is None else Key(readable(transposed(key.tonic, by)), key.mode)


def material_of(
    timeline: Timeline, analysis: Analysis | None, bars: tuple[int, int] | None, by: Interval | None
) -> Material:
    """Take the bars from the first to the last of `bars`, all where it is None, moved by an interval."""
    wanted = tuple(bar for bar in timeline.bars if bars is None or bars[0] <= bar.number <= bars[1])
    if not wanted:
        raise ValueError(f"the tune has no bars {bars}")
    numbers = {bar.number for bar in wanted}
    chosen = [span for span in timeline.spans if span.bar in numbers]
    home = analysis.home.key if analysis is not None and analysis.home is not None else timeline.key
    return Material(
        wanted,
        _moved_spans(chosen, by),
        _aims(chosen, analysis),
        {place: moved_key(key, by) for place, key in _centers(chosen, analysis).items()},
        _section_names(timeline.sections, numbers),
        None if home is None else moved_key(home, by),
    )


def _moved_spans(spans: Sequence[Span], by: Interval | None) -> tuple[Span, ...]:
    if by is None:
        return tuple(spans)
    known: dict[ChordSymbol | None, ChordSymbol | None] = {None: None}
    for symbol in {span.symbol for span in spans} - {None}:
        known[symbol] = symbol.transposed(by).practical() if symbol is not None else None
    return tuple(replace(span, symbol=known[span.symbol]) for span in spans)


def _aims(spans: Sequence[Span], analysis: Analysis | None) -> tuple[Aim | None, ...]:
    if analysis is not None:
        return aims_of_reading([analysis.chords[span.index] for span in spans])
    sounding = [span.symbol for span in spans if span.symbol is not None]
    aims = iter(aims_of(sounding))
    return tuple(None if span.symbol is None else next(aims) for span in spans)


def _centers(spans: Sequence[Span], analysis: Analysis | None) -> dict[int, Key]:
    if analysis is None:
        return {}
    centers: dict[int, Key] = {}
    last = None
    for place, span in enumerate(spans):
        center = analysis.chords[span.index].center
        if center is not None and center != last:
            centers[place] = last = center
    return centers


def _section_names(sections: Sequence[PlayedSection], numbers: set[int]) -> dict[int, str]:
    first, last = min(numbers), max(numbers)
    return {
        max(first, section.first_bar): section.name
        for section in sections
        if section.name is not None and section.first_bar <= last and first < section.until_bar
    }


def route_of(
    material: Material, analysis: Analysis, by: Interval | None, told_as: RouteAs, share: Fraction
) -> Material:
    """The route through the same bars: each center in whole bars, its share of the time it has in the tune.

    The cadence takes at most two bars for its ii and V; the tonic, in the quality it has in the tune,
    fills the rest. No center is shorter than its three chords at one beat each.
    """
    meter = next((bar.meter for bar in material.bars if not is_pickup(bar)), material.bars[0].meter)
    bar_quarters, beats = quarters_of(meter), len(pulses(meter))
    least = 1 if told_as == "tonic" else -(-3 // beats)
    bars: list[PlayedBar] = []
    spans: list[Span] = []
    centers: dict[int, Key] = {}
    for step in analysis.route:
        stretch = [span for span in material.spans if step.first_chord <= span.index < step.until_chord]
        length = sum((span.quarters for span in stretch), Fraction(0))
        if not length:
            continue
        count = max(least, int(length * share / bar_quarters + Fraction(1, 2)))
        center = moved_key(step.center, by)
        centers[len(spans)] = center
        first = len(bars)
        for number in range(first, first + count):
            bars.append(PlayedBar(number + 1, 0, 0, meter, number * bar_quarters, bar_quarters))
        spans += _told(center, _rest_in(stretch, analysis, step.center), bars[first:], told_as, len(spans))
    aims = _aims(spans, None)
    return Material(tuple(bars), tuple(spans), aims, centers, {}, material.key)


def _rest_in(spans: Sequence[Span], analysis: Analysis, center: Key) -> ChordSymbol | None:
    """The chord on which this center rests longest in these spans; None where it never does."""
    lengths: dict[ChordSymbol, Fraction] = {}
    for span in spans:
        reading = analysis.chords[span.index]
        if span.symbol is None or reading.numeral is None:
            continue
        home = reading.center == center and reading.numeral.degree.semitones == 0
        if home and reading.function == "tonic":
            symbol = ChordSymbol(span.symbol.root, span.symbol.quality)
            lengths[symbol] = lengths.get(symbol, Fraction(0)) + span.quarters
    return max(lengths, key=lambda symbol: lengths[symbol], default=None)


def _told(center: Key, rest: ChordSymbol | None, bars: Sequence[PlayedBar], told_as: RouteAs, index: int) -> list[Span]:
    """The spans of one center: its chords laid over its bars, held over the barlines."""
    symbols = [chord_of(parse_numeral(text), center) for text in CADENCE_NUMERALS[center.mode]]
    symbols[-1] = rest or symbols[-1]
    whole = sum((bar.quarters for bar in bars), Fraction(0))
    if told_as == "tonic":
        ends, symbols = [whole], symbols[-1:]
    else:
        beat = bars[0].quarters / len(pulses(bars[0].meter))
        step = max(beat, min(bars[0].quarters, whole / 4 // beat * beat))
        ends = [step, 2 * step, whole]
    spans: list[Span] = []
    at, chord, first = bars[0].start, 0, bars[0].start
    for bar in bars:
        until = bar.start + bar.quarters
        while at < until:
            end = min(until, first + ends[chord])
            unit = Fraction(4, bar.meter.unit)
            held = bool(spans) and spans[-1].symbol == symbols[chord]
            spans.append(
                Span(
                    index + len(spans),
                    (at - bar.start) / unit,
                    at,
                    end - at,
                    bar.number,
                    (end - at) / unit,
                    bar.meter,
                    0,
                    0,
                    symbols[chord],
                    held,
                )
            )
            at = end
            chord += end == first + ends[chord] and chord + 1 < len(ends)
    return spans
