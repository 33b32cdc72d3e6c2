"""The roles that a chord can have in a key, and what it costs to go from one role to the next."""

from functools import cache
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
    bass: int
    """Semitones of its lowest note above the tonic."""
    kind: K
    lean: int


@cache
def _table(minor: bool, blues: bool) -> dict[tuple[K, int], tuple[tuple[str, float], ...]]:
    rows = costs.MINOR_ROLES if minor else costs.MAJOR_ROLES
    out: dict[tuple[K, int], tuple[tuple[str, float], ...]] = {}
    for source in (rows, costs.BLUES_ROLES if blues else {}):
        for kind, degrees in source.items():
            for degree, text in degrees.items():
                out[kind, degree] = tuple((word[0], float(word[1:])) for word in text.split())
    return out


@cache
def roles_of(
    kind: K, lean: int, six_four: bool, degree: int, bass: int, minor: bool, blues: bool
) -> tuple[tuple[Role, float], ...]:
    """Every role that a chord may have on a degree of a key, with its cost."""
    found: list[tuple[Role, float]] = []

    def add(letter: str, cost: float, target: int = -1, substitute: bool = False) -> None:
        found.append((Role(letter, target, substitute, minor, degree, bass, kind, lean), cost))

    for letter, cost in _table(minor, blues).get((kind, degree), ()):
        substitute = letter == "D" and degree == 1
        goal_minor = minor
        wrong = costs.WRONG_COLOR if letter == "D" and lean and (lean < 0) != goal_minor else 0.0
        add(letter, cost + wrong / 2, substitute=substitute)
    if six_four and degree == 0:
        add("P", costs.SIX_FOUR)
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
    if kind in costs.PASSING_COST and not any(role.letter == "X" for role, _ in found):
        add("X", costs.PASSING_COST[kind])
    if not any(role.letter == "C" for role, _ in found):
        add("C", costs.COLOR_COST)
    return tuple(found)


@cache
def taken_up(role: Role) -> Role:
    """A dominant or a ii as it is taken up again after an interruption."""
    return role._replace(letter={"D": "R", "P": "r"}[role.letter])


MINOR_CHORDS = (K.MINOR_REST, K.MINOR_TRIAD, K.MINOR_SEVENTH, K.HALF_DIMINISHED)
"""Classes with a minor third that may be the goal of a dominant."""


def _suits(goal_degree: int, minor: bool, kind: K) -> bool:
    """Whether the chord on an applied dominant's degree has the third that the key gives it."""
    minor_degrees = (0, 2, 5, 7) if minor else (2, 4, 9)
    return (kind in MINOR_CHORDS) == (goal_degree in minor_degrees)


def _resolves(a: Role, b: Role) -> bool:
    """Whether a dominant goes to the tonic by fifth, by half step or by its leading tone."""
    motion = (b.degree - a.degree) % 12
    return motion in (5, 11) or (a.kind in (K.DIMINISHED, K.HALF_DIMINISHED) and motion in (1, 10, 7, 4))


def step(a: Role, b: Role) -> tuple[float, float]:
    """The cost from one role to the next in one key, and how well a rest is prepared (0 where b is none)."""
    la, lb = TAKEN_UP.get(a.letter, a.letter), TAKEN_UP.get(b.letter, b.letter)
    prepared = 0.0
    if lb == "T":
        prepared = 1.0 if la in "DL" and (la == "L" or _resolves(a, b)) else costs.UNPREPARED
        if b.bass == 7 and b.degree == 0:
            prepared *= costs.SIX_FOUR_RESTS
    if not _may_follow(a, b):
        return costs.NEVER, prepared
    if la == "a":
        return _after_applied_two(a, b, lb), prepared
    if la == "A":
        return _after_applied(a, b, lb), prepared
    motion = (b.degree - a.degree) % 12
    cost = costs.STEPS[la][lb]
    if la == "D" and lb == "T" and not _resolves(a, b):
        cost += costs.WEAK_RESOLUTION
    elif la == "P" and lb == "D" and motion not in (5, 11):
        cost += costs.PREPARED_OTHERWISE
    elif la == "P" and lb == "L":
        cost = costs.BACKDOOR_PAIR if (a.degree, b.degree) == (5, 10) else costs.PREPARES_PLAGAL
    elif la == "T" and lb == "P" and motion == 5 and (a.kind, b.kind) == (K.MINOR_SEVENTH, K.DOMINANT):
        cost += costs.RATHER_TWO_FIVE
    elif la == "D" and lb == "L" and motion == 10 and a.kind == b.kind == K.DOMINANT:
        cost += costs.BLUES_RETREAT
    elif la == "P" and lb == "P" and motion == 5:
        cost += costs.DOWN_THE_FIFTHS
    elif la == "L" and lb not in "TLX":
        cost += costs.PLAGAL_STALLS
    elif la == "T" and lb == "t" and motion == 9:
        cost += costs.SIX_AFTER_ONE
    elif la == "T" and lb == "D" and a.bass == 7:
        cost += costs.SIX_FOUR_MOVES
    elif la == "t" and lb == "t" and motion == 0:
        cost = 0.0
    if motion == 0 and a.kind == b.kind and la != lb and "X" not in (la, lb):
        cost += costs.REINTERPRETED
    if motion == 0 and a.degree == 0 and a.minor and a.kind != b.kind and la in "TC":
        cost += costs.LINE_STAYS if lb == "T" else costs.LINE_MOVES if lb == "C" else 0.0
    if "X" in (la, lb) and not _by_step(a, b, la, lb):
        cost += costs.PASSING_LEAPS
    return cost, prepared


TAKEN_UP = {"R": "D", "r": "P"}
"""What the resumed roles are in their key."""


def _may_follow(a: Role, b: Role) -> bool:
    """What is taken up again goes home: ii to V, V to I; and nothing but an interruption leads into it."""
    if a.letter == "R":
        return b.letter in "TR"
    if a.letter == "r":
        return b.letter in "Rr"
    return b.letter not in "Rr"


def _by_step(a: Role, b: Role, la: str, lb: str) -> bool:
    """Whether a passing chord is entered or left by step in the bass; minor sevenths slide by half step."""
    motion = (b.bass - a.bass) % 12
    passing = a if la == "X" else b
    if passing.kind == K.MINOR_SEVENTH:
        return motion in (1, 11)
    return motion in (1, 2, 10, 11)


def _after_applied_two(a: Role, b: Role, lb: str) -> float:
    """From the ii of an applied dominant."""
    if lb == "A" and b.target == a.target:
        return costs.APPLIED_PAIR
    if lb == "a" and b.target == a.target:
        return costs.APPLIED_STAYS
    return costs.APPLIED_PAIR_MISSES


def _after_applied(a: Role, b: Role, lb: str) -> float:
    """From an applied dominant."""
    if lb == "A" and b.target == a.target:
        return costs.APPLIED_STAYS
    dominant = b.kind in (K.DOMINANT, K.SUSPENDED, K.AUGMENTED)
    stands_for_goal = a.substitute and b.substitute and dominant and (b.degree - a.target) % 12 == 6
    if a.target == 7 and lb == "P" and a.degree == b.degree == 2:
        return costs.TWO_IN_BETWEEN
    if (b.degree != a.target and not stands_for_goal) or lb == "X":
        return costs.APPLIED_MISSES
    cost = costs.APPLIED_REACHES if a.kind != K.DIMINISHED else costs.DIMINISHED_REACHES
    if dominant:
        return cost
    if not _suits(b.degree, b.minor, b.kind):
        return cost + costs.OTHER_THIRD
    if lb == "t":
        cost += costs.GOAL_IN_ITS_PLACE
    if a.lean and (a.lean < 0) != (b.kind in MINOR_CHORDS):
        cost += costs.WRONG_COLOR / 2
    return cost
