"""The roles that a chord can have in a key, and what it costs to go from one role to the next."""

from functools import lru_cache
from typing import NamedTuple

from trainer.reading import costs
from trainer.reading.heard import ChordClass as K

Mode = str


class Role(NamedTuple):
    """A chord in a key: what it is there, and which degree it points to if it is applied."""

    letter: str
    """One of costs.ROLES; R and r are a dominant and a ii taken up again after an interruption."""
    target: int
    """Semitones above the tonic that an applied chord points to; -1 for the rest."""
    substitute: bool
    """The dominant is the tritone substitute of the fifth above its goal."""
    minor: bool
    degree: int
    """Semitones of the chord's root above the tonic."""
    kind: K
    lean: int


@lru_cache(maxsize=None)
def _table(minor: bool, blues: bool) -> dict[tuple[K, int], tuple[tuple[str, float], ...]]:
    rows = costs.MINOR_ROLES if minor else costs.MAJOR_ROLES
    out: dict[tuple[K, int], tuple[tuple[str, float], ...]] = {}
    for source in (rows, costs.BLUES_ROLES if blues else {}):
        for kind, degrees in source.items():
            for degree, text in degrees.items():
                out[kind, degree] = tuple((word[0], float(word[1:])) for word in text.split())
    return out


@lru_cache(maxsize=None)
def roles_of(
    kind: K, lean: int, six_four: bool, degree: int, minor: bool, blues: bool
) -> tuple[tuple[Role, float], ...]:
    """Every role that a chord may have on a degree of a key, with its cost."""
    found: list[tuple[Role, float]] = []

    def add(letter: str, cost: float, target: int = -1, substitute: bool = False) -> None:
        found.append((Role(letter, target, substitute, minor, degree, kind, lean), cost))

    for letter, cost in _table(minor, blues).get((kind, degree), ()):
        substitute = letter == "D" and degree == 1
        goal_minor = minor
        wrong = costs.WRONG_COLOR if letter == "D" and lean and (lean < 0) != goal_minor else 0.0
        add(letter, cost + wrong / 2, substitute=substitute)
    if six_four and degree == 0:
        add("P", 0.5)
    near = costs.APPLIED_NEAR["minor" if minor else "major"]
    if kind in costs.APPLIED_BY:
        base = costs.APPLIED_BY[kind]
        if kind == K.DIMINISHED:
            goals = [((degree + 1) % 12, False)]
        elif kind == K.DOMINANT:
            goals = [((degree + 5) % 12, False), ((degree + 11) % 12, True)]
        else:
            goals = [((degree + 5) % 12, False)]
        for target, substitute in goals:
            if target:
                cost = base + near.get(target, costs.APPLIED_FAR) + (costs.SUBSTITUTE if substitute else 0)
                add("A", cost, target, substitute)
    if kind in (K.MINOR_SEVENTH, K.HALF_DIMINISHED, K.MINOR_TRIAD):
        target = (degree + 10) % 12
        if target:
            add("a", costs.APPLIED_TWO + near.get(target, costs.APPLIED_FAR), target)
    if kind in costs.PASSING_COST:
        add("X", costs.PASSING_COST[kind])
    if not any(role.letter == "C" for role, _ in found):
        add("C", costs.COLOR_COST)
    return tuple(found)


def _suits(goal_degree: int, minor: bool, kind: K) -> bool:
    """Whether the chord on an applied dominant's degree has the third that the key gives it."""
    minor_degrees = (0, 2, 5, 7) if minor else (2, 4, 9)
    is_minor = kind in (K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH, K.HALF_DIMINISHED)
    return is_minor == (goal_degree in minor_degrees)


def _resolves(a: Role, b: Role) -> bool:
    """Whether a dominant goes to the tonic by fifth, by half step or by its leading tone."""
    motion = (b.degree - a.degree) % 12
    return motion in (5, 11) or (a.kind in (K.DIMINISHED, K.HALF_DIMINISHED) and motion in (1, 10, 7, 4))


@lru_cache(maxsize=None)
def step(a: Role, b: Role) -> tuple[float, float]:
    """The cost from one role to the next in one key, and how well a rest is prepared (0 where b is none)."""
    resumed = {"R": "D", "r": "P"}
    la, lb = resumed.get(a.letter, a.letter), resumed.get(b.letter, b.letter)
    prepared = 0.0
    if lb == "T":
        prepared = 1.0 if la in "DL" and (la == "L" or _resolves(a, b)) else costs.UNPREPARED
    motion = (b.degree - a.degree) % 12
    if a.letter == "R" and lb not in "T" and b.letter != "R":
        return float("inf"), prepared
    if a.letter == "r" and b.letter not in "Rr":
        return float("inf"), prepared
    if b.letter in "Rr" and a.letter not in "Rr":
        return float("inf"), prepared
    cost = _applied_step(a, b, lb) if la in "Aa" else costs.STEPS[la][lb]
    if la == "D" and lb == "T" and not _resolves(a, b):
        cost += costs.WEAK_RESOLUTION
    if la == "P" and lb == "D" and motion not in (5, 11):
        cost += 0.2
    if la == "P" and lb == "L":
        cost = costs.BACKDOOR_PAIR if (a.degree, b.degree) == (5, 10) else 0.3
    if la == "P" and lb == "P" and motion == 5:
        cost -= 0.15
    if la == "L" and lb not in "TL":
        cost += costs.PLAGAL_STALLS
    if la == "X" or lb == "X":
        if motion not in (1, 2, 10, 11) or (la == "X" and lb == "T" and motion in (2, 10)):
            cost += costs.PASSING_LEAPS
    return cost, prepared


def _applied_step(a: Role, b: Role, lb: str) -> float:
    """From an applied dominant, or from its ii."""
    if a.letter == "a":
        if lb == "A" and b.target == a.target:
            return costs.APPLIED_PAIR
        if lb == "a" and b.target == a.target:
            return 0.1
        return costs.APPLIED_PAIR_MISSES
    if lb == "A" and b.target == a.target:
        return 0.1
    if b.degree != a.target or lb == "X":
        return costs.APPLIED_MISSES
    cost = costs.APPLIED_REACHES
    if b.kind in (K.DOMINANT, K.SUSPENDED) or _suits(b.degree, b.minor, b.kind):
        is_minor = b.kind in (K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH, K.HALF_DIMINISHED)
        if a.lean and b.kind not in (K.DOMINANT, K.SUSPENDED) and (a.lean < 0) != is_minor:
            cost += costs.WRONG_COLOR / 2
        return cost
    return cost + costs.WRONG_COLOR
