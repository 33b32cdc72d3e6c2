"""What a preparation leads to: the chords before a goal, where it lies from home, and how surely its mode is told.

A dominant leads down a fifth, or a half step where it stands in for the one a tritone away. The mode of
its goal is told by what leans to it, a half-diminished two or a flat nine to minor, a minor seventh on two
or a thirteenth to major; where nothing leans, by the goal's own chord in the key (common practice, no source).
"""

from collections.abc import Mapping, Sequence
from random import Random
from types import MappingProxyType

from trainer.drills import material
from trainer.drills.material import TuneMaterial
from trainer.harmony.cadence import CADENCE, CadenceType, Formula, formula_for, functions_for
from trainer.harmony.interval import between
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.heard import ChordClass, heard
from trainer.reading.values import FoundCadence
from trainer.records import dataclass

UNITS: tuple[str, ...] = (
    "major-five-one", "major-two-five-one", "major-four-five-one", "sus-five-one", "tritone-five-one",
    "tritone-two-five-one", "minor-five-one", "minor-two-five-one", "minor-four-five-one",
    "minor-tritone-five-one", "descending-tetrachord", "half", "unfinished-two-five", "applied-five",
    "applied-two-five", "applied-tritone", "extended-dominants", "one-six-two-five", "three-six-two-five",
    "minor-turnaround", "chromatic-turnaround", "rising-diminished", "falling-from-sharp-four",
    "two-five-chain", "minor-blues-last-four",
)  # fmt: skip
"""Types whose dominant says by itself where it leads. A plagal chord could stay; a deceptive end is no goal."""

GOALS: Mapping[Mode, tuple[int, ...]] = MappingProxyType({"major": (0, 5, 7, 8, 10, 4), "minor": (0, 5, 7, 10, 2)})
"""Where a cadence's own key may lie, in half steps above home, so that home is no safe guess. Not where its
two-five would be another one's: the one of bIII is the backdoor of home."""

HOME: Mapping[Mode, str] = MappingProxyType({"major": "Imaj7", "minor": "i6"})

_DIATONIC_MINOR: Mapping[Mode, frozenset[int]] = MappingProxyType(
    {"major": frozenset({2, 4, 9, 11}), "minor": frozenset({0, 2, 5, 7})}
)
"""Degrees whose own chord in a key is minor."""


@dataclass(frozen=True, slots=True)
class Preparation:
    """Some chords in a key, and the chord that they lead to."""

    row: Formula
    goal: str
    """A numeral."""


def preparations(cadence: CadenceType, any_length: bool) -> tuple[Preparation, ...]:
    """Every way to prepare a type's goal by a dominant, the formula's first.

    A diminished chord has four roots and so leads to four goals: rows that end on one are left out.
    """
    found = []
    for variant in (None, *range(len(cadence.variants))):
        for degree in cadence.degrees or (None,):
            row = formula_for(cadence, degree, variant)
            functions = functions_for(cadence, degree, variant)
            if not any_length and len(row) != len(cadence.formula):
                continue
            lands = functions[-1] == "tonic" or bool(cadence.degrees)
            before, goal = (row[:-1], row[-1]) if lands else (row, HOME[cadence.mode])
            does = functions[: len(before)]
            if does[-1] == "dominant" and "°" not in before[-1] and material.in_mode(row, cadence.mode):
                found.append(Preparation(before, goal))
    return tuple(found)


def leans(before: Sequence[ChordSymbol]) -> Mode | None:
    """The mode that the chords before a goal lean to; None where they don't say."""
    last = heard(before[-1])
    if last.lean:
        return "major" if last.lean > 0 else "minor"
    if len(before) < 2:
        return None
    two = heard(before[-2])
    above = (two.root - last.root) % 12
    if two.kind == ChordClass.HALF_DIMINISHED or (above == 10 and two.kind in _MINORS):
        return "minor"
    if above in (7, 1) and two.kind in _MINORS:
        return "major"
    return "major" if above == 10 and two.kind in (ChordClass.MAJOR, ChordClass.MAJOR_TRIAD) else None


_MINORS = (ChordClass.MINOR_SEVENTH, ChordClass.MINOR_TRIAD, ChordClass.MINOR_REST)


def modes_awaited(before: Sequence[ChordSymbol], goal: ChordSymbol, home: Key) -> tuple[Mode, ...]:
    """The modes that may be awaited of a goal, the one it has first; one alone where all that tells it agrees."""
    own = mode_of_chord(goal)
    up = (goal.root.pitch_class - home.tonic.pitch_class) % 12
    in_key: Mode = "minor" if up in _DIATONIC_MINOR[home.mode] else "major"
    told = leans(before) or in_key
    return (own,) if told == own else (own, told)


def mode_of_chord(chord: ChordSymbol) -> Mode:
    """Minor where the third is."""
    return "minor" if chord.quality.third == "minor" else "major"


@dataclass(frozen=True, slots=True)
class Prepared:
    """Chords that lead to a goal, after a home that they are counted from."""

    home: Key
    before: tuple[ChordSymbol, ...]
    goal: ChordSymbol


def some_preparation(cadence: CadenceType, home: Key, any_length: bool, rng: Random) -> Prepared:
    """One way to prepare a type's goal, its own key at home or elsewhere."""
    ways = preparations(cadence, any_length)
    way = ways[0] if rng.random() < 0.5 and not cadence.degrees else rng.choice(ways)
    up = 0 if cadence.degrees else rng.choice(GOALS[cadence.mode])
    key = home if not up else simplest_key(home.tonic.pitch_class + up, home.mode, home.fifths < 0)
    chords, _ = material.spelled((*way.row, way.goal), key)
    return Prepared(home, chords[:-1], chords[-1])


@dataclass(frozen=True, slots=True)
class TunePlace:
    """Where a tune prepares a goal."""

    home: int
    """The span of the chord that is home before it."""
    first: int
    """The preparation's first span."""
    goal: int
    """The span after it."""
    center: Key
    """Home's."""
    ending: ChordSymbol


def places_in(tune: TuneMaterial, unit: str) -> tuple[TunePlace, ...]:
    """Where a tune prepares what a type leads to, within a phrase of a home that sounds before it."""
    return tuple(
        place for one in material.cadences_in(tune, unit) if (place := _place(tune, CADENCE[unit], one)) is not None
    )


def _place(tune: TuneMaterial, cadence: CadenceType, one: FoundCadence) -> TunePlace | None:
    spans, readings = tune.timeline.spans, tune.analysis.chords
    first, last = one.chords[0], one.chords[-1]
    if readings[last].function == "dominant" and not cadence.degrees:
        goal = last + 1
        ending = material.spelled((HOME[one.center.mode],), one.center)[0][0]
    else:
        goal = last
        while goal > first and spans[goal - 1].symbol == spans[last].symbol:
            goal -= 1
        symbol = spans[goal].symbol
        assert symbol is not None
        ending = symbol
    before = readings[goal - 1]
    leads = before.leads_to is not None and before.leads_to.pitch_class == ending.root.pitch_class
    if goal <= first or before.function != "dominant" or not leads:
        return None
    for home in range(first, -1, -1):
        reading, center = readings[home], readings[home].center
        if spans[home].symbol is None or not material.fits_phrase(tune, range(home, goal)):
            return None
        begins = reading.function == "tonic" and not reading.span.continues
        numeral = reading.numeral
        if begins and center is not None and numeral is not None and numeral.degree.semitones == 0:
            return TunePlace(home, first, goal, center, ending)
    return None


def moved(chord: ChordSymbol, center: Key, key: Key) -> ChordSymbol:
    """A chord moved from one key to another, as a player writes it."""
    return chord.transposed(between(center.tonic, key.tonic)).practical()


__all__ = [
    "GOALS", "HOME", "UNITS", "Preparation", "Prepared", "TunePlace", "leans", "mode_of_chord", "modes_awaited",
    "moved", "places_in", "preparations", "some_preparation",
]  # fmt: skip
