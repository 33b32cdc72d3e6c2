"""The table of styles: for each one its shape in words, its range, its spacing, its size, its tensions.

Ranges are MIDI numbers (60 is middle C), gaps and spans half steps. Ranges and spacing are common
practice, no source: around middle C for one hand, shells lower, open positions wider.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from trainer.records import dataclass

Style = Literal["close", "shells", "guide-tones", "rootless", "drop-2", "spread", "quartal"]
"""How the keys voice chords; each is told in `STYLE`."""

TensionsFrom = Literal["none", "written", "function", "fourths"]
"""Which tensions may sound: none but an altered fifth; those the symbol names; those of the chord's function
as well; those and the ones that fourths ask for."""

MOST_KEYS = 5
"""What one hand plays at most."""


@dataclass(frozen=True, slots=True)
class Register:
    """A range of MIDI numbers, both ends in it, and the middle that voices keep near on ties."""

    low: int
    high: int
    middle: int
    over_bass: int | None = None
    """The lowest key lies no further above the bass than this, else each half step costs one of motion; None is
    any distance."""


@dataclass(frozen=True, slots=True)
class StyleRow:
    """One style. Its rules hold for every chord."""

    style: Style
    shape: str
    """What a player would say."""
    register: Register
    most: int
    """Keys over a bass, two at least; one more where no bass plays and the keys have it as well."""
    widest: int
    """The largest gap between neighbouring keys."""
    span: int
    """The most from the lowest key to the highest."""
    tensions: TensionsFrom


STYLE_ROWS: tuple[StyleRow, ...] = (
    #        style          range (low, high, middle)  keys gap span tensions
    StyleRow("close", "all tones of the chord within an octave",
             Register(50, 74, 60), 5, 11, 12, "written"),
    StyleRow("shells", "root, 3rd and 7th, or root, 7th and 3rd",
             Register(45, 76, 57), 5, 11, 20, "none"),
    StyleRow("guide-tones", "3rd and 7th alone, in either order",
             Register(50, 72, 61), 2, 11, 11, "none"),
    StyleRow("rootless", "from the 3rd or from the 7th, with tensions",
             Register(50, 74, 60), 5, 11, 12, "function"),
    StyleRow("drop-2", "four tones in close position, the second from the top an octave lower; triads open",
             Register(48, 76, 62), 4, 11, 21, "function"),
    StyleRow("spread", "7th and 3rd wide apart over a deep root, 5ths and tensions closer above; else drop-2",
             Register(45, 79, 60, 24), 4, 11, 23, "function"),
    StyleRow("quartal", "minor 7ths, suspended, major 7ths, 6ths, dominants in fourths, one third at most; else drop-2",
             Register(48, 79, 61), 5, 11, 22, "fourths"),
)  # fmt: skip
"""In the order in which they are offered. Drop-2 stands in where a chord hasn't what the shape needs."""

STYLES: tuple[Style, ...] = tuple(row.style for row in STYLE_ROWS)

STYLE: Mapping[Style, StyleRow] = MappingProxyType({row.style: row for row in STYLE_ROWS})
"""By name."""

BASS_REGISTER = Register(28, 43, 36)
"""E1, the lowest string of a double bass, to G2: where roots and fifths lie."""
