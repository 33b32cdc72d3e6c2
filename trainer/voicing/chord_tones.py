"""What a chord is made of for a voicing: its places, and the tensions that its function allows.

Tones are degree and alteration against the root's major scale, as in trainer.harmony.quality. What
sounds is taken from the chord's own tones and, where a style says so, from the tensions of `TENSIONS`.
"""

from functools import lru_cache
from typing import Literal

from trainer.harmony.quality import Quality, semitones_of
from trainer.records import dataclass
from trainer.voicing.styles import STYLE, Style

Aim = Literal["major", "minor", "substitute", "plain"]
"""Where a chord goes, as far as its tensions care: to a major or a minor chord, or by a half step down
(a tritone substitute) or a whole step up (bVII7 home). `plain` adds no tension to what is written."""

Family = Literal["major", "minor", "dominant", "suspended"]
"""Chords that take tensions alike. Triads, diminished and half-diminished chords take none."""

Tone = tuple[int, int]
Stack = tuple[Tone, ...]

ROOT: Tone = (1, 0)
FIFTH: Tone = (5, 0)


@dataclass(frozen=True, slots=True)
class TensionRow:
    """What stands in for the root and for the perfect fifth where the symbol names nothing there, and what fourths add.

    Which styles take them is in the table of trainer.voicing.styles.
    """

    family: Family
    aim: Aim
    for_root: Tone | None
    for_fifth: Tone | None
    in_fourths: tuple[Tone, ...]


TENSIONS: tuple[TensionRow, ...] = (
    TensionRow("major", "major", (9, 0), None, ((13, 0),)),
    TensionRow("major", "minor", (9, 0), None, ((13, 0),)),
    TensionRow("major", "substitute", (9, 0), None, ((13, 0),)),
    TensionRow("minor", "major", (9, 0), None, ((11, 0),)),
    TensionRow("minor", "minor", (9, 0), None, ((11, 0),)),
    TensionRow("minor", "substitute", (9, 0), None, ((11, 0),)),
    TensionRow("dominant", "major", (9, 0), (13, 0), ((13, 0),)),
    TensionRow("dominant", "minor", (9, -1), (13, -1), ((13, -1),)),
    TensionRow("dominant", "substitute", (9, 0), (11, 1), ((13, 0),)),
    TensionRow("suspended", "major", (9, 0), None, ()),
    TensionRow("suspended", "minor", None, None, ()),
    TensionRow("suspended", "substitute", (9, 0), None, ()),
)
"""Common practice, no source; natural 9 and 13 toward major, b9 and b13 toward minor, #11 on substitutes."""

_TENSION_OF = {(row.family, row.aim): row for row in TENSIONS}


@dataclass(frozen=True, slots=True)
class Anatomy:
    """A chord taken apart into the places that voicings are made of."""

    third: Tone | None
    """The third, or the suspended tone in its place."""
    middle: tuple[Tone, ...]
    """The fifth, or the 11ths and 13ths that take its place; altered fifths stay beside them."""
    seventh: Tone | None
    """The seventh, or the sixth in its place."""
    nine: Tone | None
    leading_root: bool
    """The root may be a leading tone (diminished chords): the keys don't double a bass on it."""


@lru_cache(maxsize=1024)
def anatomy(quality: Quality) -> Anatomy:
    """Take a quality apart; of two ninths the raised one stays, at most two tones stand in the middle."""
    tones = quality.played_tones
    third = next((tone for degree in (3, 4, 2) for tone in tones if tone[0] == degree), None)
    if third is None and (11, 0) in tones:
        third = (11, 0)
    seventh = next((tone for degree in (7, 6) for tone in tones if tone[0] == degree), None)
    left = [tone for tone in tones if tone not in (ROOT, third, seventh)]
    nines = [tone for tone in left if tone[0] in (2, 9)]
    upper = _without_doubles([tone for tone in left if tone[0] in (4, 6, 11, 13)])
    fifths = [tone for tone in left if tone[0] == 5]
    if FIFTH not in quality.tones and not fifths and len(upper) > 1:
        upper = upper[-1:]  # an altered dominant: b13 stands for all of the middle
    if upper and seventh is not None:
        fifths = [tone for tone in fifths if tone != FIFTH]
    middle = _without_doubles(fifths + upper)[-2:]
    diminished = quality.third == "minor" and quality.fifth == "diminished" and quality.seventh != "minor"
    return Anatomy(third, tuple(middle), seventh, max(nines, default=None), diminished)


def _without_doubles(tones: list[Tone]) -> list[Tone]:
    """The tones with each pitch class once, the first to name it."""
    by_class = {semitones_of(tone) % 12: tone for tone in reversed(tones)}
    return [tone for tone in tones if by_class[semitones_of(tone) % 12] == tone]


def family(quality: Quality) -> Family | None:
    """The family whose tensions a quality takes; None where it takes none."""
    minor, seventh = quality.third == "minor", quality.seventh
    if (seventh is None and not quality.sixth) or (minor and quality.fifth == "diminished"):
        return None
    if minor:
        return "minor"
    if quality.dominant:
        return "dominant" if (3, 0) in quality.played_tones else "suspended"
    return "major" if quality.third == "major" else None


@lru_cache(maxsize=4096)
def tensions(quality: Quality, aim: Aim | None) -> tuple[Tone | None, Tone | None]:
    """What stands in for root and fifth: as written, else by family and aim.

    With no aim a dominant goes to major, or to minor where its written b9, b13 or #5 says so.
    """
    parts, row = anatomy(quality), _row(quality, aim)
    if row is None:
        return parts.nine, None
    return parts.nine or row.for_root, row.for_fifth if _takes_middle(parts, row) else None


@lru_cache(maxsize=4096)
def fourths_tensions(quality: Quality, aim: Aim | None) -> tuple[Tone, ...]:
    """What stacks of fourths may add: nothing beside a written tension of that place."""
    row = _row(quality, aim)
    return row.in_fourths if row is not None and _takes_middle(anatomy(quality), row) else ()


def _row(quality: Quality, aim: Aim | None) -> TensionRow | None:
    kind = family(quality)
    if kind is None or aim == "plain":
        return None
    if aim is None:
        dark = bool({(9, -1), (13, -1), (5, 1)} & set(quality.tones)) and (9, 0) not in quality.tones
        aim = "minor" if kind == "dominant" and dark else "major"
    return _TENSION_OF[kind, aim]


def _takes_middle(parts: Anatomy, row: TensionRow) -> bool:
    nine, aim = parts.nine, row.aim
    fits = nine in (None, row.for_root) or (nine, aim) in (((9, -1), "major"), ((9, 1), "minor"))
    return fits and all(tone == FIFTH for tone in parts.middle)


@lru_cache(maxsize=16384)
def allowed_tones(quality: Quality, aim: Aim | None = "plain", style: Style = "rootless") -> frozenset[Tone]:
    """The tones that may sound in a style: the chord's own, and the tensions it adds."""
    added: tuple[Tone | None, ...] = ()
    if STYLE[style].tensions in ("function", "fourths"):
        added = tensions(quality, aim)
    if STYLE[style].tensions == "fourths":
        added += fourths_tensions(quality, aim)
    return frozenset(quality.tones) | {tone for tone in added if tone is not None}


def rotations(tones: list[Tone]) -> tuple[Stack, ...]:
    """The close stacks of some tones: within an octave, each one lowest in turn."""
    rising = sorted(dict.fromkeys(tones), key=lambda tone: semitones_of(tone) % 12)
    return tuple((*rising[turn:], *rising[:turn]) for turn in range(len(rising)))


@lru_cache(maxsize=8192)
def offsets(stack: Stack) -> tuple[int, ...]:
    """Half steps of a stack's tones above the root that lies at or below its lowest tone."""
    heights = [semitones_of(stack[0]) % 12]
    for tone in stack[1:]:
        heights.append(heights[-1] + ((semitones_of(tone) - heights[-1]) % 12 or 12))
    return tuple(heights)
