"""What a chord does in its key center: the seven functions that this house tells apart.

Terms are the field's own (Aldwell & Schachter, Harmony and Voice Leading; Levine, The Jazz Theory
Book, 1995; from memory); where a chord leads decides, not what it is built of.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

Function = Literal["tonic", "predominant", "dominant", "plagal", "passing", "color", "none"]

FUNCTIONS: Mapping[Function, str] = MappingProxyType(
    {
        "tonic": "Home, or a chord that stands in its place: nothing has to follow.",
        "predominant": "Gets a dominant ready: ii or IV, iv, and what comes down the fifths before them.",
        "dominant": "Wants to fall to a rest: V, its substitute a tritone away, a diminished chord for it.",
        "plagal": "Comes home softly, without a dominant: IV or iv, or bVII by the backdoor.",
        "passing": "Fills the step between two chords, diminished or slid, and has no pull of its own.",
        "color": "Stands beside a chord and goes back to it: a neighbour, or a line over a held rest.",
        "none": "Silence, or a chord outside of all this.",
    }
)
"""Each function with its meaning for the player."""
