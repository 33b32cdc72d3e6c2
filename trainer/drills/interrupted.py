"""Interrupted cadences and what looks like them: an open preparation, another key, and what comes of it.

Three look-alikes, each as long as what it stands beside and begun by the same chord: a plain cadence in one
key; a preparation that never comes back because the other key stays; each key cadencing in turn. In the first
there is no other key, in the last two there is one and it doesn't interrupt (the trade's use of the word is
ours: see the cadence table).
"""

from collections.abc import Sequence
from random import Random

from trainer.drills.distances import distance_text, short_way
from trainer.drills.material import spelled
from trainer.drills.question import Broken
from trainer.harmony.cadence import CadenceType, InterruptedShape, foreign_key, interruption_of
from trainer.harmony.key import Key
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass

_FIVE_ONE = ("V7", "Imaj7")
_TWO_FIVE_ONE = ("ii7", "V7", "Imaj7")

PLAIN: dict[tuple[str, int], tuple[tuple[str, ...], ...]] = {
    (row[0][0], len(row[0])): row
    for row in (
        (
            ("ii7", "V7", "ii7", "V7", "Imaj7"),
            ("ii7", "vi7", "ii7", "V7", "Imaj7"),
            ("ii7", "V7", "vi7", "V7", "Imaj7"),
        ),
        (
            ("ii7", "V7", "iii7", "vi7", "V7", "Imaj7"),
            ("ii7", "V7", "vi7", "ii7", "V7", "Imaj7"),
            ("ii7", "V7", "Imaj7", "ii7", "V7", "Imaj7"),
        ),
        (
            ("ii7", "V7", "iii7", "VI7", "ii7", "V7", "Imaj7"),
            ("ii7", "V7", "Imaj7", "vi7", "ii7", "V7", "Imaj7"),
        ),
        (
            ("ii7", "V7", "Imaj7", "iii7", "VI7", "ii7", "V7", "Imaj7"),
            ("ii7", "V7", "ii7", "V7", "iii7", "VI7", "V7", "Imaj7"),
        ),
        (
            ("V7", "Imaj7", "ii7", "V7", "Imaj7"),
            ("V7", "vi7", "ii7", "V7", "Imaj7"),
        ),
        (
            ("V7", "iii7", "VI7", "ii7", "V7", "Imaj7"),
            ("V7", "Imaj7", "vi7", "ii7", "V7", "Imaj7"),
        ),
        (
            ("V7", "Imaj7", "iii7", "VI7", "ii7", "V7", "Imaj7"),
            ("V7", "Imaj7", "IVmaj7", "vi7", "ii7", "V7", "Imaj7"),
        ),
    )
}
"""Cadences of one key, by their first chord and by how many chords they have."""

IN_TURN: dict[tuple[str, int], tuple[tuple[tuple[str, ...], bool], ...]] = {
    ("ii7", 5): ((_TWO_FIVE_ONE, False), (_FIVE_ONE, True)),
    ("ii7", 6): ((_TWO_FIVE_ONE, False), (_TWO_FIVE_ONE, True)),
    ("ii7", 7): ((_TWO_FIVE_ONE, False), (_FIVE_ONE, True), (_FIVE_ONE, False)),
    ("ii7", 8): ((_TWO_FIVE_ONE, False), (_FIVE_ONE, True), (_TWO_FIVE_ONE, False)),
    ("V7", 5): ((_FIVE_ONE, False), (_TWO_FIVE_ONE, True)),
    ("V7", 6): ((_FIVE_ONE, False), (_FIVE_ONE, True), (_FIVE_ONE, False)),
    ("V7", 7): ((_FIVE_ONE, False), (_TWO_FIVE_ONE, True), (_FIVE_ONE, False)),
}
"""Whole cadences one after the other, and whether each is in the other key."""


PLACE = "<first>"
"""Where a story names the interruption's first chord, until it is known what sounds before the passage."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Chords, and what they do."""

    chords: tuple[ChordSymbol, ...]
    centers: tuple[Key, ...]
    broken: Broken
    shape: InterruptedShape
    """What it is, or what it looks like."""


def _in_keys(parts: Sequence[tuple[Sequence[str], Key]]) -> tuple[tuple[ChordSymbol, ...], tuple[Key, ...]]:
    chords: list[ChordSymbol] = []
    centers: list[Key] = []
    for row, key in parts:
        chords += spelled(row, key)[0]
        centers += [key] * len(row)
    return tuple(chords), tuple(centers)


def _names(chords: Sequence[ChordSymbol]) -> str:
    return " ".join(chord.text for chord in chords)


def interrupted(shape: InterruptedShape, awaited: Key, distance: int) -> Passage:
    """A cadence that another key's cadence breaks into."""
    foreign = foreign_key(awaited, distance)
    chords, centers = _in_keys([(shape.before, awaited), (shape.foreign, foreign), (shape.resumed, awaited)])
    inside = shape.foreign_indices
    before, within, after = chords[: inside.start], chords[inside.start : inside.stop], chords[inside.stop :]
    story = (
        f"{_names(before)} points at {awaited.name}. On chord {PLACE}, {foreign.name} breaks in"
        f" with {_names(within)}, {distance_text(distance)} from there, and {_names(after)} takes"
        f" {awaited.tonic} up again and brings it home."
    )
    return Passage(chords, centers, Broken(awaited, foreign, True, tuple(inside), story), shape)


def look_alike(shape: InterruptedShape, awaited: Key, distance: int, rng: Random) -> Passage:
    """Something as long in which nothing is interrupted."""
    like = (shape.formula[0], len(shape.formula))
    foreign = foreign_key(awaited, distance)
    which = rng.randrange(3)
    if which == 0:
        chords, centers = _in_keys([(rng.choice(PLAIN[like]), awaited)])
        story = f"Nothing breaks in: {_names(chords)} is in {awaited.name}, with every preparation in it."
        return Passage(chords, centers, Broken(awaited, None, False, (), story), shape)
    if which == 1:
        parts = [(shape.before, awaited), (shape.foreign, foreign), (shape.resumed, foreign)]
        chords, centers = _in_keys(parts)
        first = _names(chords[: len(shape.before)])
        story = (
            f"Nothing is interrupted: {first} points at {awaited.name} and is never taken up again;"
            f" {foreign.name} comes and stays, {distance_text(distance)} from there. That is a change of key."
        )
    else:
        chords, centers = _in_keys([(row, foreign if other else awaited) for row, other in IN_TURN[like]])
        story = (
            f"Nothing is interrupted: each key cadences in turn. {awaited.name} has come to rest before"
            f" {foreign.name} begins, so no preparation was left open."
        )
    turned = tuple(index for index, center in enumerate(centers) if center == foreign)
    return Passage(chords, centers, Broken(awaited, foreign, False, turned, story), shape)


def distances_of(shape: InterruptedShape) -> tuple[int, ...]:
    """The distances at which nothing of the foreign cadence could have been meant by what was prepared.

    A lone ii is iii or iv of the keys a whole step and a minor third below, and leads into their cadence; a
    V falls a fifth into the ii of the key a whole step below (common practice, no source).
    """
    if shape.before[-1].startswith("ii"):
        meant = {9, 10}
    else:
        meant = {10} if shape.foreign[0].startswith("ii") else set()
    return tuple(distance for distance in shape.distances if distance not in meant)


def some_passage(cadence: CadenceType, awaited: Key, breaks_in: bool, easy: bool, rng: Random) -> Passage:
    """An interrupted cadence of one type, or what looks like it; easy is the type's first shape only."""
    variant = None
    if not easy and cadence.variants and rng.random() < 0.5:
        variant = rng.randrange(len(cadence.variants))
    shape = interruption_of(cadence, variant)
    distance = rng.choice(distances_of(shape))
    if breaks_in:
        return interrupted(shape, awaited, distance)
    return look_alike(shape, awaited, distance, rng)


def distance_between(awaited: Key, foreign: Key) -> int:
    """Half steps from the awaited tonic to the foreign one, the short way round."""
    return short_way(foreign.tonic.pitch_class - awaited.tonic.pitch_class)
