"""The tune in one line: its centers and moves, as one player tells another before counting in.

What leaves home and comes back is one way out; the same way out again is told once. Moves by the
same interval in a row are told together. However long a tune is, the line stays one.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from trainer.charts.timeline import Place
from trainer.harmony.key import Key
from trainer.reading.degrees import target_text
from trainer.reading.route import MOVE_NAMES, short_way
from trainer.reading.values import Analysis, Interruption, RouteStep
from trainer.records import dataclass

WAYS_TOLD = 3
"""So many ways out are told one by one."""
MOVES_TOLD = 5
"""So many moves of a way out are told one by one, those by the same interval counting once."""
BREAKS_TOLD = 2
"""So many interruptions are told one by one."""

_STEPS = {1: "half steps", 2: "whole steps", 3: "minor thirds", 4: "major thirds", 5: "fourths"}


def bars_text(from_: Place, until: Place) -> str:
    """The bars of a half-open stretch: `bar 9`, `bars 9-12`."""
    last = until.bar if until.beat > 1 else until.bar - 1
    return f"bar {from_.bar}" if last <= from_.bar else f"bars {from_.bar}-{last}"


def and_list(words: Sequence[str]) -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    return "".join(words) if len(words) < 2 else f"{', '.join(words[:-1])} and {words[-1]}"


@dataclass(frozen=True, slots=True)
class _Way:
    """A stretch of the route away from home, and all the times it is taken."""

    centers: tuple[Key, ...]
    start: Key | None
    """Where it is left from; None where the tune starts with it."""
    times: tuple[tuple[Place, Place], ...]


def in_one_line(analysis: Analysis) -> str:
    """The whole tune as a player would tell it; always one sentence."""
    home = analysis.home
    if home is None or not analysis.route:
        return "Nothing sounds."
    says = _Names(analysis)
    if len({step.center for step in analysis.route}) == 1:
        told = _one_center(analysis, says)
        if analysis.route[0].center != home.key:
            told += f", though its home is {home.key.name}"
    else:
        told = _many_centers(analysis, home.key, says)
    return told + _breaks(analysis.interruptions, says) + "."


class _Names:
    """Keys as players say them: `Bb`, `G minor`; `Bb major` where the tune has Bb minor too."""

    def __init__(self, analysis: Analysis) -> None:
        keys = {step.center for step in analysis.route} | {one.heard for one in analysis.interruptions}
        keys |= {analysis.home.key} if analysis.home else set()
        minors = {key.tonic.pitch_class for key in keys if key.mode == "minor"}
        self.both = {key.tonic.pitch_class for key in keys if key.mode == "major"} & minors

    def __call__(self, key: Key) -> str:
        plain = key.mode == "major" and key.tonic.pitch_class not in self.both
        return str(key.tonic) if plain else key.name


def _one_center(analysis: Analysis, says: _Names) -> str:
    key = analysis.route[0].center
    told = f"{'A minor blues' if key.mode == 'minor' else 'A blues'} in {key.tonic}"
    if not _is_blues(analysis):
        told = f"All in {key.name}"
    functions = {chord.function for chord in analysis.chords}
    if "dominant" not in functions:
        return told + (", without a dominant" if "plagal" not in functions else ", coming home without dominants")
    degrees: dict[str, int] = {}
    for chord in analysis.chords:
        if chord.function == "dominant" and chord.applied_to is not None and not chord.span.continues:
            degree = target_text(chord.applied_to, key.mode)
            degrees[degree] = degrees.get(degree, 0) + 1
    most = sorted(degrees, key=lambda degree: -degrees[degree])[:5]
    return f"{told}, with dominants of {and_list(most)}" if most else told


def _is_blues(analysis: Analysis) -> bool:
    """Whether its tonic is a dominant seventh at rest, or twelve bars go round to the last four of a minor blues."""
    bars = sum(section.until.bar - max(section.from_.bar, 1) for section in analysis.sections)
    if bars % 12 == 0 and any(cadence.type == "minor-blues-last-four" for cadence in analysis.cadences):
        return True
    return any(
        chord.function == "tonic" and chord.numeral is not None and chord.numeral.degree.semitones == 0
        and chord.numeral.quality.dominant and chord.numeral.quality.third == "major"
        for chord in analysis.chords
    )  # fmt: skip


def _many_centers(analysis: Analysis, home: Key, says: _Names) -> str:
    route = analysis.route
    ways = _ways(route, home)
    if route[0].center == home:
        told = f"Home in {says(home)}"
        phrases = [_way(way, says) for way in ways[:WAYS_TOLD]]
    else:
        first = ways[0].centers[0]
        told = f"Home is {says(home)}, but it starts in {says(first)}"
        phrases = [phrase for way in ways[:WAYS_TOLD] if (phrase := _way(way, says))]
    if len(ways) > WAYS_TOLD:
        more = len(ways) - WAYS_TOLD
        phrases.append(f"{'one more way' if more == 1 else f'{more} more ways'} out")
    last = route[-1].center
    if last != home:
        phrases.append(f"it ends in {says(last)}")
    elif phrases:
        phrases[-1] += ", and home"
    else:
        phrases.append(f"then home in {bars_text(route[-1].from_, route[-1].until)}")
    return "; ".join((told, *phrases))


def _ways(route: Sequence[RouteStep], home: Key) -> list[_Way]:
    """The ways out, in the order they first come, each once."""
    found: dict[tuple[Key | None, tuple[Key, ...]], list[tuple[Place, Place]]] = {}
    start: Key | None = None
    for away, group in groupby(route, key=lambda step: step.center != home):
        steps = list(group)
        if away:
            centers = tuple(step.center for step in steps)
            found.setdefault((start, centers), []).append((steps[0].from_, steps[-1].until))
        start = steps[-1].center
    return [_Way(centers, start, tuple(times)) for (start, centers), times in found.items()]


def _way(way: _Way, says: _Names) -> str:
    """Where a way out leads, by which moves, in which bars; empty where the tune only starts there."""
    centers = way.centers if way.start is None else (way.start, *way.centers)
    moves = list(_moves(centers, says))
    more = len(moves) - MOVES_TOLD
    if more > 0:
        moves = [*moves[:MOVES_TOLD], f"on through {more} more moves to {says(centers[-1])}"]
    if not moves:
        return ""
    if way.start is None:
        return ", ".join(moves)
    return f"{', '.join(moves)} ({_times(way.times)})"


def _moves(centers: Sequence[Key], says: _Names) -> Iterator[str]:
    """Each move, or each row of moves by one interval: "up in minor thirds through A and C to Eb"."""
    steps = [
        (short_way(after.tonic.pitch_class - before.tonic.pitch_class), after) for before, after in pairwise(centers)
    ]
    for interval, group in groupby(steps, key=lambda step: step[0]):
        keys = [key for _, key in group]
        if abs(interval) not in MOVE_NAMES:
            far = "a tritone away " if interval else ""
            yield from (f"{far}to {says(key)}" for key in keys)
            continue
        direction = "up" if interval > 0 else "down"
        if len(keys) == 1:
            yield f"{direction} {MOVE_NAMES[abs(interval)]} to {says(keys[0])}"
        else:
            through = and_list([says(key) for key in keys[:-1]]) if len(keys) <= MOVES_TOLD else f"{len(keys)} keys"
            yield f"{direction} in {_STEPS[abs(interval)]} through {through} to {says(keys[-1])}"


def _times(times: Sequence[tuple[Place, Place]]) -> str:
    if len(times) <= 2:
        words = [bars_text(*time) for time in times]
        return words[0] if len(words) == 1 else f"{words[0]}, again {words[1].partition(' ')[2]}"
    return f"{len(times)} times, first in {bars_text(*times[0])}"


def _breaks(interruptions: Sequence[Interruption], says: _Names) -> str:
    """What breaks in, on what."""
    if not interruptions:
        return ""
    first = f"in bar {interruptions[0].from_.bar}"
    told = [f"{says(one.heard)} breaks in on {says(one.awaited)}" for one in interruptions]
    if len(told) == 1:
        return f"; {first} {told[0]}"
    if len(set(told)) == 1:
        return f"; {len(told)} times {told[0]}, first {first}"
    if len(told) > BREAKS_TOLD:
        return f"; {len(told)} cadences are broken into, first {first}, where {told[0]}"
    return f"; {first} {told[0]}, in bar {interruptions[1].from_.bar} {told[1]}"
