"""The one table of costs by which readings are weighed; the lowest sum is the reading.

A cost is in no unit but its own: 1 is about what it costs a player to think of a new key center
for a cadence that has its own ii. Each group says what it stands for. Costs were set by hand on
textbook progressions (tests/trainer/reading) and are never learned from the exercise tunes.
Degrees are semitones above the tonic.

Roles: how a chord can stand in a key.
    T   tonic at rest                  t   in the tonic's place (vi, iii, bIII)
    P   before a dominant              D   dominant (its substitute, its leading-tone chord)
    L   plagal: leads to I without a dominant
    A   applied dominant of a degree   a   the ii of an applied dominant
    X   passing between two chords     C   color: stands beside and goes back
"""

from trainer.reading.heard import ChordClass as K

ROLES = "TtPDLAaXC"
NEVER = 1e6
"""Costs from here on are no way at all."""

# --- what a chord costs in a role: class -> degree -> role and cost -------------------------------

MAJOR_ROLES: dict[K, dict[int, str]] = {
    K.MAJOR: {
        0: "T0", 5: "P0.2 L0.3 C0.5", 7: "C1.2", 8: "P1.0 L1.0", 10: "L1.0", 3: "P1.2 C1.3", 1: "D1.2",
    },
    K.MAJOR_TRIAD: {
        0: "T0.1", 5: "P0.2 L0.3 C0.5", 7: "D0.3", 8: "P0.9 L0.7", 10: "L0.7", 3: "P1.1 C1.0", 1: "D1.2",
    },
    K.MINOR_REST: {0: "C1.6", 5: "P0.5 L0.5", 2: "P0.7", 9: "t0.8"},
    K.MINOR_TRIAD: {0: "C1.6", 2: "P0", 4: "t0.3 P0.4", 5: "P0.6 L0.5", 9: "t0.2 P0.3", 7: "P1.3"},
    K.MINOR_SEVENTH: {0: "C1.6", 2: "P0", 4: "t0.3 P0.3", 5: "P0.6 L0.7", 9: "t0.2 P0.2", 7: "P1.4", 8: "P1.3"},
    K.HALF_DIMINISHED: {2: "P0.5", 11: "D1.0", 6: "P0.7"},
    K.DOMINANT: {7: "D0", 1: "D0.5", 10: "L0.6", 5: "C1.4 P1.4", 0: "T2.6"},
    K.SUSPENDED: {7: "D0.1", 1: "D0.8", 10: "L0.8", 0: "C1.0", 2: "P0.8"},
    K.DIMINISHED: {11: "D0.3", 2: "D0.8", 5: "D0.8", 8: "D0.8", 0: "C0.5"},
    K.AUGMENTED: {7: "D0.2", 0: "C0.6"},
    K.OPEN: {0: "T0.3", 5: "P0.5", 7: "D0.5", 9: "t0.8", 2: "P0.8"},
}
MINOR_ROLES: dict[K, dict[int, str]] = {
    K.MAJOR: {3: "t0.5", 8: "P0.4 t0.6 L1.0", 10: "L0.8 P0.9", 1: "P0.8 D1.2", 5: "P0.9", 0: "T2.2"},
    K.MAJOR_TRIAD: {
        3: "t0.5", 8: "P0.4 t0.6 L0.8", 10: "L0.6 P0.6 X0.3", 1: "P0.8 D1.2", 5: "P0.9", 0: "T2.2", 7: "D0.2",
    },
    K.MINOR_REST: {0: "T0 C1.0", 5: "P0.3 L0.4"},
    K.MINOR_TRIAD: {0: "T0", 5: "P0.2 L0.4", 7: "P0.9", 2: "P1.0"},
    K.MINOR_SEVENTH: {0: "T0.5 C1.0", 5: "P0.2 L0.5", 7: "P0.9", 2: "P0.9", 10: "P1.2", 8: "P1.4"},
    K.HALF_DIMINISHED: {2: "P0", 9: "P0.6 t0.8", 6: "P0.8", 11: "D1.2"},
    K.DOMINANT: {7: "D0", 1: "D0.4", 10: "L0.9", 5: "P0.8", 0: "T3.0"},
    K.SUSPENDED: {7: "D0.2", 10: "P1.0", 0: "C1.0"},
    K.DIMINISHED: {11: "D0.1", 2: "D0.5", 5: "D0.8", 8: "D0.8", 0: "C0.6"},
    K.AUGMENTED: {7: "D0.1", 0: "C0.8"},
    K.OPEN: {0: "T0.3", 5: "P0.5", 7: "D0.5", 8: "P0.8"},
}
BLUES_ROLES: dict[K, dict[int, str]] = {
    K.DOMINANT: {0: "T0", 5: "P0.2 L0.2"},
}
"""What changes when the home is a blues: its I7 and IV7 are chords of the key."""

PASSING_COST: dict[K, float] = {K.DIMINISHED: 0.2, K.MINOR_SEVENTH: 0.6, K.DOMINANT: 1.5, K.MAJOR: 1.6}
"""A chord that only connects: cheap for a diminished one, dearer for the rest; others can't."""
PASSING_STAYS = 2.0
"""A passing chord that stays longer than a bar, for each bar more."""
SIX_FOUR = 0.3
"""A tonic triad over its fifth taken for the dominant's suspension."""
SIX_FOUR_RESTS = 0.3
"""What is left of a rest when it stands over its fifth."""
PICARDY = -1.4
"""The last chord of a tune in minor may be major."""
COLOR_COST = 3.0
"""Any chord may stand beside the key, at a price."""

# --- applied chords ------------------------------------------------------------------------------

APPLIED_NEAR = {"major": {2: 0.5, 4: 0.7, 5: 0.6, 7: 0.4, 9: 0.5}, "minor": {3: 0.5, 5: 0.5, 7: 0.4, 8: 0.6, 10: 0.6}}
"""An applied dominant of a degree of the scale: the key stays in the ear."""
APPLIED_FAR = 2.1
"""An applied dominant of a degree outside the scale."""
APPLIED_TWO = 0.1
"""Its ii on top."""
APPLIED_BY: dict[K, float] = {
    K.DOMINANT: 0.0, K.SUSPENDED: 0.3, K.MAJOR_TRIAD: 0.5, K.AUGMENTED: 0.2, K.DIMINISHED: 0.4,
}
"""Which chords can be an applied dominant, and what the weaker ones cost."""
SUBSTITUTE = 0.5
"""The tritone substitute in place of the dominant."""

# --- rests ---------------------------------------------------------------------------------------

REST_BAR = 0.45
"""A chord at rest is worth this for each bar that it lasts, up to REST_BARS."""
REST_BARS = 2.0
REST_STRONG = 0.3
"""It falls on bar 1, 3, 5, 7 of its section."""
REST_OPENS = 0.8
"""It opens a section."""
REST_CLOSES = 0.9
"""It closes a section."""
REST_OVERHEARD = 0.7
"""A major seventh or sixth that opens or closes a section, and is not heard as its rest."""
UNPREPARED = 0.45
"""What a rest is worth when no dominant leads to it."""
DURATION_CAP = 2.0
"""A chord's cost grows with its bars up to here; a passing chord's and a color's go on growing."""
DURATION_FLOOR = 0.5

# --- steps inside a key ----------------------------------------------------------------------------

STEPS: dict[str, dict[str, float]] = {
    "T": {"T": 0.0, "t": 0.1, "P": 0.0, "D": 0.2, "L": 0.1, "A": 0.2, "a": 0.1, "X": 0.1, "C": 0.0},
    "t": {"T": 0.4, "t": 0.2, "P": 0.0, "D": 0.3, "L": 0.4, "A": 0.2, "a": 0.2, "X": 0.2, "C": 0.5},
    "P": {"T": 1.3, "t": 1.0, "P": 0.1, "D": -0.7, "L": 0.1, "A": 0.7, "a": 0.7, "X": 0.2, "C": 0.8},
    "D": {"T": -1.6, "t": 0.4, "P": 1.0, "D": 0.0, "L": 1.2, "A": 0.8, "a": 0.9, "X": 0.4, "C": 0.9},
    "L": {"T": -0.6, "t": 0.8, "P": 0.5, "D": 0.5, "L": -0.2, "A": 1.2, "a": 1.2, "X": 0.0, "C": 1.2},
    "X": {"T": 0.1, "t": -0.1, "P": 0.1, "D": 0.1, "L": 0.4, "A": 0.3, "a": 0.3, "X": 0.1, "C": 0.6},
    "C": {"T": -0.1, "t": 0.4, "P": 0.3, "D": 0.4, "L": 0.5, "A": 0.5, "a": 0.5, "X": 0.4, "C": 0.1},
}
"""From role to role; applied chords have rules of their own."""
SIX_FOUR_MOVES = 0.8
"""A tonic over its fifth that goes on to the dominant was no rest."""
PREPARED_OTHERWISE = 0.2
"""The chord before a dominant doesn't fall a fifth or a half step to it."""
PREPARES_PLAGAL = 0.8
"""A predominant before a plagal chord, the backdoor's pair apart."""
DOWN_THE_FIFTHS = -0.15
"""Predominants that fall by fifths."""
SIX_AFTER_ONE = -0.65
"""vi right after I still stands in its place."""
REINTERPRETED = 0.6
"""The same chord heard in another role as it goes on."""
LINE_STAYS, LINE_MOVES = 0.9, -0.9
"""The tonic's color changes over one root in minor: a line moves inside it, and the first chord is the rest."""
RATHER_TWO_FIVE = 1.0
"""A minor seventh at rest and the dominant a fourth above it: that is the sound of two and five."""
BLUES_RETREAT = -1.0
"""V7 steps back to IV7, as in the last bars of a blues."""
BACKDOOR_PAIR = -0.6
"""iv then bVII7: the backdoor's own two and five."""
WEAK_RESOLUTION = 1.0
"""A dominant goes to its tonic, but neither by fifth, half step nor leading tone."""
PLAGAL_STALLS = 0.9
"""A passing chord that doesn't move by step, a plagal one that isn't followed by its tonic."""
APPLIED_REACHES = -0.9
"""An applied dominant reaches its degree."""
DIMINISHED_REACHES = -0.2
"""A diminished chord in its place says less than a dominant."""
GOAL_IN_ITS_PLACE = -0.6
"""The goal then stands in the tonic's place rather than on the way."""
OTHER_THIRD = 2.0
"""The goal has another third than the key gives it, so it is hardly the key's own chord."""
TWO_IN_BETWEEN = 0.2
"""V7 of V goes on to ii on its own root, and only then to V."""
APPLIED_MISSES = 1.5
"""It doesn't reach it."""
APPLIED_STAYS = 0.1
"""It is recolored, or exchanged for its substitute."""
APPLIED_PAIR = -0.7
"""The ii of an applied dominant is followed by it."""
APPLIED_PAIR_MISSES = 3.0
BRIEF_FOUR = 0.9
"""A major IV of no more than half a bar, taken for a way home."""
PASSING_LEAPS = 2.5
"""A passing chord that isn't left or entered by step."""
WRONG_COLOR = 0.4
"""A chord whose tensions or fifth lean to the other mode than its goal has."""

# --- a new center ----------------------------------------------------------------------------------

CHANGE = 1.0
LEAVE = {"T": 0.0, "t": 0.2, "P": 1.4, "D": 1.1, "L": 1.2, "A": 1.2, "a": 1.5, "X": 0.6, "C": 0.4}
LEAVE_UNRESTED = 1.0
"""A center that has not come to rest is given up."""
ENTER = {"T": 1.0, "t": 2.0, "P": 0.1, "D": 0.5, "L": 0.9, "A": 1.3, "a": 1.2, "X": 3.0, "C": 3.0}
ENTER_BY_OTHER = 1.0
"""A new center begins with a predominant that isn't its own ii."""
TURNS_MINOR = -0.3
"""The tonic's own root becomes the ii of what follows."""
DISTANCE = 0.08
"""For each fifth between the signatures, up to six."""
PARALLEL = 0.2
"""The mode alone changes."""

# --- interruptions ---------------------------------------------------------------------------------

INTERRUPTION = 1.6
"""A cadence in another key breaks into one that is prepared."""
INTERRUPTION_BY_OWN = 1.2
"""More where what breaks in rests on a chord of the awaited key: an applied dominant says the same."""
INTERRUPTION_BARS = 4
"""It is no longer than this."""

# --- home ------------------------------------------------------------------------------------------

AWAY_BAR = 0.06
"""Each bar away from home."""
GOES_ELSEWHERE = 0.4
"""A change of center that doesn't go home."""
STARTS_AWAY = 0.5
ENDS_AWAY = 1.6
SIGNATURE = -0.8
"""The printed signature agrees with this home."""
BLUES = 1.2
"""To hear the home as a blues."""
HOMES_TRIED = 3

# --- what is looked at ------------------------------------------------------------------------------

KEYS_NEAR = 3
"""A key is open where one of so many chords before or after points to it."""
LEADING_KEYS = 4
"""So many keys that most of the tune points to are open everywhere."""

# --- shares ----------------------------------------------------------------------------------------

TEMPERATURE = 0.5
"""How much a difference of cost tells: readings that differ by this much stand about 7 to 3."""
TOLD_APART = 3.0
"""Homes dearer by so many temperatures have no share worth telling (one in twenty)."""
RIVALS_SHOWN = 3
RIVAL_LEAST_SHARE = 0.01
