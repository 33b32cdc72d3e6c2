"""Two stretches of chords that are the same but for what makes their types: alone, in a phrase, or in a tune."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.drills import material
from trainer.drills.ambiguity import alike
from trainer.drills.material import Stretch, TuneMaterial
from trainer.drills.pairs import HOME_KEYS, Pair, pairs, partners
from trainer.drills.question import FOUR_FOUR, Row
from trainer.drills.rungs import DrillError, Rung, lengths
from trainer.harmony.cadence import CADENCE, find_cadence
from trainer.harmony.key import Key, simplest_key
from trainer.harmony.numeral import chord_of_any, parse_any, parse_numeral
from trainer.reading.values import FoundCadence
from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class StretchPair:
    """Two stretches; the blanks of both are the chords that make the type."""

    other: str
    asked: Stretch
    instead: Stretch
    differ: tuple[int, ...]
    """The chords that aren't alike, from 0 in each stretch."""


def draw(unit: str, step: Rung, tune: TuneMaterial | None, rng: Random, key: Key, against: str | None) -> StretchPair:
    """Two stretches, the second with `against` or a type that the unit is easily taken for.

    Raises DrillError where the tune has nothing to ask.
    """
    if tune is not None:
        return _of_tune(unit, tune, rng, key, against)
    cadence = find_cadence(unit)
    other = against if against in CADENCE and against != unit and pairs(unit, str(against)) else None
    pair = rng.choice(pairs(unit, other or rng.choice(partners(unit))))
    if step.phrase and not cadence.shapes:
        return _paired(pair, material.phrase(cadence, key, step, rng, pair.row))
    return _paired(pair, _alone(pair, key, step, rng))


def placed(unit: str, step: Rung, rng: Random, key: Key, against: str | None) -> Iterator[StretchPair]:
    """Every pair of a unit's rows after a home that places them, `against` first, then as the table has them."""
    others = [*((against,) if against in CADENCE and against != unit else ()), *partners(unit)]
    for other in dict.fromkeys(others):
        for pair in pairs(unit, str(other)):
            alone = _row_alone(pair, key, step, rng)
            yield _paired(pair, alone if step.confirmed else _after(_home(pair), alone))


def _row_alone(pair: Pair, key: Key, step: Rung, rng: Random) -> Stretch:
    chords, numerals = material.spelled(pair.row, key)
    beats = lengths(len(pair.row), step, rng)
    return Stretch(key, chords, numerals, pair.row, beats, FOUR_FOUR, tuple(range(len(pair.row))))


def _alone(pair: Pair, key: Key, step: Rung, rng: Random) -> Stretch:
    """A row by itself; after a bar of home where nobody could place it, and on the rungs of phrases."""
    alone = _row_alone(pair, key, step, rng)
    if step.confirmed or alone.chords[0].root == key.tonic:
        return alone
    types = (CADENCE[pair.unit], CADENCE[pair.other])
    unplaced = any(not one.rests and one.id not in material.STAY_OPEN for one in types)
    if step.phrase or unplaced or any(one.id in material.HOMES for one in types):
        return material.after_home(alone, types[0])
    return alone


def _home(pair: Pair) -> Row:
    """What gives a home before either of two rows: home alone, or home and a chord that neither begins with."""
    home = material.home_of(CADENCE[pair.unit])
    firsts = {parse_numeral(row[0]).degree.semitones for row in (pair.row, pair.instead)}
    if 0 not in firsts:
        return (home,)
    four = {"I7": "IV7", "i7": "iv7", "i6": "iv7"}.get(home, "IVmaj7")
    return (home, four) if 5 not in firsts else (home, "V7")


def _after(home: Row, alone: Stretch) -> Stretch:
    chords, numerals = material.spelled(home, alone.key)
    before = len(home)
    return replace(
        alone, chords=chords + alone.chords, numerals=numerals + alone.numerals, written=(*home, *alone.written),
        beats=(Fraction(FOUR_FOUR.beats),) * before + alone.beats,
        blanks=tuple(index + before for index in alone.blanks),
    )  # fmt: skip


def _paired(pair: Pair, asked: Stretch) -> StretchPair:
    """A stretch and the same with the other type's chords in it."""
    at = asked.blanks
    chords, numerals = list(asked.chords), list(asked.numerals)
    differ = tuple(at[n] for n in pair.differ)
    for place in pair.differ:
        symbols, texts = material.spelled((pair.instead[place],), asked.key)
        chords[at[place]], numerals[at[place]] = symbols[0], texts[0]
    instead = replace(asked, chords=tuple(chords), numerals=tuple(numerals), written=tuple(numerals))
    return StretchPair(pair.other, asked, instead, differ)


def holds_one(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has a cadence of a type that another type's chords can stand in for."""
    return any(_fitting(unit, tune, found, None) for found in material.cadences_in(tune, unit))


def _of_tune(unit: str, tune: TuneMaterial, rng: Random, key: Key, against: str | None) -> StretchPair:
    places = [
        (found, fitting)
        for found in material.cadences_in(tune, unit)
        if (fitting := _fitting(unit, tune, found, against))
    ]
    if not places:
        raise DrillError(f"{tune.id} holds no {find_cadence(unit).name} that another type could stand in for")
    found, fitting = rng.choice(places)
    start, end = material.around(tune, found.chords[0], found.chords[-1], rng)
    if found.center.mode != key.mode:
        key = simplest_key(key.tonic.pitch_class, found.center.mode)
    asked = material.tune_stretch(tune, start, end, found.chords, found.center, key)
    return _paired(rng.choice(fitting), asked)


def _fitting(unit: str, tune: TuneMaterial, found: FoundCadence, against: str | None) -> tuple[Pair, ...]:
    """The pairs whose row is what the tune has there, chord for chord as the ear takes them."""
    own = material.tune_stretch(
        tune, found.chords[0], found.chords[-1] + 1, found.chords, found.center, HOME_KEYS[found.center.mode]
    )
    if len(own.blanks) != len(own.chords):
        return ()
    heard = [alike(chord) for chord in own.chords]
    asked = against if against in partners(unit) else None
    others: Sequence[str] = (asked,) if asked else partners(unit)
    return tuple(pair for other in others for pair in pairs(unit, other) if _heard(pair.row) == heard)


def _heard(row: Row) -> list[tuple[int, int, int]]:
    return [alike(chord_of_any(parse_any(text), HOME_KEYS["major"])) for text in row]
