"""The voicing shapes: which tones the keys play, by degree, and in which stacks.

A stack names tones from the lowest up, each the nearest one above the one before. The shapes are
common practice; rootless forms from the 3rd and from the 7th as in Levine, The Jazz Piano Book, 1989,
from memory. Open positions are in trainer.voicing.open_shapes, each style's rules in
trainer.voicing.styles.
"""

from collections.abc import Sequence
from functools import lru_cache

from trainer.harmony.interval import between, degree_interval
from trainer.harmony.quality import Quality, semitones_of
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.chord_tones import (
    FIFTH,
    ROOT,
    TENSIONS,
    Aim,
    Anatomy,
    Stack,
    Tone,
    allowed_tones,
    anatomy,
    family,
    offsets,
    rotations,
    tensions,
)
from trainer.voicing.open_shapes import at_most, drop_two, in_fourths, spread
from trainer.voicing.styles import MOST_KEYS, STYLE, STYLES, Style

__all__ = [
    "STYLES",
    "TENSIONS",
    "Aim",
    "Stack",
    "Style",
    "Tone",
    "allowed_tones",
    "anatomy",
    "family",
    "offsets",
    "rotations",
    "stacks",
]


def bass_tone(symbol: ChordSymbol) -> Tone | None:
    """Which of the chord's tones the written bass is; None where it is none of them."""
    above = (symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12
    return next((tone for tone in symbol.quality.tones if semitones_of(tone) % 12 == above), None)


@lru_cache(maxsize=8192)
def stacks(symbol: ChordSymbol, style: Style, aim: Aim | None = None, with_bass: bool = True) -> tuple[Stack, ...]:
    """The stacks that may voice a chord in the keys, given whether a bass sounds below.

    A third that can be a leading tone, or a seventh, is left to the bass where the bass has it.
    Over a bass other than the root, voicings with tensions keep the root; without a bass they keep it too,
    rootless ones aside. Without a bass a written bass that isn't the root is the lowest key, under the
    others in close position.
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
    elif style in ("close", "rootless") or (inverted and not with_bass):
        found = _close(parts, taken, rootless_bass)
    else:
        found = _open(symbol.quality, style, aim, taken, rootless_bass, with_bass)
    if with_bass or not inverted:
        return found
    return (_over(bass or foreign_tone(symbol), at_most(list(found[0]), STYLE[style].most)),)


def _open(
    quality: Quality, style: Style, aim: Aim | None, taken: Tone | None, root_below: bool, with_bass: bool
) -> tuple[Stack, ...]:
    """Open positions: with the tensions of the function over the root, else with what is written."""
    parts = anatomy(quality)
    tones = _rootless_tones(quality, aim, root_below) if root_below else list(_close(parts, taken, False)[0])
    if root_below and parts.seventh == (7, 0) and ROOT in tones:
        tones.remove(ROOT)  # it would rub against the 7th
    if len(set(tones)) < 3:
        return _close(parts, taken, root_below)
    if style == "quartal" and taken is None and parts.third is not None and parts.seventh is not None:
        fourths = in_fourths(quality, aim, _needed_in_fourths(parts, root_below), root_below and parts.leading_root)
        return (
            fourths
            if len(fourths) > 1 and (root_below or not with_bass)
            else tuple(dict.fromkeys(fourths + drop_two(tones)))
        )
    if style == "spread" and taken is None:
        return spread(quality, tones, rooted=not with_bass)
    return drop_two(tones)


def _needed_in_fourths(parts: Anatomy, root_below: bool) -> frozenset[Tone]:
    """Guide tones, altered fifths, written tensions but a natural ninth; the root where the bass hasn't it."""
    needed = {parts.third, parts.seventh, *parts.middle, None if root_below else ROOT}
    if parts.nine is not None and parts.nine[1]:
        needed.add(parts.nine)
    return frozenset(tone for tone in needed if tone is not None and tone != FIFTH)


def _over(lowest: Tone, tones: Sequence[Tone]) -> Stack:
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
    """Two tones in both orders, the lower of them doubled an octave higher if it is no 3rd or 7th."""
    if len(pair) < 2:
        return (tuple(pair),)
    orders = ((pair[0], pair[1]), (pair[1], pair[0]))
    return tuple((low, high, low) if low[0] in (1, 5) else (low, high) for low, high in orders)


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
    tones = _rootless_tones(quality, aim, with_bass)
    if parts.seventh is None:
        return rotations(tones)
    starts = (parts.third, parts.seventh)
    return tuple(stack for stack in rotations(tones) if stack[0] in starts)


def _rootless_tones(quality: Quality, aim: Aim | None, with_bass: bool) -> list[Tone]:
    parts = anatomy(quality)
    nine, middle = tensions(quality, aim)
    middles = parts.middle if middle is None else (middle,)
    tones = [tone for tone in (parts.third, *middles, parts.seventh) if tone is not None]
    if nine is not None:
        tones.append(nine)
    if (nine is None or parts.seventh is None) and not (with_bass and parts.leading_root):
        tones.append(ROOT)
    return tones
