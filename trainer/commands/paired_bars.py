"""Two readings bar beside bar: which bars hold the same chords, and which of those are read alike.

Chords are the same when they sound the same, however they are spelled.
"""

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from trainer.charts.timeline import Timeline
from trainer.harmony.key import Key
from trainer.reading.values import Analysis, ChordReading, FoundCadence, Interruption
from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class Side:
    """A tune and its reading, one of the two that are compared."""

    timeline: Timeline
    analysis: Analysis


@dataclass(frozen=True, slots=True)
class Stretches:
    """Bars of the first reading beside bars of the second; one of them may be empty."""

    first: tuple[int, ...]
    second: tuple[int, ...]
    alike: bool
    """The same chords, read alike."""

    @property
    def paired(self) -> bool:
        """Each bar stands beside its own counterpart."""
        return len(self.first) == len(self.second)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two readings and their bars beside each other, in order."""

    first: Side
    second: Side
    stretches: tuple[Stretches, ...]
    cadences: tuple[tuple[FoundCadence, ...], tuple[FoundCadence, ...]]
    """Those that only the first has, and those that only the second has."""
    interruptions: tuple[tuple[Interruption, ...], tuple[Interruption, ...]]

    @property
    def same_numbers(self) -> bool:
        """Whether all bars that stand beside each other have the same number."""
        return all(stretch.first == stretch.second for stretch in self.stretches)


def compared(first: Side, second: Side) -> Comparison:
    """Put two readings beside each other."""
    stretches = tuple(_runs(list(_pairs(first, second))))
    numbers = {
        theirs: mine
        for stretch in stretches
        if stretch.paired
        for mine, theirs in zip(stretch.first, stretch.second, strict=True)
    }
    mine = {_cadence(cadence): cadence for cadence in first.analysis.cadences}
    theirs = {_cadence(cadence, numbers): cadence for cadence in second.analysis.cadences}
    my_breaks = {_interruption(one): one for one in first.analysis.interruptions}
    their_breaks = {_interruption(one, numbers): one for one in second.analysis.interruptions}
    return Comparison(
        first,
        second,
        stretches,
        (
            tuple(one for key, one in mine.items() if key not in theirs),
            tuple(one for key, one in theirs.items() if key not in mine),
        ),
        (
            tuple(one for key, one in my_breaks.items() if key not in their_breaks),
            tuple(one for key, one in their_breaks.items() if key not in my_breaks),
        ),
    )


def heard_alike(first: Side, second: Side) -> int:
    """How many bars hold the same chords."""
    mine, theirs = _sounding(first), _sounding(second)
    if len(mine) == len(theirs):
        return sum(a == b for a, b in zip(mine, theirs, strict=True))
    return sum(block.size for block in SequenceMatcher(None, mine, theirs, autojunk=False).get_matching_blocks())


def key_sound(key: Key | None) -> tuple[int, str] | None:
    """A key without its spelling."""
    return None if key is None else (key.tonic.pitch_class, key.mode)


def chord_sound(chord: ChordReading) -> tuple[object, ...]:
    """A chord without its spelling, and where it stands in its bar."""
    span, symbol = chord.span, chord.span.symbol
    if symbol is None:
        return span.at, span.beats, None
    return span.at, span.beats, symbol.root.pitch_class, symbol.quality.id, symbol.bass_name.pitch_class


def chord_read(chord: ChordReading) -> tuple[object, ...]:
    """How a chord is read, without the spelling of its center."""
    numeral = None if chord.numeral is None else chord.numeral.degree.semitones
    goal = None if chord.applied_to is None else chord.applied_to.semitones
    return key_sound(chord.center), numeral, chord.function, goal


def chords_by_bar(analysis: Analysis) -> dict[int, list[ChordReading]]:
    """The chords of each bar as played."""
    bars: dict[int, list[ChordReading]] = {}
    for chord in analysis.chords:
        bars.setdefault(chord.span.bar, []).append(chord)
    return bars


def _sounding(side: Side) -> list[tuple[object, ...]]:
    return [tuple(map(chord_sound, chords)) for chords in chords_by_bar(side.analysis).values()]


def _pairs(first: Side, second: Side) -> Iterator[Stretches]:
    """One bar beside one bar, or bars that only one of the two has."""
    mine, theirs = _sounding(first), _sounding(second)
    numbers = [bar.number for bar in first.timeline.bars], [bar.number for bar in second.timeline.bars]
    if len(mine) == len(theirs):
        codes = [("replace", 0, len(mine), 0, len(theirs))]
    else:
        codes = [*SequenceMatcher(None, mine, theirs, autojunk=False).get_opcodes()]
    my_bars, their_bars = chords_by_bar(first.analysis), chords_by_bar(second.analysis)
    for _, a, b, c, d in codes:
        if b - a != d - c:
            yield Stretches(tuple(numbers[0][a:b]), tuple(numbers[1][c:d]), False)
            continue
        for x, y in zip(numbers[0][a:b], numbers[1][c:d], strict=True):
            yield Stretches((x,), (y,), _alike(my_bars[x], their_bars[y]))


def _alike(mine: Sequence[ChordReading], theirs: Sequence[ChordReading]) -> bool:
    return [(chord_sound(chord), chord_read(chord)) for chord in mine] == [
        (chord_sound(chord), chord_read(chord)) for chord in theirs
    ]


def _runs(pairs: Sequence[Stretches]) -> Iterator[Stretches]:
    """Neighbours that are alike, or differ, put together; what only one side has stands alone."""
    run: Stretches | None = None
    for pair in pairs:
        if run is not None and run.alike == pair.alike and run.paired and pair.paired:
            run = Stretches(run.first + pair.first, run.second + pair.second, pair.alike)
            continue
        if run is not None:
            yield run
        run = pair
    if run is not None:
        yield run


def _bar(number: int, numbers: dict[int, int] | None) -> object:
    """A bar by the first reading's count; a bar that only the second has is like none of the first's."""
    return number if numbers is None else numbers.get(number, (number,))


def _cadence(cadence: FoundCadence, numbers: dict[int, int] | None = None) -> tuple[object, ...]:
    start, goal = _bar(cadence.from_.bar, numbers), cadence.degree
    chords = len(cadence.chords)
    return cadence.type, key_sound(cadence.center), goal, start, cadence.from_.beat, chords, cadence.complete


def _interruption(one: Interruption, numbers: dict[int, int] | None = None) -> tuple[object, ...]:
    start = _bar(one.from_.bar, numbers)
    return one.shape, key_sound(one.awaited), key_sound(one.heard), start, one.from_.beat, len(one.chords)
