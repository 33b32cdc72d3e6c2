"""Where a question's chords come from: the cadence table in any key, or a stretch of a tune that was read.

A tune's stretch is at most eight bars around the cadence that is asked, transposed to the question's
key. A phrase of the table is the cadence with a lead-in that gives a home and a lead-out that goes on.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.charts.chart import Meter
from trainer.charts.timeline import Span, Timeline
from trainer.drills.question import FOUR_FOUR
from trainer.drills.rungs import Rung, lengths
from trainer.harmony.cadence import CadenceType, formula_for
from trainer.harmony.interval import between
from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import Numeral, chord_of_any, numeral_of, parse_any
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis, FoundCadence
from trainer.records import dataclass

MOST_BARS = 8


@dataclass(frozen=True, slots=True)
class TuneMaterial:
    """A tune and its reading."""

    id: str
    timeline: Timeline
    analysis: Analysis

    def may_have(self, unit: str) -> bool:
        """Whether it is worth looking for a unit in it; a tune that isn't read yet may know without being read."""
        return True


@dataclass(frozen=True, slots=True)
class Stretch:
    """Chords in a key, with what is asked of them."""

    key: Key
    chords: tuple[ChordSymbol, ...]
    numerals: tuple[str, ...]
    """Each chord as a degree of `key`."""
    written: tuple[str, ...]
    """As the table writes it, applied numerals kept (`V7/ii`)."""
    beats: tuple[Fraction, ...]
    meter: Meter
    blanks: tuple[int, ...]
    tempo: Fraction | None = None
    """None is free."""
    degree: str | None = None
    variant: int | None = None


def table_row(cadence: CadenceType, rng: Random, any_length: bool) -> tuple[tuple[str, ...], str | None, int | None]:
    """One way to play a cadence: its formula half of the time, else a variant, toward any of its degrees."""
    degree = rng.choice(cadence.degrees) if cadence.degrees else None
    variant = None
    fitting = [
        n
        for n, row in enumerate(cadence.variants)
        if (any_length or len(row) == len(cadence.formula)) and in_mode(row, cadence.mode)
    ]
    if fitting and rng.random() < 0.5:
        variant = rng.choice(fitting)
    return formula_for(cadence, degree, variant), degree, variant


def in_mode(row: Sequence[str], mode: Mode) -> bool:
    """Whether a row that begins at home begins in the mode of the key that is given."""
    first = parse_any(row[0])
    if mode == "major" or not isinstance(first, Numeral) or first.degree.semitones != 0:
        return True
    return first.quality.third == "minor"


def spelled(row: Sequence[str], key: Key) -> tuple[tuple[ChordSymbol, ...], tuple[str, ...]]:
    """The chords of numerals in a key as a player writes them, and the numerals without applied ones."""
    exact = [chord_of_any(parse_any(text), key) for text in row]
    return tuple(chord.practical() for chord in exact), tuple(numeral_of(chord, key).text for chord in exact)


def alone(cadence: CadenceType, key: Key, rung: Rung, rng: Random) -> Stretch:
    """A cadence of the table by itself, as many chords as its formula has."""
    row, degree, variant = table_row(cadence, rng, any_length=False)
    chords, numerals = spelled(row, key)
    beats = lengths(len(row), rung, rng)
    return Stretch(key, chords, numerals, row, beats, FOUR_FOUR, tuple(range(len(row))), None, degree, variant)


HOMES: dict[str, str] = {"blues-four": "I7", "blues-last-four": "I7", "minor-blues-last-four": "i7"}
"""The chord of home in a blues."""


def home_of(cadence: CadenceType) -> str:
    """The chord of a type's home."""
    return HOMES.get(cadence.id, "Imaj7" if cadence.mode == "major" else "i6")


def after_home(stretch: Stretch, cadence: CadenceType) -> Stretch:
    """A stretch with a bar of its home before it, which isn't asked."""
    home = home_of(cadence)
    chords, numerals = spelled((home,), stretch.key)
    return replace(
        stretch,
        chords=chords + stretch.chords,
        numerals=numerals + stretch.numerals,
        written=(home, *stretch.written),
        beats=(Fraction(FOUR_FOUR.beats), *stretch.beats),
        blanks=tuple(index + 1 for index in stretch.blanks),
    )


LEAD_INS: dict[Mode, tuple[tuple[str, ...], ...]] = {
    "major": (("Imaj7",), ("I6",), ("Imaj7", "IVmaj7", "Imaj7"), ("I6", "iii7")),
    "minor": (("i6",), ("i",), ("i7", "iv7", "i7"), ("i6", "i")),
}
"""What gives a home before a cadence that doesn't begin on it."""
LEAD_INS_TO_HOME: dict[Mode, tuple[tuple[str, ...], ...]] = {
    "major": (("ii7", "V7"), ("V7sus4", "V7"), ("V7",)),
    "minor": (("iiø7", "V7b9"), ("V7b9",), ("iv7", "V7")),
}
"""What leads to a cadence that begins at home."""
LEAD_INS_FROM_AFAR: tuple[tuple[str, ...], ...] = (("bIImaj7",), ())
"""The home a half step above, or none, before a two-five that announces its own key and doesn't land."""
BLUES: dict[str, tuple[tuple[tuple[str, ...], ...], tuple[tuple[str, ...], ...]]] = {
    "blues-four": (((), ("I7", "V7"), ("ii7", "V7")), (("V7", "I7"), ("V7", "IV7", "I7"))),
    "blues-last-four": ((("I7",), ("I7", "IV7", "I7")), ((),)),
    "minor-blues-last-four": ((("i7",), ("i7", "iv7", "i7")), ((),)),
}
"""Lead-ins and lead-outs in a blues."""
LEAD_OUTS: dict[Mode, dict[str, tuple[tuple[str, ...], ...]]] = {
    "major": {
        "I": (("IVmaj7", "Imaj7"), ("vi7", "ii7", "V7"), ()),
        "II": (("V7", "Imaj7"),),
        "V": (("Imaj7",),),
        "": (("ii7", "V7", "Imaj7"),),
    },
    "minor": {
        "I": (("iv7", "i6"), ("bVImaj7", "iiø7", "V7b9"), ()),
        "II": (("V7b9", "i6"),),
        "V": (("i6",),),
        "": (("iiø7", "V7b9", "i6"),),
    },
}
"""How a phrase goes on after a cadence, by the degree of its last chord; the empty one is any other."""
STAY_OPEN = frozenset({"half", "unfinished-two-five"})
"""These end the phrase: what followed would finish them."""
ENDS_ITSELF = frozenset({"picardy", "minor-two-to-major-one"})
"""These end the phrase too: nothing of their key would follow without undoing them."""


def phrase(cadence: CadenceType, key: Key, rung: Rung, rng: Random, row: Sequence[str] | None = None) -> Stretch:
    """A cadence of the table, in one of its rows or in the given one, with a lead-in and a lead-out."""
    degree, variant = None, None
    if row is None:
        row, degree, variant = table_row(cadence, rng, any_length=True)
    core = lengths(len(row), rung, rng)
    before, after = _lead_in(cadence, row, key, rng), _lead_out(cadence, row, key, rng)
    room = MOST_BARS * FOUR_FOUR.beats - sum(core)
    lead_in, lead_out = _filling(before), _filling(after)
    if sum(lead_out) > room - sum(lead_in):
        after, lead_out = (), ()
    if sum(lead_in) > room:
        before, lead_in = (), ()
    whole = (*before, *row, *after)
    chords, numerals = spelled(whole, key)
    blanks = tuple(range(len(before), len(before) + len(row)))
    beats = (*lead_in, *core, *lead_out)
    return Stretch(key, chords, numerals, whole, beats, FOUR_FOUR, blanks, None, degree, variant)


def _filling(row: Sequence[str]) -> tuple[Fraction, ...]:
    """Beats of chords beside a cadence: two to a bar, the last one fills its bar."""
    if not row:
        return ()
    return (Fraction(2),) * (len(row) - 1) + (Fraction(2) if len(row) % 2 == 0 else Fraction(4),)


def _degree(text: str, key: Key) -> str:
    return str(numeral_of(chord_of_any(parse_any(text), key), key).degree)


def _lead_in(cadence: CadenceType, row: Sequence[str], key: Key, rng: Random) -> tuple[str, ...]:
    first = _degree(row[0], key)
    table = (LEAD_INS_TO_HOME if first == "I" else LEAD_INS)[cadence.mode]
    if cadence.id == "unfinished-two-five":
        table = LEAD_INS_FROM_AFAR
    elif cadence.id in BLUES:
        table = BLUES[cadence.id][0]
    softly = "plagal" in cadence.functions
    fitting = [one for one in table if not one or (_degree(one[-1], key) != first and not (softly and len(one) > 2))]
    if not fitting:
        return ()
    return rng.choice(fitting)


def _lead_out(cadence: CadenceType, row: Sequence[str], key: Key, rng: Random) -> tuple[str, ...]:
    if cadence.id in STAY_OPEN or cadence.id in ENDS_ITSELF:
        return ()
    if cadence.id in BLUES:
        return rng.choice(BLUES[cadence.id][1])
    ways = LEAD_OUTS[cadence.mode]
    table = ways.get(_degree(row[-1], key), ways[""])
    if "plagal" in cadence.functions:  # a second soft cadence right after would hide which one is asked
        table = tuple(way for way in table if way[:1] not in (("IVmaj7",), ("iv7",)))
    return rng.choice(table)


def cadences_in(tune: TuneMaterial, type_id: str) -> tuple[FoundCadence, ...]:
    """The complete cadences of a type that fit into a phrase; the outermost ones where there are any."""
    found = tuple(
        cadence
        for cadence in tune.analysis.cadences
        if cadence.type == type_id and cadence.complete and not cadence.wraps and fits_phrase(tune, cadence.chords)
    )
    return tuple(cadence for cadence in found if cadence.within is None) or found


def fits_phrase(tune: TuneMaterial, spans: Sequence[int]) -> bool:
    """Whether some spans sound throughout, in one meter, and last no longer than a phrase."""
    bars = [tune.timeline.spans[n].bar for n in (spans[0], spans[-1])]
    same_meter = len({tune.timeline.spans[n].meter for n in range(spans[0], spans[-1] + 1)}) == 1
    sounds = all(tune.timeline.spans[n].symbol for n in range(spans[0], spans[-1] + 1))
    return bars[1] - bars[0] < MOST_BARS and same_meter and sounds


def around(tune: TuneMaterial, first: int, last: int, rng: Random, avoid: Collection[int] = ()) -> tuple[int, int]:
    """A stretch of whole bars of at most a phrase around some spans: its first span and the one after it.

    It ends before silence, another meter, and spans to avoid.
    """
    spans = tune.timeline.spans
    low, high = spans[first].bar, spans[last].bar
    room = MOST_BARS - (high - low + 1)
    before = rng.randint(0, min(room, 3))
    after = rng.randint(0, min(room - before, 3))

    def goes_on(index: int) -> bool:
        inside = 0 <= index < len(spans) and low - before <= spans[index].bar <= high + after
        return inside and index not in avoid and _sounds_in(spans[index], spans[first].meter)

    start, end = first, last + 1
    while goes_on(start - 1):
        start -= 1
    while goes_on(end):
        end += 1
    return start, end


def _sounds_in(span: Span, meter: Meter) -> bool:
    return span.symbol is not None and span.meter == meter


def tune_stretch(tune: TuneMaterial, start: int, end: int, asked: Sequence[int], center: Key, key: Key) -> Stretch:
    """Spans of a tune as a question's chords, moved from their center to the question's key.

    Chords that are held or struck again are one chord.
    """
    by = between(center.tonic, key.tonic)
    symbols: list[ChordSymbol] = []
    beats: list[Fraction] = []
    blanks: list[int] = []
    for index in range(start, end):
        span = tune.timeline.spans[index]
        assert span.symbol is not None
        if symbols and symbols[-1] == span.symbol:
            beats[-1] += span.beats
        else:
            symbols.append(span.symbol)
            beats.append(span.beats)
        if index in asked and len(symbols) - 1 not in blanks:
            blanks.append(len(symbols) - 1)
    numerals = tuple(numeral_of(symbol, center).text for symbol in symbols)
    chords = tuple(symbol.transposed(by).practical() for symbol in symbols)
    return Stretch(
        key, chords, numerals, numerals, tuple(beats), tune.timeline.spans[start].meter,
        tuple(blanks), tune.timeline.tempo,
    )  # fmt: skip
