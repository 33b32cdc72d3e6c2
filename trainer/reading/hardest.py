"""The stretch of a tune that asks most of a player, and why.

Four bars are weighed by what happens in them: how quickly chords come at the tune's tempo, how far key
centers lie apart, roots outside their key, and functions seldom met. The weights say how much attention
each takes against the others (common practice, no source); only the order of stretches is ever told.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Literal

from trainer.charts.timeline import Place
from trainer.harmony.key import Key
from trainer.reading.degrees import target_text
from trainer.reading.one_line import and_list
from trainer.reading.route import MOVE_NAMES, short_way
from trainer.reading.values import Analysis, ChordReading
from trainer.records import dataclass

STRETCH_BARS = 4
EASY_S = 2.0
"""A chord that lasts so long leaves time to think; each shorter one asks for more."""
QUICK = 1.0
"""What a chord asks for that is gone at once."""
NEW_CENTER = 0.8
EACH_FIFTH = 0.25
"""On top of a new center, for each fifth between the signatures, up to six."""
OUTSIDE_ROOT = 0.4
SELDOM = 0.5
HARD_FROM = 1.0
"""A stretch that asks for less is not hard."""
STANDS_OUT = 1.15
"""It asks for so many times the tune's average, or no stretch is the hardest."""
TOLD = 6
"""So many chords are named in one reason."""

_SCALE = {
    "major": frozenset({0, 2, 4, 5, 7, 9, 11}),
    "minor": frozenset({0, 2, 3, 5, 7, 8, 9, 10, 11}),
}
"""Roots at home in a key; in minor both sixths and both sevenths."""

What = Literal["rhythm", "center", "root", "seldom"]


@dataclass(frozen=True, slots=True)
class HardStretch:
    """The stretch, and what makes it hard, the weightiest reason first."""

    from_: Place
    until: Place
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Load:
    """What one thing in one bar asks for."""

    bar: int
    what: What
    weight: float
    words: str
    """What is told of it: a chord, a center."""
    deed: str = ""
    """What a chord does that is seldom met."""


@dataclass(frozen=True, slots=True)
class _Struck:
    """A chord for as long as it sounds."""

    reading: ChordReading
    seconds: float


def hardest_stretch(analysis: Analysis) -> HardStretch | None:
    """The four bars that ask most; None where no stretch stands out."""
    chords = _struck(analysis)
    if not chords:
        return None
    first, last = analysis.chords[0].span.bar, analysis.chords[-1].span.bar
    loads = list(_loads(chords))
    by_bar = [0.0] * (last - first + 1)
    for load in loads:
        by_bar[load.bar - first] += load.weight
    length = min(STRETCH_BARS, len(by_bar))
    sums = [sum(by_bar[at : at + length]) for at in range(len(by_bar) - length + 1)]
    most = max(sums)
    average = sum(by_bar) / len(by_bar) * length
    if most < HARD_FROM or (len(sums) > 1 and most < STANDS_OUT * average):
        return None
    begin = first + max(range(len(sums)), key=lambda at: (round(sums[at], 6), -at))
    inside = [load for load in loads if begin <= load.bar < begin + length]
    struck = [chord for chord in chords if begin <= chord.reading.span.bar < begin + length]
    place, until = Place(begin, Fraction(1)), Place(begin + length, Fraction(1))
    usual = sum(load.weight for load in loads if load.what == "rhythm") / len(by_bar) * length
    return HardStretch(place, until, tuple(_reasons(inside, struck, analysis.tempo, usual)))


def _struck(analysis: Analysis) -> list[_Struck]:
    """The chords that are struck, each with its length in seconds."""
    quarter_s = 60.0 / analysis.tempo
    if analysis.chords and analysis.chords[0].span.meter.compound:
        quarter_s /= 1.5
    out: list[_Struck] = []
    for chord in analysis.chords:
        seconds = float(chord.span.quarters) * quarter_s
        if chord.span.symbol is None:
            continue
        if out and out[-1].reading.span.symbol == chord.span.symbol and out[-1].reading.center == chord.center:
            out[-1] = _Struck(out[-1].reading, out[-1].seconds + seconds)
        else:
            out.append(_Struck(chord, seconds))
    return out


def _loads(chords: Sequence[_Struck]) -> Iterator[_Load]:
    """Everything that asks for attention, chord by chord."""
    before: Key | None = None
    for chord in chords:
        reading = chord.reading
        symbol, center, bar = reading.span.symbol, reading.center, reading.span.bar
        if symbol is None or center is None:
            continue
        if chord.seconds < EASY_S:
            yield _Load(bar, "rhythm", QUICK * (1.0 - chord.seconds / EASY_S), symbol.text)
        if before is not None and center != before:
            weight = NEW_CENTER + EACH_FIFTH * _fifths(before, center)
            yield _Load(bar, "center", weight, f"{center.name} in bar {bar}, {_apart(before, center)}")
        above = (symbol.root.pitch_class - center.tonic.pitch_class) % 12
        if above not in _SCALE[center.mode]:
            yield _Load(bar, "root", OUTSIDE_ROOT, symbol.text)
        seldom = _seldom(reading, above)
        if seldom:
            yield _Load(bar, "seldom", SELDOM, symbol.text, seldom)
        before = center


def _fifths(one: Key, other: Key) -> int:
    """Fifths between two signatures, the short way round."""
    apart = (other.fifths - one.fifths) % 12
    return min(apart, 12 - apart)


def _apart(one: Key, other: Key) -> str:
    """How far a center lies from the one before."""
    way = short_way(other.tonic.pitch_class - one.tonic.pitch_class)
    if way == 0:
        return "the same tonic"
    if abs(way) not in MOVE_NAMES:
        return "a tritone away"
    return f"{MOVE_NAMES[abs(way)]} {'up' if way > 0 else 'down'}"


def _seldom(reading: ChordReading, above: int) -> str:
    """What a chord does that is seldom met; empty for the everyday."""
    center, symbol = reading.center, reading.span.symbol
    if center is None or symbol is None:
        return ""
    goal = 0 if reading.applied_to is None else reading.applied_to.semitones
    words = ""
    if reading.function == "dominant":
        if symbol.quality.dominant and (above - goal) % 12 == 1:
            words = "as a tritone substitute"
        elif symbol.quality.third == "minor" and symbol.quality.fifth == "diminished":
            words = "in a dominant's place"
        elif reading.applied_to is not None and goal not in _SCALE[center.mode]:
            words = f"toward {target_text(reading.applied_to, center.mode)}"
    elif reading.function == "passing":
        words = "in passing"
    elif reading.function == "plagal" and above == 10:
        words = "by the backdoor"
    elif reading.function == "color" and above != 5:
        words = "as a color"
    return words


def _reasons(loads: Sequence[_Load], chords: Sequence[_Struck], tempo: float, usual: float) -> Iterator[str]:
    """A sentence for each kind of load, the weightiest first; `usual` is what the rhythm asks for elsewhere."""
    sums: dict[What, float] = {}
    words: dict[What, list[str]] = {}
    for load in loads:
        sums[load.what] = sums.get(load.what, 0.0) + load.weight
        if load.words not in words.setdefault(load.what, []):
            words[load.what].append(load.words)
    for what in sorted(sums, key=lambda what: -sums[what]):
        if what == "rhythm" and (sums[what] > usual or len(sums) == 1):
            shortest = min(chord.seconds for chord in chords)
            many = "one chord" if len(chords) == 1 else f"{len(chords)} chords"
            yield f"It has {many}, and at {tempo:g} the shortest lasts {shortest:.1f} seconds."
        elif what == "center":
            yield f"The center moves to {_few(words[what], '; then to ')}."
        elif what == "root":
            yield f"Roots outside the key: {_few(words[what])}."
        elif what == "seldom":
            yield f"Seldom met: {'; '.join(_by_deed(loads))}."


def _by_deed(loads: Sequence[_Load]) -> Iterator[str]:
    """The chords that do the same told together: "Bb7 and Ab7 as tritone substitutes"."""
    by: dict[str, list[str]] = {}
    for load in loads:
        if load.deed and load.words not in by.setdefault(load.deed, []):
            by[load.deed].append(load.words)
    for deed, symbols in by.items():
        yield f"{_few(symbols)} {deed if len(symbols) == 1 else _PLURAL.get(deed, deed)}"


_PLURAL = {
    "as a tritone substitute": "as tritone substitutes", "in a dominant's place": "in the places of dominants",
    "as a color": "as colors",
}  # fmt: skip


def _few(words: list[str], between: str = "") -> str:
    """The first of many, and how many more."""
    if len(words) > TOLD:
        words = [*words[:TOLD], f"{len(words) - TOLD} more"]
    return between.join(words) if between else and_list(words)
