# cython: language_level=3, boundscheck=False, wraparound=False, cdivision=True, annotation_typing=False
# cython: initializedcheck=False, cpow=True
"""The table of costs as the search takes it: rows of numbers."""

from array import array

from trainer.reading.costs import Costs
from trainer.reading.heard import ChordClass
from trainer.reading.slots import (
    INFINITE,
    KEYS,
    KINDS,
    LETTERS,
    SLOTS,
    R,
)


class Weights:
    """The table of costs, laid out in rows of numbers."""

    def __init__(self, costs: Costs) -> None:
        for name in SCALARS:
            setattr(self, name, getattr(costs, name))
        self.roles = array("d", [INFINITE]) * (2 * 2 * KINDS * 12 * SLOTS)
        """By minor, blues, kind, degree and slot."""
        for minor, rows in enumerate((costs.major_roles, costs.minor_roles)):
            for blues in (0, 1):
                for source in (rows, costs.blues_roles if blues else {}):
                    for kind, degrees in source.items():
                        for degree, text in degrees.items():
                            start = (((2 * minor + blues) * KINDS + kind) * 12 + degree) * SLOTS
                            for slot in range(SLOTS):
                                self.roles[start + slot] = INFINITE
                            for word in text.split():
                                self.roles[start + LETTERS.index(word[0])] = float(word[1:])
        self.near = array("d", [costs.applied_far]) * 24
        for minor, mode in enumerate(("major", "minor")):
            for degree, cost in costs.applied_near[mode].items():
                self.near[12 * minor + degree] = cost
        self.applied_by = array("d", [costs.applied_by.get(kind, INFINITE) for kind in ChordClass])
        self.passing = array("d", [costs.passing.get(kind, INFINITE) for kind in ChordClass])
        self.steps = array("d", [0.0]) * (SLOTS * SLOTS)
        for a, letter in enumerate(LETTERS[:R]):
            for b, other in enumerate(LETTERS[:R]):
                self.steps[SLOTS * a + b] = costs.steps.get(letter, {}).get(other, 0.0)
        self.leave = array("d", [costs.leave.get(letter, INFINITE) for letter in LETTERS])
        self.enter = array("d", [costs.enter.get(letter, INFINITE) for letter in LETTERS])
        self.distances = array("d", [distance(costs, a, b) for a in range(KEYS) for b in range(KEYS)])


SCALARS = tuple(name for name, value in Costs.__annotations__.items() if value is float)


def distance(costs: Costs, key: int, other: int) -> float:
    """What lies between two keys: fifths between their signatures, or the change of mode."""
    if key >> 1 == other >> 1:
        return costs.parallel if key != other else 0.0
    a = (key >> 1) + (3 if key & 1 else 0)
    b = (other >> 1) + (3 if other & 1 else 0)
    fifths = (b - a) * 7 % 12
    return costs.distance * min(fifths, 12 - fifths)


def is_own_chord(key: int, other: int) -> bool:
    """Whether the tonic chord of another key is a triad of this key's scale."""
    degree = ((other >> 1) - (key >> 1) + 12) % 12
    if key & 1:
        return (
            (degree == 0 or degree == 5 or degree == 7) if other & 1 else (degree == 3 or degree == 8 or degree == 10)
        )
    return (degree == 2 or degree == 4 or degree == 9) if other & 1 else (degree == 5 or degree == 7)
