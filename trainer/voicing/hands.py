"""How people play: each stroke a little late and a little uneven in level, by a seed, within a table's limits.

The bass is steadier than the keys; in swing the keys lie slightly behind; the top voice is a little
louder (common practice, no source). The notes of one stroke stay together, so that a chord is one chord.
Nothing comes early, so that nothing is ever before its chord or before the start.
"""

from collections.abc import Mapping
from random import Random
from types import MappingProxyType

from synth.score import Part
from trainer.records import dataclass

LATEST_S = 0.012
"""How late any stroke may be."""

LATEST_SHARE = 0.25
"""The share of its shortest note that a stroke may be late at most."""


@dataclass(frozen=True, slots=True)
class Unevenness:
    """The limits of one part."""

    from_s: float
    until_s: float
    """A stroke's lateness lies between them."""
    laid_back_from_s: float
    laid_back_until_s: float
    """The same in swing."""
    level: int
    """How much harder or softer a stroke is at most, in MIDI velocity."""
    note_level: int
    """How much each note of a stroke differs from it at most."""
    top: int
    """How much harder the highest of several notes is."""


UNEVENNESS: Mapping[Part, Unevenness] = MappingProxyType(
    {
        "keys": Unevenness(0.0, 0.008, 0.004, LATEST_S, 3, 1, 4),
        "bass": Unevenness(0.0, 0.004, 0.0, 0.004, 2, 0, 0),
        "brush": Unevenness(0.0, 0.006, 0.0, 0.006, 4, 2, 0),
        "drone": Unevenness(0.0, 0.0, 0.0, 0.0, 0, 0, 0),
        "click": Unevenness(0.0, 0.0, 0.0, 0.0, 0, 0, 0),
    }
)
"""By part; a click is exact."""


@dataclass(frozen=True, slots=True)
class Hands:
    """Who plays."""

    rng: Random
    laid_back: bool
    """The keys lie behind, as in swing."""

    def stroke(self, part: Part, notes: int, shortest_s: float) -> tuple[float, list[int]]:
        """How late a stroke of so many notes comes, in seconds, and how much harder each is, from the lowest up."""
        limits, rng = UNEVENNESS[part], self.rng
        low, high = limits.from_s, limits.until_s
        if self.laid_back:
            low, high = limits.laid_back_from_s, limits.laid_back_until_s
        late = min(rng.uniform(low, high), shortest_s * LATEST_SHARE)
        level = rng.randint(-limits.level, limits.level)
        harder = [level + rng.randint(-limits.note_level, limits.note_level) for _ in range(notes)]
        if notes > 1:
            harder[-1] += limits.top
        return late, harder
