"""Stretches of a tune with the key center of each chord: around one change, or from its first bar on."""

from collections.abc import Sequence
from fractions import Fraction

from trainer.charts.chart import Meter
from trainer.drills.confirmed_centers import Confirmed, moved
from trainer.drills.material import MOST_BARS, TuneMaterial
from trainer.drills.units import MoveUnit
from trainer.harmony.interval import between
from trainer.harmony.key import Key, simplest_key
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass

LEAST_BARS_A_SIDE = 2
"""Of a change in a phrase, so that both centers can be heard."""
MOST_MOVES = 3


@dataclass(frozen=True, slots=True)
class Window:
    """Some spans of a tune, from the first up to the one after the last, in one meter."""

    start: int
    end: int
    meter: Meter


def route_centers(tune: TuneMaterial) -> tuple[Key | None, ...]:
    """The center of the route that each span belongs to; None before the first and where the tune has none."""
    out: list[Key | None] = [None] * len(tune.timeline.spans)
    for step in tune.analysis.route:
        out[step.first_chord : step.until_chord] = [step.center] * (step.until_chord - step.first_chord)
    return tuple(out)


def interrupted_spans(tune: TuneMaterial) -> frozenset[int]:
    """The spans of another key that breaks in."""
    return frozenset(n for one in tune.analysis.interruptions for n in one.chords)


def change_windows(tune: TuneMaterial, move: MoveUnit) -> list[Window]:
    """Phrases of a tune with one move in them, and perhaps one or two others; whole bars, sounding throughout."""
    found: list[Window] = []
    for step in tune.analysis.route[1:]:
        said = step.move
        assert said is not None
        if (said.semitones, said.mode_from, said.mode_to) != (move.semitones, move.mode_from, move.mode_to):
            continue
        at = tune.timeline.spans[step.first_chord].bar
        for before in range(LEAST_BARS_A_SIDE, MOST_BARS - LEAST_BARS_A_SIDE + 1):
            for after in range(LEAST_BARS_A_SIDE, MOST_BARS - before + 1):
                window = window_of_bars(tune, at - before, at + after - 1)
                if window is not None and window not in found:
                    found.append(window)
    return found


def window_of_bars(tune: TuneMaterial, first: int, last: int) -> Window | None:
    """The spans of whole bars, both counted; None where they fit no question about centers."""
    spans = tune.timeline.spans
    inside = [span.index for span in spans if first <= span.bar <= last]
    if not inside or spans[inside[0]].bar != first or spans[inside[-1]].bar != last or spans[inside[0]].at != 0:
        return None
    meters = {spans[n].meter for n in inside}
    sounds = all(spans[n].symbol is not None for n in inside)
    broken = interrupted_spans(tune) & set(inside)
    starts = sum(step.first_chord in inside[1:] for step in tune.analysis.route)
    if len(meters) != 1 or not sounds or broken or starts > MOST_MOVES:
        return None
    return Window(inside[0], inside[-1] + 1, meters.pop())


def in_key(tune: TuneMaterial, window: Window, key: Key) -> tuple[Confirmed, Key, Fraction]:
    """A window's chords and centers moved so that its first center is the key's; that center, and the tempo.

    Chords that are held or struck again in one center are one chord.
    """
    centers = route_centers(tune)
    first = centers[window.start]
    assert first is not None
    if first.mode != key.mode:
        key = simplest_key(key.tonic.pitch_class, first.mode)
    passage = moved_spans(tune, range(window.start, window.end), centers, first, key, window.meter)
    return passage, key, tune.timeline.tempo


def moved_spans(
    tune: TuneMaterial, spans: Sequence[int], centers: Sequence[Key | None], old: Key, new: Key, meter: Meter
) -> Confirmed:
    """Spans as chords with centers, moved from one key to another; silence is left to the chord before it.

    Each chord is spelled by the center that it is in.
    """
    symbols: list[ChordSymbol] = []
    stays: list[Key] = []
    beats: list[Fraction] = []
    for n in spans:
        span, center = tune.timeline.spans[n], centers[n]
        length = span.quarters * meter.unit / 4
        if span.symbol is None or center is None:
            if symbols:
                beats[-1] += length
            continue
        if symbols and symbols[-1] == span.symbol and stays[-1] == center:
            beats[-1] += length
            continue
        symbols.append(span.symbol)
        stays.append(center)
        beats.append(length)
    up = new.tonic.pitch_class - old.tonic.pitch_class
    places = {one: new if one == old else moved(new, one.tonic.pitch_class + up - new.tonic.pitch_class, one.mode)
              for one in dict.fromkeys(stays)}  # fmt: skip
    chords = tuple(
        symbol.transposed(between(center.tonic, places[center].tonic)).practical()
        for symbol, center in zip(symbols, stays, strict=True)
    )
    return Confirmed(chords, tuple(places[one] for one in stays), tuple(beats))
