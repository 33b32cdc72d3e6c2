"""Passages whose key centers are each confirmed by a cadence, and whether a reading finds just these centers."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from random import Random

from trainer.drills.material import spelled
from trainer.drills.rungs import Rung, lengths
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass

PLAINEST: dict[Mode, tuple[tuple[str, ...], ...]] = {
    "major": (("ii7", "V7", "Imaj7"), ("ii7", "V7", "I6"), ("ii7", "V7", "Imaj7", "IVmaj7", "Imaj7")),
    "minor": (("iiø7", "V7b9", "i6"), ("iiø7", "V7", "i"), ("iiø7", "V7b9", "i6", "iv7", "i6")),
}
"""What confirms a center on the first rungs: its two, five and one, which may be dwelt on."""
CONFIRMING: dict[Mode, tuple[tuple[str, ...], ...]] = {
    "major": (
        *PLAINEST["major"], ("ii7", "V7b9", "Imaj7"), ("IVmaj7", "V7", "Imaj7"), ("ii7", "V7sus4", "V7", "Imaj7"),
        ("ii7", "V7", "Imaj7", "vi7"),
    ),
    "minor": (
        *PLAINEST["minor"], ("iiø7", "V7b9", "i7"), ("iv7", "V7b9", "i6"),
    ),
}  # fmt: skip
"""What confirms a center elsewhere (common practice, no source)."""
BEGINNING: dict[Mode, tuple[tuple[str, ...], ...]] = {
    "major": (
        ("Imaj7", "ii7", "V7", "Imaj7"), ("Imaj7", "vi7", "ii7", "V7", "Imaj7"), ("I6", "IVmaj7", "V7", "Imaj7"),
    ),
    "minor": (("i6", "iiø7", "V7b9", "i6"), ("i7", "iv7", "V7b9", "i6"), ("i6", "bVImaj7", "V7b9", "i6")),
}  # fmt: skip
"""How a first center may begin at home where its key isn't given."""
SECOND_MOVES: dict[Mode, tuple[tuple[int, Mode], ...]] = {
    "major": ((5, "major"), (-5, "major"), (-3, "minor"), (2, "minor"), (-2, "major"), (-4, "major"), (3, "major")),
    "minor": ((3, "major"), (5, "minor"), (-4, "major"), (-2, "major"), (-5, "minor")),
}
"""Near moves that may stand in a phrase beside what is asked, by the mode that is left."""
MOST_BEATS = 32
"""Eight bars."""


@dataclass(frozen=True, slots=True)
class Confirmed:
    """Chords, and the center that each is in."""

    chords: tuple[ChordSymbol, ...]
    centers: tuple[Key, ...]
    beats: tuple[Fraction, ...]


def moved(key: Key, semitones: int, mode: Mode) -> Key:
    """The key so many half steps from another, with flats where that has flats; itself where it is none away."""
    if semitones % 12 == 0 and mode == key.mode:
        return key
    return simplest_key(key.tonic.pitch_class + semitones, mode, key.fifths < 0)


def centers_in_turn(chord_centers: Sequence[Key]) -> tuple[Key, ...]:
    """Each center once a stay."""
    out: list[Key] = []
    for center in chord_centers:
        if not out or out[-1] != center:
            out.append(center)
    return tuple(out)


def stays(chord_centers: Sequence[Key]) -> tuple[range, ...]:
    """The chords of each stay in one center."""
    starts = [n for n, center in enumerate(chord_centers) if n == 0 or chord_centers[n - 1] != center]
    return tuple(range(start, end) for start, end in pairwise([*starts, len(chord_centers)]))


def confirmed(keys: Sequence[Key], step: Rung, rng: Random) -> Confirmed | None:
    """Centers one after the other, each by a cadence of its own; None where the draw doesn't fit together."""
    plain = step.choices is not None
    rows: list[tuple[str, ...]] = []
    for place, key in enumerate(keys):
        table = (PLAINEST if plain else CONFIRMING)[key.mode]
        if place == 0 and not step.confirmed:
            table = BEGINNING[key.mode]
        rows.append(rng.choice(table))
    return in_turn(list(zip(rows, keys, strict=True)), step, rng)


def in_turn(parts: Sequence[tuple[Sequence[str], Key]], step: Rung, rng: Random) -> Confirmed | None:
    """Rows of numerals, each in its key, one after the other; None where they don't fit together or are too long."""
    chords: list[ChordSymbol] = []
    centers: list[Key] = []
    beats: list[Fraction] = []
    for row, key in parts:
        chords += spelled(row, key)[0]
        centers += [key] * len(row)
        beats += lengths(len(row), step, rng)
    if sum(beats) > MOST_BEATS and step.choices is None:
        beats = []
        for row, _ in parts:
            last = Fraction(2) if len(row) % 2 == 0 else Fraction(4)
            beats += [Fraction(2)] * (len(row) - 1) + [last]
    together = any(one == other for one, other in pairwise(chords))
    if together or sum(beats) > MOST_BEATS:
        return None
    return Confirmed(tuple(chords), tuple(centers), tuple(beats))
