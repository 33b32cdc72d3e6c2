"""What of a tune is to be played: bars and spans in the wanted key, with their key centers and tensions.

The route is put in the same form: each key center as a few bars of its own cadence or its tonic.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from trainer.charts import transpose
from trainer.charts.chart import Meter
from trainer.charts.timeline import PlayedBar, PlayedSection, Span, Timeline
from trainer.harmony.interval import Interval, readable, transposed
from trainer.harmony.key import Key
from trainer.harmony.numeral import chord_of, parse_numeral
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis
from trainer.records import dataclass
from trainer.voicing.aims import aims_of, aims_of_reading
from trainer.voicing.patterns import pulses, quarters_of
from trainer.voicing.shapes import Aim

Move = Interval | int | None
"""Where a tune is moved: by an interval, spelled as it says; by half steps, each key by its most readable name."""

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


def key_mover(timeline: Timeline, by: Move) -> Callable[[Key], Key]:
    """What moves a key of a tune as the tune is moved."""
    if not by:
        return lambda key: key
    if isinstance(by, Interval):
        return lambda key: Key(readable(transposed(key.tonic, by)), key.mode)
    printed = timeline.key
    flats = None if printed is None else transpose.moved_key(printed, by).fifths < 0
    return lambda key: transpose.moved_key(key, by, flats)


def material_of(timeline: Timeline, analysis: Analysis | None, bars: tuple[int, int] | None, by: Move) -> Material:
    """Take the bars from the first to the last of `bars`, all where it is None, moved by an interval or half steps."""
    wanted = tuple(bar for bar in timeline.bars if bars is None or bars[0] <= bar.number <= bars[1])
    if not wanted:
        raise ValueError(f"the tune has no bars {bars}")
    numbers = {bar.number for bar in wanted}
    chosen = [span for span in timeline.spans if span.bar in numbers]
    home = analysis.home.key if analysis is not None and analysis.home is not None else timeline.key
    moved = key_mover(timeline, by)
    return Material(
        wanted,
        _moved_spans(timeline, chosen, analysis, by),
        _aims(chosen, analysis),
        {place: moved(key) for place, key in _centers(chosen, analysis).items()},
        _section_names(timeline.sections, numbers),
        None if home is None else moved(home),
    )


def _moved_spans(timeline: Timeline, spans: Sequence[Span], analysis: Analysis | None, by: Move) -> tuple[Span, ...]:
    if not by:
        return tuple(spans)
    if isinstance(by, Interval):
        known: dict[ChordSymbol | None, ChordSymbol | None] = {None: None}
        for symbol in {span.symbol for span in spans} - {None}:
            known[symbol] = symbol.transposed(by).practical() if symbol is not None else None
        return tuple(replace(span, symbol=known[span.symbol]) for span in spans)
    centers: dict[transpose.WrittenPlace, Key] = {}
    for reading in () if analysis is None else analysis.chords:
        if reading.center is not None:
            centers.setdefault((reading.span.written_bar, reading.span.at), reading.center)
    moved = transpose.transposed_timeline(timeline, by, centers).spans
    return tuple(moved[span.index] for span in spans)


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
    material: Material, analysis: Analysis, moved: Callable[[Key], Key], told_as: RouteAs, share: Fraction
) -> Material:
    """The route through the same bars: each center in whole bars, its share of the time it has in the tune.

    The cadence takes at most two bars for its ii and V; the tonic, in the quality it has in the tune,
    fills the rest. No center is shorter than its three chords at one beat each.
    """
    beats = len(pulses(_route_meter(material)))
    least = 1 if told_as == "tonic" else -(-3 // beats)
    bar_quarters = quarters_of(_route_meter(material))

    def bars_of(length: Fraction) -> int:
        return max(least, int(length * share / bar_quarters + Fraction(1, 2)))

    return _route(material, analysis, moved, told_as, bars_of)


def centers_of(material: Material, analysis: Analysis, moved: Callable[[Key], Key], told_as: RouteAs) -> Material:
    """The key centers of the same bars, told one after the other in two bars each."""
    return _route(material, analysis, moved, told_as, lambda _: 2)


def _route_meter(material: Material) -> Meter:
    return next((bar.meter for bar in material.bars if not is_pickup(bar)), material.bars[0].meter)


def _route(
    material: Material,
    analysis: Analysis,
    moved: Callable[[Key], Key],
    told_as: RouteAs,
    bars_of: Callable[[Fraction], int],
) -> Material:
    meter = _route_meter(material)
    bars: list[PlayedBar] = []
    spans: list[Span] = []
    centers: dict[int, Key] = {}
    for step in analysis.route:
        stretch = [span for span in material.spans if step.first_chord <= span.index < step.until_chord]
        length = sum((span.quarters for span in stretch), Fraction(0))
        if not length:
            continue
        center = moved(step.center)
        centers[len(spans)] = center
        first = len(bars)
        for number in range(first, first + bars_of(length)):
            bars.append(PlayedBar(number + 1, 0, 0, meter, number * quarters_of(meter), quarters_of(meter)))
        spans += _told(center, _rest_in(stretch, analysis, moved, center), bars[first:], told_as, len(spans))
    return Material(tuple(bars), tuple(spans), _aims(spans, None), centers, {}, material.key)


def _rest_in(spans: Sequence[Span], analysis: Analysis, moved: Callable[[Key], Key], center: Key) -> ChordSymbol | None:
    """The chord on which this center rests longest in these spans; None where it never does."""
    lengths: dict[ChordSymbol, Fraction] = {}
    for span in spans:
        reading = analysis.chords[span.index]
        if span.symbol is None or reading.numeral is None:
            continue
        home = reading.center is not None and moved(reading.center) == center and reading.numeral.degree.semitones == 0
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
