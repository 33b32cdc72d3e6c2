"""Voice leading: of all placements of a passage, the ones that move least in all.

The bass is led first, then the keys above it, each exactly (dynamic programming over every
placement of every chord). Least motion is counted in half steps, summed over the voices. Going
before it: where roots fall a fifth, a 7th falls by step to the 3rd. Going after it, on ties: a
register near the middle. Pitches here are MIDI numbers; they are spelled again on the way out.

Low-interval limits are those of Pease & Pullig, Modern Jazz Voicings, 2001, from memory.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import TypeVar

from trainer.harmony.interval import degree_interval, transposed
from trainer.harmony.pitch import NoteName, Pitch, pitch_at_or_above
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass
from trainer.voicing.aims import aims_of
from trainer.voicing.chord_tones import Aim, Stack, offsets
from trainer.voicing.shapes import stacks
from trainer.voicing.styles import BASS_REGISTER, STYLE, Register, Style

C = TypeVar("C")
"""A choice: one of the ways to play one chord."""

LOW_LIMITS: Mapping[int, int] = MappingProxyType(
    {1: 52, 2: 51, 3: 48, 4: 46, 5: 46, 6: 47, 7: 34, 8: 41, 9: 41, 10: 41, 11: 41} | {13: 40, 14: 39, 15: 36, 16: 34}
)
"""By half steps of an interval: the lowest MIDI number of its lower note. An octave may lie anywhere."""

HALF_STEP_ON_TOP = 3
"""What a half step between the two highest voices costs, in half steps of motion."""

SEVENTH_ASTRAY = 10**6
"""What a 7th that doesn't fall to the next 3rd costs in half steps: more than any passage moves."""

_MOTION = 10**6
"""Weight of a half step of motion against the half step of register that decides on ties."""

REGISTERS: Mapping[Style, Register] = MappingProxyType({style: row.register for style, row in STYLE.items()})
"""Where the keys play."""


@dataclass(frozen=True, slots=True)
class VoicedChord:
    """A chord as it is played."""

    symbol: ChordSymbol
    bass: Pitch | None
    keys: tuple[Pitch, ...]
    """From the lowest up."""
    stack: Stack
    """What each key is of the chord, by degree, in the same order."""

    @property
    def midi(self) -> tuple[int, ...]:
        """All that sounds, from the lowest up."""
        bass = () if self.bass is None else (self.bass.midi,)
        return (*bass, *(pitch.midi for pitch in self.keys))


@dataclass(frozen=True, slots=True)
class Placement:
    """One way to put one chord on the keys."""

    keys: tuple[int, ...]
    stack: Stack
    root: int
    """Pitch class."""
    register_cost: int
    third: int | None
    seventh: int | None
    """Where 3rd and 7th stand, for the 7th's fall; None where there is none that has to fall."""


def muddy(low: int, high: int) -> bool:
    """Whether an interval lies below its low-interval limit."""
    return low < LOW_LIMITS.get(high - low, 0)


def placements(
    symbol: ChordSymbol, shapes: Sequence[Stack], register: Register, bass: int | None = None
) -> tuple[Placement, ...]:
    """Every placement of some stacks in a register, above the bass and clear of the low-interval limits.

    Where none is clear, the register is opened upward until one is.
    """
    for more in range(0, 25, 4):
        opened = replace(register, high=register.high + more)
        found = _placements(symbol.root.pitch_class, tuple(shapes), opened, bass)
        if found:
            return found
    raise AssertionError("two octaves higher every interval is clear")


@lru_cache(maxsize=8192)
def _placements(root: int, shapes: tuple[Stack, ...], register: Register, bass: int | None) -> tuple[Placement, ...]:
    found = []
    for stack in shapes:
        heights = offsets(stack)
        first = register.low + (root + heights[0] - register.low) % 12 - heights[0]
        for base in range(first, register.high - heights[-1] + 1, 12):
            keys = tuple(base + height for height in heights)
            if _clear(keys, bass):
                hole = keys[0] - bass - register.over_bass if bass is not None and register.over_bass else 0
                found.append(_placed(keys, stack, root, register.middle, max(0, hole)))
    return tuple(found)


def _clear(keys: tuple[int, ...], bass: int | None) -> bool:
    sounding = keys if bass is None else (bass, *keys)
    return (bass is None or bass < keys[0]) and not any(
        muddy(low, high) for index, low in enumerate(sounding) for high in sounding[index + 1 :] if low < 52
    )


def _placed(keys: tuple[int, ...], stack: Stack, root: int, middle: int, hole: int) -> Placement:
    third = next((key for key, tone in zip(keys, stack, strict=True) if tone[0] == 3), None)
    falling = ((7, -1), (7, 0))
    seventh = next((key for key, tone in zip(keys, stack, strict=True) if tone in falling), None)
    tight = len(keys) > 2 and keys[-1] - keys[-2] == 1
    away = abs(sum(keys) - middle * len(keys)) // len(keys)
    register_cost = away + (HALF_STEP_ON_TOP * tight + hole) * _MOTION
    return Placement(keys, stack, root, register_cost, third, seventh)


def motion(before: tuple[int, ...], after: tuple[int, ...]) -> int:
    """Half steps that the voices of two chords move in all, the cheapest way round.

    With as many voices on both sides they keep their order; otherwise voices part or meet, in order.
    """
    if len(before) == len(after):
        return sum(map(abs, map(int.__sub__, before, after)))
    return _parting_motion(before, after)


@lru_cache(maxsize=16384)
def _parting_motion(before: tuple[int, ...], after: tuple[int, ...]) -> int:
    few, many = sorted((before, after), key=len)
    costs = [0] + [10**9] * len(few)
    for index, voice in enumerate(many):
        row = [10**9]
        for place, other in enumerate(few, start=1):
            held = costs[place] if index else 10**9
            row.append(min(costs[place - 1], held) + abs(voice - other))
        costs = row
    return costs[-1]


def step_cost(before: Placement, after: Placement) -> int:
    """What it costs to go from one placement to the next."""
    cost = motion(before.keys, after.keys) * _MOTION
    if before.seventh is None or after.third is None or (before.root - after.root) % 12 != 7:
        return cost
    falls = 1 <= before.seventh - after.third <= 3
    return cost if falls else cost + SEVENTH_ASTRAY * _MOTION


def passage_cost(passage: Sequence[Placement]) -> int:
    """What a whole passage costs: the sum that `voice` makes least."""
    local = sum(placement.register_cost for placement in passage)
    return local + sum(map(step_cost, passage, passage[1:]))


def least_path(
    layers: Sequence[Sequence[C]], own_cost: Callable[[C], int], cost_between: Callable[[C, C], int]
) -> tuple[C, ...]:
    """The cheapest choice of one of each layer, exactly; of equals the first."""
    if not layers:
        return ()
    costs = [own_cost(choice) for choice in layers[0]]
    origins: list[list[int]] = []
    known: dict[tuple[int, int], list[list[int]]] = {}
    for before, after in pairwise(layers):
        # repeated stretches of a tune share their layers, so their tables too
        table = known.get((id(before), id(after)))
        if table is None:
            table = [[cost_between(one, other) for one in before] for other in after]
            known[id(before), id(after)] = table
        origin, reached = [], []
        for choice, row in zip(after, table, strict=True):
            sums = list(map(int.__add__, costs, row))
            least = min(sums)
            origin.append(sums.index(least))
            reached.append(least + own_cost(choice))
        origins.append(origin)
        costs = reached
    index = costs.index(min(costs))
    path = [layers[-1][index]]
    for layer, origin in zip(reversed(layers[:-1]), reversed(origins), strict=True):
        index = origin[index]
        path.append(layer[index])
    return tuple(reversed(path))


def lead_bass(symbols: Sequence[ChordSymbol], register: Register = BASS_REGISTER) -> tuple[Pitch, ...]:
    """The bass of a passage: each chord's root or written bass, moving as little as possible in all."""
    layers = [_bass_choices(symbol.bass_name.pitch_class, register) for symbol in symbols]
    line = least_path(
        layers,
        own_cost=lambda midi: abs(midi - register.middle),
        cost_between=lambda one, other: abs(one - other) * _MOTION,
    )
    return tuple(spelled(symbol.bass_name, midi) for symbol, midi in zip(symbols, line, strict=True))


@lru_cache(maxsize=64)
def _bass_choices(pitch_class: int, register: Register) -> tuple[int, ...]:
    return tuple(range(register.low + (pitch_class - register.low) % 12, register.high + 1, 12))


def voice(
    symbols: Sequence[ChordSymbol],
    style: Style,
    with_bass: bool = True,
    aims: Sequence[Aim | None] | None = None,
    register: Register | None = None,
    start_on: int | None = None,
) -> tuple[VoicedChord, ...]:
    """Voice a passage with the least motion in all.

    `aims` says where each chord goes (None: taken from the chords around it). `start_on` is the degree
    wanted lowest in the first chord, 3 or 7 for the two rootless forms; a sixth counts as a seventh.
    It is let go where no placement has it.
    """
    basses = lead_bass(symbols) if with_bass else (None,) * len(symbols)
    where = register or REGISTERS[style]
    aims = aims_of(symbols) if aims is None else aims
    layers = [
        placements(symbol, stacks(symbol, style, aim, with_bass), where, None if bass is None else bass.midi)
        for symbol, aim, bass in zip(symbols, aims, basses, strict=True)
    ]
    if layers and start_on is not None:
        wanted = (start_on,) if start_on != 7 else (7, 6)
        layers[0] = tuple(one for one in layers[0] if one.stack[0][0] in wanted) or layers[0]
    path = least_path(layers, own_cost=lambda placement: placement.register_cost, cost_between=step_cost)
    return tuple(
        VoicedChord(symbol, bass, _spelled_keys(symbol.root, placement), placement.stack)
        for symbol, bass, placement in zip(symbols, basses, path, strict=True)
    )


def _spelled_keys(root: NoteName, placement: Placement) -> tuple[Pitch, ...]:
    names = (transposed(root, degree_interval(*tone)) for tone in placement.stack)
    return tuple(spelled(name, midi) for name, midi in zip(names, placement.keys, strict=True))


def spelled(name: NoteName, midi: int) -> Pitch:
    """The pitch of that name that sounds at a MIDI number."""
    return pitch_at_or_above(name, midi)
