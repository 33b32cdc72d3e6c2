"""Open positions: drop-2, spread and fourths, as stacks of tones by degree.

Common practice, no source: the second voice from the top an octave lower; root and 7th or root and
tenth below, tensions on top; fourths with one third at most, the five-voice form for minor 7ths with
its third on top. No two keys lie a minor ninth apart, unless the lower is the root of a chord with a b9.
"""

from collections.abc import Sequence
from itertools import pairwise, permutations

from trainer.harmony.quality import Quality
from trainer.voicing.chord_tones import (
    FIFTH,
    ROOT,
    Aim,
    Stack,
    Tone,
    anatomy,
    fourths_tensions,
    offsets,
    rotations,
    tensions,
)

OPEN_KEYS = 4
"""Voices of drop-2 and spread at most."""

_MINOR_NINTH = 13

WIDE = range(5, 12)
"""Half steps between the lowest keys of a spread voicing: a fourth to a 7th."""
CLOSER = range(2, 8)
"""Half steps between the keys above them: at most a fifth."""

FOURTHS: tuple[tuple[int, ...], ...] = (
    (1, 4, 7, 3, 5),
    (1, 4, 7, 3),
    (4, 7, 3, 5),
    (5, 1, 4, 7),
    (9, 5, 1, 4, 7),
    (1, 4, 7, 9, 5),
    (1, 4, 7, 9),
    (4, 7, 9, 5),
    (7, 3, 13, 9),
    (7, 3, 13, 9, 5),
    (3, 13, 9, 5, 7),
    (3, 6, 9, 5),
    (3, 6, 9, 5, 1),
)
"""Degrees from the lowest up; 4 is an 11th where there is a third. A chord takes those it has the tones for:
minor 7ths the first three, suspended ones the next five, major 7ths and dominants the next three, 6ths the last two."""

_PLACE = {11: 4, 2: 9}
"""Degrees that stand where another one is meant in the table of fourths."""
_A_FOURTH, _A_THIRD = (5, 6), (3, 4)


def drop_two(tones: Sequence[Tone]) -> tuple[Stack, ...]:
    """Each close position of three or four tones with its second voice from the top an octave lower."""
    found = [
        stack if len(stack) < 3 else (stack[-2], *stack[:-2], stack[-1])
        for stack in rotations(at_most(list(tones), OPEN_KEYS))
    ]
    clear = tuple(stack for stack in found if not _rubs(stack))
    return clear or tuple(found)


def at_most(tones: list[Tone], count: int) -> list[Tone]:
    """So many tones at most: the fifth goes first, then the root, then what was named last."""
    for tone in (FIFTH, ROOT):
        if len(tones) > count and tone in tones:
            tones.remove(tone)
    return tones[:count]


def _rubs(stack: Stack) -> bool:
    """Whether two keys lie a minor ninth apart that is not the chord's own b9 over its root."""
    heights = offsets(stack)
    return any(
        heights[upper] - heights[lower] == _MINOR_NINTH and (stack[lower], stack[upper]) != (ROOT, (9, -1))
        for lower in range(len(stack))
        for upper in range(lower + 1, len(stack))
    )


def spread(quality: Quality, tones: Sequence[Tone], rooted: bool) -> tuple[Stack, ...]:
    """Third and seventh wide apart in either order, or over the root where `rooted`, the other tones closer above.

    `tones` are what the keys play. Where one of the guide tones is missing,
    or no more than one order fits, drop-2 is there too.
    """
    parts = anatomy(quality)
    guides = (parts.third, parts.seventh)
    third, seventh = guides
    if third is None or seventh is None or third not in tones or seventh not in tones:
        return drop_two(tones)
    others = [tone for tone in tones if tone not in guides and not (rooted and tone == ROOT)]
    upper = at_most(others, OPEN_KEYS - len(guides) - rooted)
    found = [
        (*low, *top)
        for low in _lowest(third, seventh, upper, rooted)
        for top in permutations([tone for tone in upper if tone not in low])
    ]
    fitting = tuple(stack for stack in found if _is_spread(stack, rooted) and not _rubs(stack))
    return fitting if len(fitting) > 1 else tuple(dict.fromkeys(fitting + drop_two(tones)))


def _lowest(third: Tone, seventh: Tone, upper: Sequence[Tone], rooted: bool) -> tuple[Stack, ...]:
    """The wide part: both orders of the guide tones, or root and 7th, or root, 5th and tenth with the 7th above."""
    if not rooted:
        return ((seventh, third), (third, seventh))
    fifths = [tone for tone in upper if tone[0] == 5]
    return ((ROOT, seventh, third), *((ROOT, fifth, third, seventh) for fifth in fifths))


def _is_spread(stack: Stack, rooted: bool) -> bool:
    gaps = gaps_of(stack)
    wide, closer = (gaps[:2], gaps[2:]) if rooted else (gaps[:1], gaps[1:])
    return all(gap in WIDE for gap in wide) and all(gap in CLOSER for gap in closer)


def gaps_of(stack: Stack) -> tuple[int, ...]:
    """Half steps between neighbours of a stack, from the lowest up."""
    heights = offsets(stack)
    return tuple(high - low for low, high in pairwise(heights))


def in_fourths(quality: Quality, aim: Aim | None, needed: frozenset[Tone], no_root: bool) -> tuple[Stack, ...]:
    """The stacks in fourths that a chord has the tones for, with all that is needed; `no_root` keeps the root out."""
    parts = anatomy(quality)
    nine, _ = tensions(quality, aim)
    own = [tone for tone in quality.tones if tone[0] == 5][:1]
    given = (ROOT, *own, *fourths_tensions(quality, aim), *parts.middle, parts.third, parts.seventh, nine)
    by_degree = {_PLACE.get(tone[0], tone[0]): tone for tone in given if tone is not None}
    found = []
    for degrees in FOURTHS:
        if all(degree in by_degree for degree in degrees):
            stack = tuple(by_degree[degree] for degree in degrees)
            fits = needed <= set(stack) and not (no_root and ROOT in stack) and not {FIFTH, (13, -1)} <= set(stack)
            if fits and _is_fourths(stack) and not _rubs(stack):
                found.append(stack)
    return tuple(found)


def _is_fourths(stack: Stack) -> bool:
    gaps = gaps_of(stack)
    thirds = sum(gap in _A_THIRD for gap in gaps)
    return thirds <= 1 and thirds + sum(gap in _A_FOURTH for gap in gaps) == len(gaps)
