"""The cheapest bass line: what notes and steps cost, and the exact search for the line that costs least.

Costs are common practice, no source: a line moves by step, keeps its direction for a while, has the
chord's tones where the ear wants them, and is led into each new root.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Literal

BassKind = Literal["voiced", "fifth", "root", "pedal", "again", "strong", "weak", "approach", "rest"]
"""What is to be played: the voiced bass as it is, its fifth; in a walking line the root or written bass in any
octave, a bass that stays, a new bar of the same chord, a beat that wants a chord tone, one that doesn't mind, a
note that leads on; or nothing."""

LEAP_COSTS: Mapping[int, int] = MappingProxyType(
    {
        0: 16,  # a note said twice stands still
        1: 0,
        2: 0,  # steps are what a line is made of
        3: 2,
        4: 2,  # so are arpeggios, but scales come first
        5: 4,
        7: 4,  # fourths and fifths stand well on roots
        6: 8,
        8: 9,
        9: 9,
        10: 12,
        11: 14,  # sixths and sevenths are hard to hear as one line
        12: 7,  # an octave is the same note again
    }
)
"""By half steps."""
WIDEST_LEAP_COST = 20
"""For anything beyond an octave."""
TURN_COST = 3
"""Up after down or down after up: a line that keeps its direction goes somewhere."""

PLACE_COSTS: Mapping[tuple[BassKind, str], int] = MappingProxyType(
    {
        ("root", "root"): 0,
        ("pedal", "root"): 0,
        ("again", "root"): 0,
        ("again", "fifth"): 0,
        ("again", "chord"): 1,
        ("again", "scale"): 8,  # a bar wants its chord
        ("strong", "root"): 6,  # said already in this bar
        ("strong", "fifth"): 0,
        ("strong", "chord"): 0,
        ("strong", "scale"): 6,  # the beat where the chord is heard again
        ("weak", "root"): 6,
        ("weak", "fifth"): 0,
        ("weak", "chord"): 0,
        ("weak", "scale"): 1,  # passing
        ("approach", "half step"): 0,  # the strongest pull
        ("approach", "scale step"): 1,  # from the scale that sounds
        ("approach", "whole step"): 4,  # a whole step that the scale hasn't
        ("approach", "fifth above"): 5,  # the next chord's own dominant
    }
)
"""What a note costs, by what the beat wants and what the note is there."""


Choice = tuple[int, int]
"""A MIDI number and what it costs where it stands."""


def leap_cost(before: int, after: int, stays: bool) -> int:
    """What it costs to go from one note to the next; a pedal that stays costs nothing."""
    if before == after and stays:
        return 0
    return LEAP_COSTS.get(abs(after - before), WIDEST_LEAP_COST)


def line_cost(line: Sequence[int], own: Sequence[int], stays: Sequence[bool]) -> int:
    """What a whole line costs: the sum that `least_line` makes least.

    `own` is each note's cost in its place, `stays` says where a note may be said twice.
    """
    cost, direction = sum(own), 0
    for (before, after), stay in zip(pairwise(line), stays[1:], strict=True):
        cost += leap_cost(before, after, stay)
        if after != before:
            now = 1 if after > before else -1
            cost += TURN_COST * (direction == -now)
            direction = now
    return cost


Reached = tuple[int, int, int]
"""The least cost of a line that has come so far, and the place and direction of the note before."""

_NEVER: Reached = (10**9, 0, 0)
_LEAPS = tuple(LEAP_COSTS.get(gap, WIDEST_LEAP_COST) for gap in range(128))


def least_line(layers: Sequence[Sequence[Choice]], stays: Sequence[bool]) -> list[int]:
    """The cheapest line through one choice of each layer, exactly (dynamic programming); layers rise."""
    if not layers:
        return []
    # for each choice, the least cost of a line that reached it going up, and going down
    reached = [(own, own) for _, own in layers[0]]
    origins: list[list[tuple[Reached, Reached]]] = []
    for (before, after), stay in zip(pairwise(layers), stays[1:], strict=True):
        origin = _stepped(before, reached, after, 0 if stay else _LEAPS[0])
        reached = [(up[0], down[0]) for up, down in origin]
        origins.append(origin)
    _, index, direction = min(
        (cost, index, direction) for index, pair in enumerate(reached) for direction, cost in enumerate(pair)
    )
    line = [layers[-1][index][0]]
    for layer, origin in zip(reversed(layers[:-1]), reversed(origins), strict=True):
        _, index, direction = origin[index][direction]
        line.append(layer[index][0])
    return line[::-1]


def _stepped(
    before: Sequence[Choice], reached: Sequence[tuple[int, int]], after: Sequence[Choice], again: int
) -> list[tuple[Reached, Reached]]:
    """One layer on: what each choice costs when it is reached going up, and going down."""
    places = [midi for midi, _ in before]
    # what a line costs that goes on upward, and downward, with the direction it has come in
    rising = [min((up, 0), (down + TURN_COST, 1)) for up, down in reached]
    falling = [min((down, 1), (up + TURN_COST, 0)) for up, down in reached]
    found = []
    for midi, own in after:
        below = bisect_left(places, midi)
        same = below < len(places) and places[below] == midi
        ups = [
            (cost + _LEAPS[midi - place], index, came)
            for index, (place, (cost, came)) in enumerate(zip(places[:below], rising, strict=False))
        ]
        downs = [
            (falling[index][0] + _LEAPS[places[index] - midi], index, falling[index][1])
            for index in range(below + same, len(places))
        ]
        if same:
            ups.append((reached[below][0] + again, below, 0))
            downs.append((reached[below][1] + again, below, 1))
        up, down = min(ups, default=_NEVER), min(downs, default=_NEVER)
        found.append(((up[0] + own, *up[1:]), (down[0] + own, *down[1:])))
    return found
