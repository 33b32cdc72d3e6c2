"""The one table of costs by which readings are weighed; the lowest sum is the reading.

A cost is in no unit but its own: 1 is about what it costs a player to think of a new key center
for a cadence that has its own ii. Each group says what it stands for. Costs were set by hand on
textbook progressions and moved by a search over three quarters of the experts' sets (tests/golden/sets)
and of music21's corpora, with textbook and golden readings as bounds; the last quarter took no part in the search.
Degrees are semitones above the tonic.

Roles: how a chord can stand in a key.
    T   tonic at rest                  t   in the tonic's place (vi, iii, bIII)
    P   before a dominant              D   dominant (its substitute, its leading-tone chord)
    L   plagal: leads to I without a dominant
    A   applied dominant of a degree   a   the ii of an applied dominant
    X   passing between two chords     C   color: stands beside and goes back
"""

from dataclasses import field

from trainer.reading.heard import ChordClass as K
from trainer.records import dataclass

MAJOR_ROLES: dict[K, dict[int, str]] = {
    K.MAJOR: {0: "T0", 5: "P0.2 L0.3 C0.5", 7: "C1.8", 8: "P1.0 L1.0", 10: "L1.0", 3: "P1.2 C1.3", 1: "D1.2"},
    K.MAJOR_TRIAD: {
        0: "T0.1", 5: "P0.2 L0.3 C0.5", 7: "D0.3", 8: "P0.8 L0.6", 10: "L0.4 P0.9", 3: "P0.9 L1.0 C1.0", 1: "D1.2",
    },
    K.MINOR_REST: {0: "C1.6", 5: "P0.5 L0.5", 2: "P0.7", 9: "t0.8"},
    K.MINOR_TRIAD: {0: "C1.6", 2: "P0", 4: "t0.3 P0.4", 5: "P0.6 L0.5", 9: "t0.2 P0.3", 7: "P1.0 L1.0"},
    K.MINOR_SEVENTH: {0: "C1.6", 2: "P0", 4: "t0.3 P0.3", 5: "P0.6 L0.7", 9: "t0.2 P0.2", 7: "P1.4", 8: "P1.3"},
    K.HALF_DIMINISHED: {2: "P0.5", 11: "D1.0", 6: "P0.7"},
    K.DOMINANT: {7: "D0", 1: "D0.5", 10: "L0.6", 5: "C1.4 P1.4", 0: "T2.6"},
    K.SUSPENDED: {7: "D0.1", 1: "D0.8", 10: "L0.8", 0: "C1.0", 2: "P0.8"},
    K.DIMINISHED: {11: "D0.3", 2: "D0.8", 5: "D0.8", 8: "D0.8", 0: "C0.5"},
    K.AUGMENTED: {7: "D0.2", 0: "C0.6"},
    K.OPEN: {0: "T0.3", 5: "P0.5 L0.4", 7: "D0.5", 9: "t0.8", 2: "P0.8", 10: "L0.5", 3: "P0.9 L1.0", 8: "P0.8 L0.8"},
}  # fmt: skip
MINOR_ROLES: dict[K, dict[int, str]] = {
    K.MAJOR: {3: "t0.5", 8: "P0.4 t0.8 L1.0", 10: "L0.8 P0.9", 1: "P0.8 D1.2", 5: "P0.9", 0: "T2.2"},
    K.MAJOR_TRIAD: {
        3: "t0.5", 8: "P0.3 t0.5 L0.6", 10: "L0.4 P0.5 X0.3", 1: "P0.8 D1.2", 5: "P0.5 L0.6", 0: "T2.2", 7: "D0.2",
    },
    K.MINOR_REST: {0: "T0 C1.0", 5: "P0.3 L0.4"},
    K.MINOR_TRIAD: {0: "T0", 5: "P0.2 L0.4", 7: "P0.7 L0.9", 2: "P0.8"},
    K.MINOR_SEVENTH: {0: "T0.5 C1.0", 5: "P0.2 L0.5", 7: "P0.9", 2: "P0.9 C1.0", 10: "P1.2", 8: "P1.4"},
    K.HALF_DIMINISHED: {2: "P0", 9: "P0.6 t0.8", 6: "P0.8", 11: "D1.2"},
    K.DOMINANT: {7: "D0", 1: "D0.4", 10: "L0.9", 5: "P0.8 L0.6", 0: "T3.0"},
    K.SUSPENDED: {7: "D0.2", 10: "P1.0", 0: "C1.0"},
    K.DIMINISHED: {11: "D0.1", 2: "D0.5", 5: "D0.8", 8: "D0.8", 0: "C0.6"},
    K.AUGMENTED: {7: "D0.1", 0: "C0.8"},
    K.OPEN: {0: "T0.2", 5: "P0.5 L0.4", 7: "D0.5", 8: "P0.6", 3: "t0.5", 10: "L0.4 P0.6"},
}  # fmt: skip
BLUES_ROLES: dict[K, dict[int, str]] = {
    K.DOMINANT: {0: "T0", 5: "P0.2 L0.2"},
}
"""What changes when the home is a blues: its I7 and IV7 are chords of the key."""
PASSING_COST: dict[K, float] = {K.DIMINISHED: 0.2, K.MINOR_SEVENTH: 0.6, K.DOMINANT: 1.5, K.MAJOR: 1.6}
"""A chord that only connects: cheap for a diminished one, dearer for the rest; others can't."""
APPLIED_NEAR: dict[str, dict[int, float]] = {
    "major": {2: 0.5, 4: 0.7, 5: 0.6, 7: 0.4, 9: 0.5},
    "minor": {3: 0.5, 5: 0.5, 7: 0.4, 8: 0.6, 10: 0.6},
}
"""An applied dominant of a degree of the scale: the key stays in the ear."""
APPLIED_BY: dict[K, float] = {
    K.DOMINANT: 0.0,
    K.SUSPENDED: 0.3,
    K.MAJOR_TRIAD: 0.5,
    K.AUGMENTED: 0.2,
    K.DIMINISHED: 0.4,
}
"""Which chords can be an applied dominant, and what the weaker ones cost."""
STEPS: dict[str, dict[str, float]] = {
    "T": {"T": 0.0, "t": 0.1, "P": 0.0, "D": 0.0, "L": 0.1, "A": 0.2, "a": 0.35, "X": 0.1, "C": 0.0},
    "t": {"T": 0.4, "t": 0.2, "P": 0.0, "D": 0.1, "L": 0.1, "A": 0.3, "a": 0.2, "X": 0.2, "C": 0.5},
    "P": {"T": 0.65, "t": 1.0, "P": 0.25, "D": -0.7, "L": 0.1, "A": 0.7, "a": 0.7, "X": 0.2, "C": 0.8},
    "D": {"T": -1.6, "t": 0.2, "P": 1.3, "D": 0.0, "L": 0.7, "A": 1.0, "a": 0.6, "X": 0.4, "C": 0.9},
    "L": {"T": -0.6, "t": 0.8, "P": 0.5, "D": 0.5, "L": -0.1, "A": 1.2, "a": 1.2, "X": 0.0, "C": 1.2},
    "X": {"T": 0.1, "t": -0.1, "P": 0.1, "D": 0.1, "L": 0.4, "A": 0.3, "a": 0.3, "X": 0.1, "C": 0.6},
    "C": {"T": -0.1, "t": 0.4, "P": 0.3, "D": 0.4, "L": 0.5, "A": 0.5, "a": 0.5, "X": 0.4, "C": 0.1},
}
"""From role to role; applied chords have rules of their own."""
LEAVE: dict[str, float] = {"T": 0.0, "t": 0.2, "P": 1.4, "D": 1.1, "L": 1.2, "A": 1.2, "a": 1.5, "X": 0.6, "C": 0.4}
ENTER: dict[str, float] = {"T": 1.0, "t": 2.0, "P": 0.1, "D": 0.5, "L": 0.9, "A": 1.3, "a": 0.7, "X": 3.0, "C": 3.0}


@dataclass(frozen=True, slots=True, eq=False)
class Costs:
    """What a reading costs and saves; the tables first, then one number for each consideration."""

    major_roles: dict[K, dict[int, str]] = field(default_factory=lambda: MAJOR_ROLES)
    minor_roles: dict[K, dict[int, str]] = field(default_factory=lambda: MINOR_ROLES)
    blues_roles: dict[K, dict[int, str]] = field(default_factory=lambda: BLUES_ROLES)
    passing: dict[K, float] = field(default_factory=lambda: PASSING_COST)
    applied_near: dict[str, dict[int, float]] = field(default_factory=lambda: APPLIED_NEAR)
    applied_by: dict[K, float] = field(default_factory=lambda: APPLIED_BY)
    steps: dict[str, dict[str, float]] = field(default_factory=lambda: STEPS)
    leave: dict[str, float] = field(default_factory=lambda: LEAVE)
    enter: dict[str, float] = field(default_factory=lambda: ENTER)

    # --- what a chord costs in a role: class -> degree -> role and cost ---------------------------

    passing_stays: float = 2.0
    """A passing chord that stays longer than a bar, for each bar more."""
    six_four: float = 0.3
    """A tonic triad over its fifth taken for the dominant's suspension."""
    six_four_rests: float = 0.3
    """What is left of a rest when it stands over its fifth."""
    picardy: float = -1.4
    """The last chord of a tune in minor may be major."""
    color_cost: float = 3.0
    """Any chord may stand beside the key, at a price."""
    # --- applied chords ---------------------------------------------------------------------------

    applied_far: float = 2.1
    """An applied dominant of a degree outside the scale."""
    applied_two: float = 0.1
    """Its ii on top."""
    applied_two_triad: float = 0.3
    """It is a triad: without its seventh it says less."""
    substitute: float = 0.5
    """The tritone substitute in place of the dominant."""
    # --- rests ------------------------------------------------------------------------------------

    rest_bar: float = 0.45
    """A chord at rest is worth this for each bar that it lasts, up to rest_bars."""
    rest_bars: float = 2.0
    rest_strong: float = 0.15
    """It falls on bar 1, 3, 5, 7 of its section."""
    rest_phrase: float = 0.15
    """It falls on bar 1 or 5 of its section, for bar 1 double."""
    rest_opens: float = 0.6
    """It opens a section."""
    rest_closes: float = 0.4
    """It closes a section."""
    rest_overheard: float = 0.7
    """A major seventh or sixth that opens or closes a section, and is not heard as its rest."""
    unprepared: float = 0.45
    """What is left of a rest when no dominant leads to it."""
    plagal_prepares: float = 1.0
    """What is left when a plagal chord leads to it."""
    triad_prepares: float = 0.8
    """What is left when a dominant without a seventh leads to it: that might be I and IV as well."""
    inverted_rests: float = 0.6
    """What is left when it stands over its third."""
    opens_open: float = 0.4
    """A section that opens on anything but a rest."""
    lingers: float = 0.3
    """Anything but a rest that stays for more than two bars, for each bar more."""
    place_stays: float = 0.2
    """A chord in the tonic's place that stays for more than a bar, for each bar more."""
    pulse: float = 0.2
    """Lengths count in the tune's own harmonic rhythm: as if chords lasted so many bars on average."""
    duration_cap: float = 2.0
    """A chord's cost grows with its bars up to here; a passing chord's and a color's go on growing."""
    duration_floor: float = 0.5
    # --- steps inside a key -----------------------------------------------------------------------

    six_four_moves: float = 0.8
    """A tonic over its fifth that goes on to the dominant was no rest."""
    prepared_otherwise: float = 0.2
    """The chord before a dominant doesn't fall a fifth or a half step to it."""
    prepares_plagal: float = 0.8
    """A predominant before a plagal chord, the backdoor's pair apart."""
    down_the_fifths: float = -0.15
    """Predominants that fall by fifths."""
    six_after_one: float = -0.65
    """vi right after I still stands in its place."""
    reinterpreted: float = 0.6
    """The same chord heard in another role as it goes on."""
    line_stays: float = 0.9
    line_moves: float = -0.9
    """The tonic's color changes over one root in minor: a line moves inside it, and the first chord is the rest."""
    rather_two_five: float = 3.0
    """A minor seventh at rest and the dominant a fourth above it: that is the sound of two and five."""
    triad_retreats: float = -0.5
    """A dominant without a seventh steps back to IV or falls to ii: I and IV, or V and IV, of a plain song."""
    plagal_strays: float = 0.5
    """Two plagal chords that are neither bVII–IV nor bVI–bVII."""
    blues_retreat: float = -1.0
    """V7 steps back to IV7, as in the last bars of a blues."""
    backdoor_pair: float = -0.6
    """iv then bVII7: the backdoor's own two and five."""
    triad_resolves: float = 0.25
    """A dominant without a seventh goes to its tonic."""
    weak_resolution: float = 1.0
    """A dominant goes to its tonic, but neither by fifth, half step nor leading tone."""
    plagal_stalls: float = 0.9
    """A passing chord that doesn't move by step, a plagal one that isn't followed by its tonic."""
    applied_reaches: float = -0.9
    """An applied dominant reaches its degree."""
    diminished_reaches: float = -0.2
    """A diminished chord in its place says less than a dominant."""
    goal_in_its_place: float = -0.6
    """The goal then stands in the tonic's place rather than on the way."""
    other_third: float = 2.8
    """The goal has another third than the key gives it, so it is hardly the key's own chord."""
    two_in_between: float = 0.2
    """V7 of V goes on to ii on its own root, and only then to V."""
    applied_misses: float = 1.5
    """It doesn't reach it."""
    applied_stays: float = 0.1
    """It is recolored, or exchanged for its substitute."""
    applied_pair: float = -0.7
    """The ii of an applied dominant is followed by it."""
    applied_pair_misses: float = 3.0
    brief_four: float = 1.2
    """A major IV of no more than half a bar, taken for a way home."""
    passing_leaps: float = 2.5
    """A passing chord that isn't left or entered by step."""
    wrong_color: float = 0.4
    """A chord whose tensions or fifth lean to the other mode than its goal has."""
    # --- a new center -----------------------------------------------------------------------------

    change: float = 1.0
    leave_unrested: float = 1.0
    """A center that has not come to rest is given up."""
    enter_by_other: float = 1.0
    """A new center begins with a predominant that isn't its own ii."""
    chain: float = 1.8
    """In a chain of two-fives the next one begins where the last was left open: all of leaving and entering."""
    turns_minor: float = -0.3
    """The tonic's own root becomes the ii of what follows."""
    distance: float = 0.08
    """For each fifth between the signatures, up to six."""
    parallel: float = 0.2
    """The mode alone changes."""
    # --- interruptions ----------------------------------------------------------------------------

    taken_up_again: float = -0.7
    """The same ii comes back after it and goes on to its dominant."""
    interruption: float = 1.1
    """A cadence in another key breaks into one that is prepared."""
    interruption_by_own: float = 1.8
    """More where what breaks in rests on a chord of the awaited key: an applied dominant says the same."""
    interruption_bars: float = 4.0
    """It is no longer than this."""
    # --- home -------------------------------------------------------------------------------------

    away_bar: float = 0.06
    """Each bar away from home."""
    goes_elsewhere: float = 0.4
    """A change of center that doesn't go home."""
    starts_away: float = 0.5
    ends_away: float = 1.6
    ends_parallel: float = 0.7
    """It ends in the other mode on the home's own tonic."""
    ends_beside: float = 1.0
    """Its last chord only stands beside."""
    ends_unrested: float = 1.0
    """The tune's last center never came to rest."""
    signature: float = -0.8
    """The printed signature agrees with this home."""
    blues: float = 1.5
    """To hear the home as a blues."""
    # --- what is looked at ------------------------------------------------------------------------

    # --- shares -----------------------------------------------------------------------------------

    temperature: float = 0.7
    """How much a difference of cost tells: readings that differ by this much stand about 7 to 3."""


COSTS = Costs()
"""The costs that the program reads by."""

HOMES_TRIED = 3
RIVALS_SHOWN = 3
RIVAL_LEAST_SHARE = 0.01
