"""The ladder: six presentations of one thing, each a step harder, and the keys that each may use.

"Their minors" on the first rung are the relative minors, the keys of the same signatures. Keys come
from a shuffled bag, so that all twelve are heard before one comes back; the bag is a value that the
caller keeps.
"""

from collections.abc import Mapping
from fractions import Fraction
from random import Random
from types import MappingProxyType

from trainer.errors import KeyfarerError
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.records import dataclass
from trainer.voicing.styles import STYLES, Style

ALL_KEYS = tuple(range(12))
EASY_MAJORS = (0, 5, 7, 10, 2, 3)
"""C F G Bb D Eb, as half steps above C."""
EASY_MINORS = tuple((tonic - 3) % 12 for tonic in EASY_MAJORS)
"""Am Dm Em Gm Bm Cm."""


class DrillError(KeyfarerError):
    """A question that can't be asked: no such rung, kind or unit, or material that doesn't hold it."""


@dataclass(frozen=True, slots=True)
class Rung:
    """One presentation."""

    number: int
    easy_keys: bool
    confirmed: bool
    """The key is given before the question."""
    styles: tuple[Style, ...]
    always_bass: bool
    """False: the bass may stay away where the answer is determined without it."""
    tempos: tuple[int, ...]
    """Quarter notes a minute; a tune keeps its own."""
    phrase: bool
    """Inside a phrase; False is alone."""
    choices: int | None
    """Answers offered; None is a free answer."""


TWO_SECONDS_A_CHORD = (120,)
"""Four beats at 120."""
MEDIUM = (100, 108, 116, 124, 132)
TUNE = (120, 132, 144, 160, 176)

_LED: tuple[Style, ...] = ("shells", "rootless")

RUNGS: Mapping[int, Rung] = MappingProxyType(
    {
        rung.number: rung
        for rung in (
            Rung(1, True, True, ("close",), True, TWO_SECONDS_A_CHORD, False, 3),
            Rung(2, False, True, ("close",), True, TWO_SECONDS_A_CHORD, False, 4),
            Rung(3, False, True, _LED, True, MEDIUM, False, None),
            Rung(4, False, False, _LED, True, MEDIUM, False, None),
            Rung(5, False, False, STYLES, True, TUNE, True, None),
            Rung(6, False, False, STYLES, False, TUNE, True, None),
        )
    }
)
"""The ladder, one thing harder a step."""

BEATS_A_BAR = 4
WHOLE_BARS_UP_TO = 4
"""So many chords have a bar each at a medium or a tune's tempo; more of them come two to a bar."""


def find_rung(number: int) -> Rung:
    """Find a rung by its number. Raises DrillError."""
    if (rung := RUNGS.get(number)) is None:
        raise DrillError(f"there is no rung {number!r}; the ladder has rungs 1 to {max(RUNGS)}")
    return rung


def lengths(count: int, rung: Rung, rng: Random) -> tuple[Fraction, ...]:
    """Beats of each of some chords that fill whole bars of four: a bar each, or two to a bar.

    On the first two rungs every chord has its two seconds; elsewhere the last one fills its bar.
    """
    whole = count <= WHOLE_BARS_UP_TO and rng.random() < 0.5
    if rung.choices is not None or whole or count == 1:
        return (Fraction(BEATS_A_BAR),) * count
    half = Fraction(BEATS_A_BAR, 2)
    last = half if count % 2 == 0 else Fraction(BEATS_A_BAR)
    return (half,) * (count - 1) + (last,)


@dataclass(frozen=True, slots=True)
class KeyBag:
    """Tonics not drawn yet, the next one first; empty is a bag to be filled."""

    left: tuple[int, ...] = ()


def allowed_tonics(rung: Rung, mode: Mode) -> tuple[int, ...]:
    """The tonics a rung may use, as half steps above C."""
    if not rung.easy_keys:
        return ALL_KEYS
    return EASY_MINORS if mode == "minor" else EASY_MAJORS


def draw_key(bag: KeyBag, rung: Rung, mode: Mode, rng: Random) -> tuple[Key, KeyBag]:
    """The next key of the bag that the rung allows, and the bag without it."""
    allowed = allowed_tonics(rung, mode)
    left = bag.left
    if not any(tonic in allowed for tonic in left):
        fresh = [tonic for tonic in ALL_KEYS if tonic not in left]
        rng.shuffle(fresh)
        left = (*left, *fresh)
        if not any(tonic in allowed for tonic in left):
            raise AssertionError("a filled bag holds every tonic")
    tonic = next(tonic for tonic in left if tonic in allowed)
    rest = list(left)
    rest.remove(tonic)
    return simplest_key(tonic, mode), KeyBag(tuple(rest))
