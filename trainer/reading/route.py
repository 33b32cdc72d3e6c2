"""The route: the key centers in order, and how each is left for the next."""

from fractions import Fraction
from typing import Literal

from trainer.charts.timeline import Place, Timeline
from trainer.harmony.key import Key
from trainer.reading.heard import heard
from trainer.reading.values import ChordReading, EnteredBy, Move, RouteStep

MOVE_NAMES = {
    1: "a half step",
    2: "a whole step",
    3: "a minor third",
    4: "a major third",
    5: "a fourth",
}


def move_name(semitones: int, mode_from: str, mode_to: str) -> str:
    """A move as players say it: "up a minor third", "to the parallel minor", "a tritone away"."""
    if semitones == 0:
        return f"to the parallel {mode_to}"
    if semitones == 6:
        name = "a tritone away"
    else:
        name = ("up " if semitones > 0 else "down ") + MOVE_NAMES[abs(semitones)]
    if mode_from != mode_to:
        name += f", to {mode_to}"
    return name


def short_way(semitones: int) -> int:
    """An interval of keys the short way round, -5 to 6."""
    folded = semitones % 12
    return folded - 12 if folded > 6 else folded


def route_of(
    chords: tuple[ChordReading, ...], interrupted: frozenset[int], timeline: Timeline
) -> tuple[RouteStep, ...]:
    """The stretches of one center each; interruptions and silence belong to the stretch around them."""
    stretches: list[tuple[Key, int, int]] = []
    for n, chord in enumerate(chords):
        if chord.center is None or n in interrupted:
            continue
        if stretches and stretches[-1][0] == chord.center:
            stretches[-1] = (chord.center, stretches[-1][1], n + 1)
        else:
            if stretches:
                stretches[-1] = (stretches[-1][0], stretches[-1][1], n)
            stretches.append((chord.center, n, n + 1))
    if stretches:
        stretches[0] = (stretches[0][0], 0, stretches[0][2])
        stretches[-1] = (stretches[-1][0], stretches[-1][1], len(chords))
    out: list[RouteStep] = []
    for center, first, until in stretches:
        move = _move(chords, out[-1], first, center) if out else None
        out.append(RouteStep(center, chords[first].span.place, _end(chords, until, timeline), first, until, move))
    return tuple(out)


def _end(chords: tuple[ChordReading, ...], until: int, timeline: Timeline) -> Place:
    if until < len(chords):
        return chords[until].span.place
    return Place(timeline.bars[-1].number + 1, Fraction(1))


def _move(chords: tuple[ChordReading, ...], before: RouteStep, first: int, center: Key) -> Move:
    old = before.center
    semitones = short_way(center.tonic.pitch_class - old.tonic.pitch_class)
    name = move_name(semitones, old.mode, center.mode)
    return Move(semitones, old.mode, center.mode, _entered(chords, before, first), name)


def _entered(chords: tuple[ChordReading, ...], before: RouteStep, first: int) -> EnteredBy:
    """How the new center is entered, told from its first chord and the one before."""
    chord = chords[first]
    last = next((n for n in range(first - 1, -1, -1) if chords[n].span.symbol is not None), None)
    here, there = chord.span.symbol, chords[last].span.symbol if last is not None else None
    if last is not None and here is not None and there is not None:
        step = (heard(here).root - heard(there).root) % 12
        was_rest = chords[last].function == "tonic"
        if step == 0 and was_rest and chord.function == "predominant":
            return "tonic-turns-minor"
        if step in (1, 11) and chord.function in ("predominant", "dominant") and was_rest:
            return "half-step-slide"
        if chords[last].function == "dominant" and chord.function in ("dominant", "tonic") and step == 5:
            return "dominant-chain"
    entered: dict[str, Literal["own-two", "own-five"]] = {"predominant": "own-two", "dominant": "own-five"}
    if chord.function == "predominant" and not _is_two(chord):
        return "shared-chord"
    return entered.get(chord.function, "direct")


def _is_two(chord: ChordReading) -> bool:
    return chord.numeral is not None and chord.numeral.degree.semitones == 2 and chord.applied_to is None
