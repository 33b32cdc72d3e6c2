"""Rows of two cadence types that differ as little as they can, to be set beside each other.

Rows are numerals counted from one tonic, as long as each other. Chords that the ear can't tell apart (bass,
sounding root and class) are written alike in both, so that nothing differs but what makes the types. Interrupted
types are paired at one distance of the other key, which is foreign to both.
"""

from functools import lru_cache

from trainer.drills.ambiguity import alike
from trainer.drills.interrupted import distances_of
from trainer.drills.material import in_mode
from trainer.drills.question import Row
from trainer.harmony.cadence import CADENCE, CADENCES, chords_of, formula_for
from trainer.harmony.key import Key, Mode, parse_key
from trainer.harmony.numeral import chord_of_any, numeral_of, parse_any
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass

HOME_KEYS: dict[Mode, Key] = {"major": parse_key("C"), "minor": parse_key("C minor")}


@dataclass(frozen=True, slots=True)
class Pair:
    """Two rows, one of each type."""

    unit: str
    other: str
    row: Row
    """Of the unit."""
    instead: Row
    """Of the other type, as long."""
    differ: tuple[int, ...]
    """The chords that aren't alike, from 0."""


Signature = tuple[tuple[int, int, int], ...]
"""What is heard of each chord of a row."""


@lru_cache(maxsize=512)
def pairs(unit: str, other: str) -> tuple[Pair, ...]:
    """All pairs of rows of two types that differ in the fewest chords; none where no rows are as long.

    A row that is one of both types is in no pair.
    """
    one, two = _rows(unit), _rows(other)
    both = {heard for _, _, heard in one} & {heard for _, _, heard in two}
    broken = bool(CADENCE[unit].shapes or CADENCE[other].shapes)
    found: dict[tuple[Row, Signature], tuple[tuple[int, ...], Row, tuple[ChordSymbol, ...]]] = {}
    fewest = len(max((chords for _, chords, _ in one), key=len))
    for row, chords, heard in one:
        for _, instead, heard_instead in two:
            if len(heard) != len(heard_instead) or heard in both or heard_instead in both:
                continue
            differ = tuple(n for n, (a, b) in enumerate(zip(heard, heard_instead, strict=True)) if a != b)
            # what breaks in must be the same in both, so half of the chords are
            if len(differ) > (len(row) // 2 if broken else fewest):
                continue
            fewest = min(fewest, len(differ))
            mixed = tuple(b if n in differ else a for n, (a, b) in enumerate(zip(chords, instead, strict=True)))
            found.setdefault((row, heard_instead), (differ, row, mixed))
    return tuple(
        Pair(unit, other, row, _texts(mixed), differ) for differ, row, mixed in found.values() if len(differ) == fewest
    )


def _texts(chords: tuple[ChordSymbol, ...]) -> Row:
    return tuple(numeral_of(chord, HOME_KEYS["major"]).text for chord in chords)


@lru_cache(maxsize=64)
def _rows(unit: str) -> tuple[tuple[Row, tuple[ChordSymbol, ...], Signature], ...]:
    """Every way to play a type: as numerals, as chords over C, and as what is heard of them."""
    cadence = CADENCE[unit]
    ways: list[tuple[ChordSymbol, ...]] = []
    key = HOME_KEYS[cadence.mode]
    for variant in (None, *range(len(cadence.variants))):
        if cadence.shapes:
            shape = cadence.shapes[0 if variant is None else variant + 1]
            ways += [chords_of(cadence, key, None, variant, distance) for distance in distances_of(shape)]
            continue
        for degree in cadence.degrees or (None,):
            row = formula_for(cadence, degree, variant)
            if in_mode(row, cadence.mode):
                ways.append(tuple(chord_of_any(parse_any(text), key) for text in row))
    return tuple((_texts(chords), chords, tuple(map(alike, chords))) for chords in ways)


@lru_cache(maxsize=128)
def partners(unit: str) -> tuple[str, ...]:
    """What a type may be set beside: what it is taken for, what is taken for it, else its nearest neighbours."""
    near = [*CADENCE[unit].taken_for]
    near += [row.id for row in CADENCES if unit in row.taken_for and row.id not in near]
    fitting = tuple(other for other in near if _close(unit, other))
    if fitting:
        return fitting
    return tuple(row.id for row in CADENCES if row.id != unit and _close(unit, row.id))


def _close(unit: str, other: str) -> bool:
    """Whether two types have rows as long that share a chord at least."""
    found = pairs(unit, other)
    return bool(found) and len(found[0].differ) < len(found[0].row)
