"""Moves a chart to another key, each chord spelled by the key it lives in there.

A chord keeps its degree of its own key center: E7 before Eb major is the bII of Eb, and so Eb7 before D.
A key takes the name with the fewest accidentals. A root that no scale of the new key has is never Cb, Fb,
E# or B#, nor has it a double accidental; a bass is spelled as the chord's own tone (common practice, no source).
"""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

from trainer.charts.chart import Chart, Pin, WrittenBar
from trainer.charts.lexer import shortened
from trainer.charts.timeline import Timeline
from trainer.errors import KeyfarerError
from trainer.harmony.interval import Interval, between, degree_interval, practical, transposed
from trainer.harmony.interval_words import parse_interval
from trainer.harmony.key import Key, simplest_key
from trainer.harmony.numeral import degree_of, note_of
from trainer.harmony.pitch import HarmonyError, NoteName, simplest_name
from trainer.harmony.symbol import ChordSymbol

WrittenPlace = tuple[int, Fraction]
"""A bar by its number as written, and beats from its start."""

NO_CENTERS: Mapping[WrittenPlace, Key] = MappingProxyType({})
PLAIN_KEY = Key(NoteName("C"), "major")
"""What a chord is spelled by where neither a reading nor the chart names a key."""

_AWKWARD = frozenset({NoteName("C", -1), NoteName("F", -1), NoteName("E", 1), NoteName("B", 1)})


class StepsError(KeyfarerError):
    """A distance that can't be read."""


def transposed_chart(
    chart: Chart, semitones: int, centers: Mapping[WrittenPlace, Key] = NO_CENTERS, asked: Key | None = None
) -> Chart:
    """Move a chart by half steps, up or down, and spell it anew; by whole octaves it stays as it is.

    centers: the key center that each chord is heard in, by its written place; the printed key where none is
    known. asked: a key that is spelled so wherever it comes, also where another name has fewer accidentals.
    """
    if semitones % 12 == 0 and asked is None:
        return chart
    return _Move(_Names(semitones, chart.key, asked), chart.key, centers).chart(chart)


def transposed_timeline(
    timeline: Timeline, semitones: int, centers: Mapping[WrittenPlace, Key] = NO_CENTERS, asked: Key | None = None
) -> Timeline:
    """The same for a chart as played: what `unfold` makes of the transposed chart."""
    if semitones % 12 == 0 and asked is None:
        return timeline
    return _Move(_Names(semitones, timeline.key, asked), timeline.key, centers).timeline(timeline)


def parse_steps(text: str) -> int:
    """Read how far to move, in half steps: an interval (`m3`, `minor third`) or a number. Raises StepsError."""
    try:
        found = parse_interval(text)
    except HarmonyError as error:
        shown = shortened(text)
        raise StepsError(f"--by {shown}: found `{shown}`; expected {error.expected}") from None
    return found.semitones if isinstance(found, Interval) else found


def moved_key(key: Key, semitones: int, prefer_flats: bool | None = None) -> Key:
    """A key so many half steps away, with the fewest accidentals; None prefers flats where it has some itself."""
    flats = key.fifths < 0 if prefer_flats is None else prefer_flats
    return simplest_key(key.tonic.pitch_class + semitones, key.mode, flats)


def moved_chord(symbol: ChordSymbol, key: Key, target: Key) -> ChordSymbol:
    """A chord of one key as the same chord of another."""
    quality = symbol.quality
    rising = quality.fifth == "diminished" and quality.third == "minor"
    root = _readable_in(note_of(degree_of(symbol.root, key, rising), target), target)
    moved = ChordSymbol(root, quality)
    return moved if symbol.bass is None else replace(moved, bass=_bass(symbol.root, symbol.bass, moved))


def _readable_in(name: NoteName, key: Key) -> NoteName:
    if name in key.scale:
        return name
    return simplest_name(name.pitch_class, name.alteration < 0) if name in _AWKWARD else practical(name)


def _bass(root: NoteName, bass: NoteName, moved: ChordSymbol) -> NoteName:
    """A bass as a tone of its chord where it is one, else as far from the root as it is written."""
    semitones = (bass.pitch_class - root.pitch_class) % 12
    for degree, alteration in moved.quality.tones:
        interval = degree_interval(degree, alteration)
        if interval.semitones % 12 == semitones:
            return practical(transposed(moved.root, interval))
    return practical(transposed(moved.root, between(root, bass)))


class _Names:
    """The names that keys take so many half steps away."""

    def __init__(self, semitones: int, printed: Key | None, asked: Key | None) -> None:
        self.semitones, self.asked = semitones, asked
        named = asked or (None if printed is None else moved_key(printed, semitones))
        self.prefer_flats = None if named is None else named.fifths < 0

    def key(self, key: Key) -> Key:
        """A key moved, by the name that was asked for where it is that key."""
        moved, asked = moved_key(key, self.semitones, self.prefer_flats), self.asked
        if asked is not None and (asked.tonic.pitch_class, asked.mode) == (moved.tonic.pitch_class, moved.mode):
            return asked
        return moved

    def pin(self, pin: Pin | None) -> Pin | None:
        """A pin moved; its numeral is the same in every key."""
        return pin if pin is None or pin.center is None else replace(pin, center=self.key(pin.center))


class _Move:
    """Chords on their way to another key, in the order they stand."""

    def __init__(self, names: _Names, printed: Key | None, centers: Mapping[WrittenPlace, Key]) -> None:
        self.names, self.printed, self.centers = names, printed, centers
        self.last: dict[ChordSymbol, ChordSymbol] = {}
        """What each chord became when it came last: what holds or repeats it is spelled alike."""

    def symbol(self, symbol: ChordSymbol | None, place: WrittenPlace, again: bool) -> ChordSymbol | None:
        """A chord moved; `again`: nothing new is written there."""
        if symbol is None:
            return None
        if not again or symbol not in self.last:
            key = self.centers.get(place) or self.printed or PLAIN_KEY
            self.last[symbol] = moved_chord(symbol, key, self.names.key(key))
        return self.last[symbol]

    def chart(self, chart: Chart) -> Chart:
        """A whole chart moved."""
        sections = tuple(
            replace(section, bars=tuple(self.bar(bar) for bar in section.bars)) for section in chart.sections
        )
        return replace(chart, key=None if chart.key is None else self.names.key(chart.key), sections=sections)

    def bar(self, bar: WrittenBar) -> WrittenBar:
        """A bar moved; the player's own spellings are gone with the chords they spelled."""
        chords = tuple(
            replace(
                chord,
                symbol=self.symbol(chord.symbol, (bar.number, chord.at), chord.held),
                pin=self.names.pin(chord.pin),
                text="",
            )
            for chord in bar.chords
        )
        return replace(bar, chords=chords)

    def timeline(self, timeline: Timeline) -> Timeline:
        """A whole timeline moved."""
        spans = []
        for span in timeline.spans:
            symbol = self.symbol(span.symbol, (span.written_bar, span.at), span.continues)
            written = "N.C." if symbol is None else symbol.text
            spans.append(replace(span, symbol=symbol, pin=self.names.pin(span.pin), written=written))
        key = None if timeline.key is None else self.names.key(timeline.key)
        return replace(timeline, key=key, spans=tuple(spans))
