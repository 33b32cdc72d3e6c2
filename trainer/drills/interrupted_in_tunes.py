"""Interruptions that a tune was read to have, and stretches of it that have none, as questions' chords."""

from dataclasses import replace
from itertools import pairwise
from random import Random

from trainer.drills import material
from trainer.drills.distances import distance_text
from trainer.drills.interrupted import distance_between
from trainer.drills.material import Stretch, TuneMaterial
from trainer.drills.question import Broken
from trainer.drills.rungs import DrillError
from trainer.harmony.cadence import find_cadence
from trainer.harmony.key import Key, simplest_key
from trainer.reading.values import Interruption

_LEAST_CHORDS = 5
_TRIES = 16
_PREFIX = "interrupted-"


def holds_one(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has an interruption of a unit's shape, and a stretch without one."""
    return bool(_interruptions(unit, tune)) and bool(_windows(tune))


def _interruptions(unit: str, tune: TuneMaterial) -> list[Interruption]:
    shape = unit.removeprefix(_PREFIX)
    return [
        one
        for one in tune.analysis.interruptions
        if one.shape == shape and material.fits_phrase(tune, (*one.prepared, *one.chords, *one.resumed))
    ]


def _taken(tune: TuneMaterial) -> frozenset[int]:
    """The spans of every interruption, of what it breaks into and of what comes after."""
    return frozenset(n for one in tune.analysis.interruptions for n in (*one.prepared, *one.chords, *one.resumed))


def _windows(tune: TuneMaterial) -> list[tuple[int, int]]:
    """Where cadences begin and end that have nothing to do with an interruption."""
    taken = _taken(tune)
    return [
        (cadence.chords[0], cadence.chords[-1])
        for cadence in tune.analysis.cadences
        if cadence.complete
        and not cadence.wraps
        and material.fits_phrase(tune, cadence.chords)
        and not taken & set(range(cadence.chords[0], cadence.chords[-1] + 1))
    ]


def _look_alike_in(tune: TuneMaterial, windows: list[tuple[int, int]], rng: Random) -> tuple[int, int, int]:
    """A stretch without an interruption, long enough to hold one: start, end, the cadence's last span."""
    taken = _taken(tune)
    tries = []
    for _ in range(_TRIES):
        first, last = rng.choice(windows)
        start, end = material.around(tune, first, last, rng, taken)
        symbols = [span.symbol for span in tune.timeline.spans[start:end]]
        changes = sum(one != other for one, other in pairwise(symbols))
        tries.append((start, end, last))
        if changes + 1 >= _LEAST_CHORDS:
            return tries[-1]
    return max(tries, key=lambda one: one[1] - one[0])


def from_tune(unit: str, tune: TuneMaterial, key: Key, breaks_in: bool, rng: Random) -> tuple[Stretch, Broken]:
    """A stretch with an interruption of a unit's shape or without any. Raises DrillError where there is none."""
    found, windows = _interruptions(unit, tune), _windows(tune)
    if not found or not windows:
        raise DrillError(f"{tune.id} holds no {find_cadence(unit).name} beside a phrase without one")
    if breaks_in:
        one = rng.choice(found)
        start, end = material.around(tune, one.prepared[0], one.resumed[-1], rng)
        center, asked = one.awaited, one.chords
    else:
        start, end, last = _look_alike_in(tune, windows, rng)
        center_or_none, asked = tune.analysis.chords[last].center, ()
        assert center_or_none is not None
        center = center_or_none
    if center.mode != key.mode:
        key = simplest_key(key.tonic.pitch_class, center.mode)
    stretch = material.tune_stretch(tune, start, end, asked, center, key)
    if not breaks_in:
        names = " ".join(chord.text for chord in stretch.chords)
        return stretch, Broken(
            key, None, False, (), f"Nothing is interrupted in {names}: no preparation was left open."
        )
    foreign = simplest_key(
        key.tonic.pitch_class + one.heard.tonic.pitch_class - center.tonic.pitch_class,
        one.heard.mode,
        key.fifths < 0,
    )
    inside = " ".join(stretch.chords[index].text for index in stretch.blanks)
    story = (
        f"{key.name} is prepared. On chord {stretch.blanks[0] + 1}, {foreign.name} breaks in with {inside},"
        f" {distance_text(distance_between(key, foreign))} from there; then {key.tonic} is taken up again."
    )
    return replace(stretch, blanks=()), Broken(key, foreign, True, stretch.blanks, story)
