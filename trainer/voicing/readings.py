"""Two readings of the same bars, one after the other: the key centers as each has them, then the chords.

What is played is the same music twice; the ear is given the centers first, so that it hears the bars
in them, and dominants take the tensions that each reading gives them.
"""

from collections.abc import Sequence
from fractions import Fraction

from trainer.charts.timeline import Timeline
from trainer.reading.values import Analysis, ChordReading
from trainer.voicing.material import Move, RouteAs, centers_of, key_mover, material_of
from trainer.voicing.patterns import BassFeel, Comping, quarter_tempo
from trainer.voicing.performance import joined
from trainer.voicing.sheet import Performance
from trainer.voicing.styles import Style
from trainer.voicing.tune import Manner, perform_material

READING, RIVAL = "reading", "rival"
"""Roles of what is played; each reading's key centers have its role with `KEYS` behind it."""
KEYS = "'s keys"

_BREATH_S = 0.3
"""Silence, at least, between the centers and the bars."""
_REST_S = 0.8
"""And between the readings."""


def differing_bars(first: Analysis, second: Analysis) -> tuple[int, int]:
    """The longest stretch of played bars in a row in which two readings of a tune differ, both ends included.

    They differ where a chord has another center, degree or function. ValueError: they are not of the same
    chords, or they agree everywhere.
    """
    if len(first.chords) != len(second.chords):
        raise ValueError(f"readings of {len(first.chords)} and of {len(second.chords)} chords are not of the same tune")
    found = sorted(
        {one.span.bar for one, other in zip(first.chords, second.chords, strict=True) if _differ(one, other)}
    )
    if not found:
        raise ValueError("the two readings agree in every bar")
    runs: list[tuple[int, int]] = []
    for bar in found:
        if runs and bar == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], bar)
        else:
            runs.append((bar, bar))
    return max(runs, key=lambda run: run[1] - run[0])


def _differ(one: ChordReading, other: ChordReading) -> bool:
    return (one.center, one.numeral, one.function) != (other.center, other.numeral, other.function)


def perform_readings(
    timeline: Timeline,
    first: Analysis,
    second: Analysis,
    bars: tuple[int, int] | None = None,
    tempo: Fraction | float | None = None,
    *,
    told_as: RouteAs = "cadence",
    style: Style = "rootless",
    comping: Comping = "held",
    bass_feel: BassFeel = "held",
    swing: Fraction | None = None,
    transpose: Move = None,
    functions: tuple[Sequence[str], Sequence[str]] = ((), ()),
    seed: int | None = None,
) -> Performance:
    """Play a stretch of a tune as one reading has it, then as its rival has it.

    Each time the stretch's key centers come first, by cadence or tonic, two bars each. `bars` None is
    where the readings differ for longest. Markers of kind `role` say `reading` and `rival`, those of kind
    `center` the keys; `functions` are each reading's, one text for each span of the timeline. ValueError: the
    tune has no such bars, or the readings agree everywhere or are of other tunes.
    """
    wanted = differing_bars(first, second) if bars is None else bars
    moved = key_mover(timeline, transpose)
    qpm = quarter_tempo(timeline.tempo if tempo is None else tempo, timeline.bars[0].meter)
    swung = timeline.swing if swing is None else Fraction(swing)
    parts: list[Performance] = []
    for role, analysis, marked in zip((READING, RIVAL), (first, second), functions, strict=True):
        material = material_of(timeline, analysis, wanted, transpose)
        centers = centers_of(material, analysis, moved, told_as)
        keys = Manner(style, comping="held", bass_feel="held", role=role + KEYS)
        manner = Manner(style, comping=comping, bass_feel=bass_feel, role=role)
        played = perform_material([material], manner, qpm, swung, False, timeline.title, marked, seed)
        if centers.bars:
            before = perform_material([centers], keys, qpm, swung, False, timeline.title, (), seed)
            played = joined(before, played, _BREATH_S)
        parts.append(played)
    one, other = parts
    return joined(one, other, _REST_S)
