"""The numbers by which the trellis tells keys, roles, kinds of chord and the fields of an event apart."""

KEYS = 24
SLOTS = 12
KINDS = 11
FIELDS = 13
"""Numbers told of an event: see `Trellis`."""
FUNCTIONS = 6
NEVER = 1e6
INFINITE = 1e18

# Slots: the roles of a node. A and S are the two goals of an applied chord (by fifth or leading tone,
# by tritone substitution); R and r are a dominant and a ii taken up again.
T, T_PLACE, P, D, L, A, S, A_TWO, X, C, R, R_TWO = range(12)
LETTERS = "TtPDLAAaXCRr"

# Kinds of chord, as in heard.ChordClass.
MAJOR, MAJOR_TRIAD, MINOR_REST, MINOR_TRIAD, MINOR_SEVENTH = 0, 1, 2, 3, 4
HALF_DIMINISHED, DOMINANT, SUSPENDED, DIMINISHED, AUGMENTED, OPEN = 5, 6, 7, 8, 9, 10

# Fields of an event.
ROOT, BASS, KIND, LEAN, SIX_FOUR, STRONG, OPENS, CLOSES, ENDS, PIN_KEY, PINNED, CHAIN, LIKE_TWO = range(13)
