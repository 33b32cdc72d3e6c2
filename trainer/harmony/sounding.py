"""Names what sounds: pitch classes over a bass to the chords they may be, the likeliest first.

Every quality of the table is tried on every root and charged for what is missing, what is foreign to it,
a bass that isn't its root, and for being a rare name. The charges are common practice put in numbers, no
source: a fifth goes unmissed, a third or a seventh hardly, a root only where somebody else plays it.
"""

import math
from functools import lru_cache

from trainer.harmony.quality import QUALITIES, Quality, semitones_of
from trainer.harmony.xml_kinds import Tone
from trainer.records import dataclass

MISSING_ROOT = 0.9
MISSING_THIRD = 1.5
MISSING_FIFTH = 0.25
MISSING_CHANGED_FIFTH = 1.2
MISSING_SEVENTH = 1.5
MISSING_TOP = 1.2
"""The tension that gives a chord its name."""
MISSING_CHANGED_TENSION = 0.8
MISSING_TENSION = 0.15
FOREIGN = 2.5
"""Each tone that the chord doesn't have."""
FOREIGN_BASS = 1.2
INVERTED = 0.7
TENSION_IN_BASS = 1.3
SIXTH_INVERTED = 0.2
"""A seventh chord over its seventh is the better name."""
LIGHTLY_INVERTED = 0.15
TENSION_BELOW = 0.5
SIXTH_INSTEAD = 0.15
"""What a lowest voice that is no bass makes of an inversion, and of a sixth in place of a seventh below it."""
A_LETTER = 0.05
"""Each character of the name behind the root."""
RARE = {
    "no": 0.6, "sus2": 0.4, "add": 0.15, "#5": 0.1, "b13": 0.1,
    "m#5": 0.7, "mb6": 0.5, "m7#5": 0.4, "m7b13": 0.3, "m7#11": 0.3, "6sus4": 0.6, "6/9sus4": 0.8, "m6add11": 0.5,
    "maj7b5": 0.3, "maj9b5": 0.3,
}  # fmt: skip
"""What makes a name rarer than its length says, by what stands in it."""
THIRD_GIVEN_WAY = 0.4
"""An 11th chord that sounds without its third, which a suspended fourth says in plainer words."""
TEMPER = 0.45
"""A charge by which a name becomes e times less likely."""
MOST_NAMES = 6


@dataclass(frozen=True, slots=True)
class SoundingChord:
    """One way to name what sounds."""

    root: int
    """Pitch class."""
    quality: Quality
    bass: int
    """Pitch class."""
    share: float
    """Of all that it may be, as far as names of another root or family go; with theirs it sums to at most 1."""
    cost: float


@dataclass(frozen=True, slots=True)
class _Row:
    quality: Quality
    tones: int
    """One bit for each half step above the root."""
    missing: tuple[tuple[int, float], ...]
    """A bit, and what it costs where it doesn't sound."""
    rarity: float


def _bit(tone: Tone) -> int:
    return 1 << semitones_of(tone) % 12


def _missing(quality: Quality, tone: Tone) -> float:
    """What it costs when a tone of a quality doesn't sound."""
    degree, step = tone
    if degree == 1:
        return MISSING_ROOT
    if degree in (2, 3, 4):
        return MISSING_THIRD
    if degree == 5:
        return MISSING_CHANGED_FIFTH if step else MISSING_FIFTH
    if degree in (6, 7):
        return MISSING_SEVENTH
    if tone == quality.tones[-1]:
        return MISSING_TOP
    return MISSING_CHANGED_TENSION if step else MISSING_TENSION


def _row(quality: Quality) -> _Row:
    missing = [(_bit(tone), _missing(quality, tone)) for tone in quality.played_tones]
    if (3, 0) in quality.tones and (3, 0) not in quality.played_tones:
        missing.append((_bit((3, 0)), THIRD_GIVEN_WAY))
    rarity = A_LETTER * len(quality.spelling) + sum(cost for word, cost in RARE.items() if word in quality.spelling)
    return _Row(quality, sum({_bit(tone) for tone in quality.tones}), tuple(missing), rarity)


@lru_cache(maxsize=1)
def _rows() -> tuple[_Row, ...]:
    return tuple(map(_row, QUALITIES))


def _cost(row: _Row, sounding: int, bass: int, firm: bool) -> float:
    """What a quality is charged for tones given as bits above its root, and a bass in half steps above it."""
    foreign = sounding & ~row.tones
    cost = row.rarity + sum(charge for bit, charge in row.missing if not sounding & bit)
    low = 1 << bass
    if foreign & low:
        foreign &= ~low
        cost += FOREIGN_BASS
    elif bass:
        core = any(number in (3, 5, 7) and _bit((number, step)) == low for number, step in row.quality.tones)
        if firm:
            cost += INVERTED if core else TENSION_IN_BASS
            cost += SIXTH_INVERTED if row.quality.sixth else 0.0
        else:
            cost += LIGHTLY_INVERTED if core else TENSION_BELOW
    if not firm and row.quality.sixth:
        cost += SIXTH_INSTEAD
    return cost + FOREIGN * foreign.bit_count()


@lru_cache(maxsize=4096)
def chords_sounding(pitch_classes: frozenset[int], bass: int, firm: bool = True) -> tuple[SoundingChord, ...]:
    """Name what sounds over a bass, the likeliest name first; nothing where nothing sounds.

    A bass that isn't firm is only the lowest voice of some others, and says little about the root.
    Of the names with one root and one family (third, fifth, seventh or sixth) only the best is kept.
    """
    if not pitch_classes:
        return ()
    families: dict[tuple[object, ...], tuple[float, int, Quality]] = {}
    for root in range(12):
        sounding = sum(1 << (pitch_class - root) % 12 for pitch_class in pitch_classes | {bass})
        for row in _rows():
            cost = _cost(row, sounding, (bass - root) % 12, firm)
            quality = row.quality
            fifth = quality.fifth if quality.fifth == "diminished" and quality.third == "minor" else None
            family = (root, quality.third, fifth, quality.seventh or quality.sixth)
            if family not in families or cost < families[family][0]:
                families[family] = cost, root, quality
    likely = sorted(families.values(), key=lambda found: (found[0], found[1], len(found[2].spelling)))
    weights = [math.exp(-cost / TEMPER) for cost, _, _ in likely]
    total = sum(weights)
    return tuple(
        SoundingChord(root, quality, bass, weight / total, cost)
        for (cost, root, quality), weight in zip(likely[:MOST_NAMES], weights, strict=False)
    )
