"""The table of voicing shapes: which tones the right hand plays, by degree, and in which stacks.

A stack names tones from the lowest up, each the nearest one above the one before. Tones are degree
and alteration against the root's major scale, as in trainer.harmony.quality. What sounds is taken
from the chord's own tones and, in rootless voicings, from the tensions of `TENSIONS`. The shapes
themselves are common practice; rootless forms from the 3rd and from the 7th as in Levine, The Jazz
Piano Book, 1989, from memory.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from trainer.harmony.interval import between, degree_interval
from trainer.harmony.quality import Quality, semitones_of
from trainer.harmony.symbol import ChordSymbol

Style = Literal["close", "shells", "guide-tones", "rootless"]
"""All tones within an octave; root, 3rd and 7th; 3rd and 7th; from the 3rd or the 7th with tensions."""

Aim = Literal["major", "minor", "substitute", "plain"]
"""Where a chord goes, as far as its tensions care: to a major or a minor chord, or by a half step down
(a tritone substitute) or a whole step up (bVII7 home). `plain` adds no tension to what is written."""

Family = Literal["major", "minor", "dominant", "suspended"]
"""Chords that take tensions alike. Triads, diminished and half-diminished chords take none."""

Tone = tuple[int, int]
Stack = tuple[Tone, ...]

STYLES: tuple[Style, ...] = ("close", "shells", "guide-tones", "rootless")

MOST_KEYS = 5
"""What one hand plays at most."""

ROOT: Tone = (1, 0)
FIFTH: Tone = (5, 0)


@dataclass(frozen=True, slots=True)
class TensionRow:
    """What stands in for the root and for the perfect fifth where the symbol names nothing there."""

    family: Family
    aim: Aim
    for_root: Tone | None
    for_fifth: Tone | None


TENSIONS: tuple[TensionRow, ...] = (
    TensionRow("major", "major", (9, 0), None),
    TensionRow("major", "minor", (9, 0), None),
    TensionRow("major", "substitute", (9, 0), None),
    TensionRow("minor", "major", (9, 0), None),
    TensionRow("minor", "minor", (9, 0), None),
    TensionRow("minor", "substitute", (9, 0), None),
    TensionRow("dominant", "major", (9, 0), (13, 0)),
    TensionRow("dominant", "minor", (9, -1), (13, -1)),
    TensionRow("dominant", "substitute", (9, 0), (11, 1)),
    TensionRow("suspended", "major", (9, 0), None),
    TensionRow("suspended", "minor", None, None),
    TensionRow("suspended", "substitute", (9, 0), None),
)
"""Common practice, no source; natural 9 and 13 toward major, b9 and b13 toward minor, #11 on substitutes."""

_TENSION_OF = {(row.family, row.aim): (row.for_root, row.for_fifth) for row in TENSIONS}


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
    """What stands in for root and fifth in a rootless voicing: as written, else by family and aim.

    With no aim a dominant goes to major, or to minor where its written b9, b13 or #5 says so.
    """
    parts, kind = anatomy(quality), family(quality)
    written_middle = any(tone != FIFTH for tone in parts.middle)
    if kind is None or aim == "plain":
        return parts.nine, None
    if aim is None:
        dark = bool({(9, -1), (13, -1), (5, 1)} & set(quality.tones)) and (9, 0) not in quality.tones
        aim = "minor" if kind == "dominant" and dark else "major"
    nine, middle = _TENSION_OF[kind, aim]
    fits = parts.nine in (None, nine) or (parts.nine, aim) in (((9, -1), "major"), ((9, 1), "minor"))
    return parts.nine or nine, None if written_middle or not fits else middle


@lru_cache(maxsize=4096)
def allowed_tones(quality: Quality, aim: Aim | None = "plain") -> frozenset[Tone]:
    """The tones that may sound: the chord's own, and the tensions that a rootless voicing adds."""
    return frozenset(quality.tones) | {tone for tone in tensions(quality, aim) if tone is not None}


def bass_tone(symbol: ChordSymbol) -> Tone | None:
    """Which of the chord's tones the written bass is; None where it is none of them."""
    above = (symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12
    return next((tone for tone in symbol.quality.tones if semitones_of(tone) % 12 == above), None)


@lru_cache(maxsize=8192)
def stacks(symbol: ChordSymbol, style: Style, aim: Aim | None = None, with_bass: bool = True) -> tuple[Stack, ...]:
    """The stacks that may voice a chord in the keys, given whether a bass sounds below.

    A third that can be a leading tone, or a seventh, is left to the bass where the bass has it.
    Over a bass other than the root, rootless voicings keep the root. Without a bass, close and shell
    voicings put a written bass that isn't the root lowest.
    """
    parts, bass = anatomy(symbol.quality), bass_tone(symbol)
    if style == "guide-tones":
        pair = _guide_pair(symbol, bass if with_bass or bass is None else ROOT)
        return (pair, pair[::-1])
    inverted = bass != ROOT
    if style == "rootless" and not (inverted and with_bass):
        return _rootless(symbol.quality, aim, with_bass)
    taken = bass if with_bass and bass in ((3, 0), parts.seventh) and bass is not None else None
    rootless_bass = with_bass and not inverted
    if style == "shells":
        found = _shells(parts, taken, rootless_bass and parts.leading_root)
    else:
        found = _close(parts, taken, rootless_bass)
    if with_bass or not inverted:
        return found
    return (_over(bass or foreign_tone(symbol), found[0]),)


def _over(lowest: Tone, tones: Stack) -> Stack:
    """The other tones in close position over the one that is lowest."""
    height = semitones_of(lowest)
    others = {(semitones_of(tone) - height) % 12: tone for tone in tones}
    return (lowest, *(others[above] for above in sorted(others) if above))


def foreign_tone(symbol: ChordSymbol) -> Tone:
    """The written bass as a degree of the chord's root, 1 to 7, altered as it is spelled."""
    up = between(symbol.root, symbol.bass_name)
    return (up.steps + 1, up.semitones - degree_interval(up.steps + 1).semitones)


def _close(parts: Anatomy, taken: Tone | None, root_below: bool) -> tuple[Stack, ...]:
    """All tones within an octave, each one lowest in turn; over its root the ninth stands for the root."""
    tones = (parts.third, *parts.middle, parts.seventh, parts.nine)
    present = [tone for tone in tones if tone is not None and tone != taken]
    if not root_below or (parts.nine is None and not parts.leading_root):
        present.append(ROOT)
    if len(present) > MOST_KEYS:
        present.remove(parts.nine or ROOT)
    if taken is not None and len(present) < 3:
        return _spread_pair(present)
    return rotations(present)


def _shells(parts: Anatomy, taken: Tone | None, drop_root: bool) -> tuple[Stack, ...]:
    """Root, 3rd and 7th, root lowest; an altered fifth stays, and the fifth fills in for what is missing."""
    fifths = [tone for tone in parts.middle if tone[0] == 5]
    guides = [tone for tone in (parts.third, parts.seventh) if tone is not None and tone != taken]
    if drop_root:
        return rotations(guides + fifths)
    kept = [tone for tone in fifths if tone != FIFTH or len(guides) < 2]
    if len(guides) + len(kept) < 2:
        return _spread_pair([ROOT, *guides, *kept])
    rising = sorted({*guides, *kept}, key=lambda tone: semitones_of(tone) % 12)
    return tuple((ROOT, *rising[turn:], *rising[:turn]) for turn in range(len(rising)))


def _spread_pair(pair: list[Tone]) -> tuple[Stack, ...]:
    """Two tones, the lower of them doubled an octave higher, in both orders."""
    if len(pair) < 2:
        return (tuple(pair),)
    first, second = pair[0], pair[1]
    return ((first, second, first), (second, first, second))


def _guide_pair(symbol: ChordSymbol, bass: Tone | None) -> Stack:
    """3rd and 7th; 3rd and 6th; 3rd and 5th of a triad; over a triad's 2nd in the bass, its 5th and root."""
    parts = anatomy(symbol.quality)
    if bass is None and _suspends(symbol):
        return (FIFTH, ROOT)
    fifth = next((tone for tone in parts.middle if tone[0] == 5), FIFTH)
    pair = (parts.third or fifth, parts.seventh or (fifth if parts.third else ROOT))
    if bass is not None and bass in pair and bass in ((3, 0), parts.seventh):
        return tuple(ROOT if tone == bass else tone for tone in pair)
    return pair


def _suspends(symbol: ChordSymbol) -> bool:
    """Whether a major chord stands over its second, and so is the upper part of a suspended dominant."""
    above = (symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12
    major = {(3, 0), FIFTH} <= set(symbol.quality.tones) and symbol.quality.seventh != "minor"
    return above == 2 and major


def _rootless(quality: Quality, aim: Aim | None, with_bass: bool) -> tuple[Stack, ...]:
    """From the 3rd and from the 7th; where no ninth may stand for the root, it stays."""
    parts = anatomy(quality)
    nine, middle = tensions(quality, aim)
    middles = parts.middle if middle is None else (middle,)
    tones = [tone for tone in (parts.third, *middles, parts.seventh) if tone is not None]
    if nine is not None:
        tones.append(nine)
    if (nine is None or parts.seventh is None) and not (with_bass and parts.leading_root):
        tones.append(ROOT)
    if parts.seventh is None:
        return rotations(tones)
    starts = (parts.third, parts.seventh)
    return tuple(stack for stack in rotations(tones) if stack[0] in starts)


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
