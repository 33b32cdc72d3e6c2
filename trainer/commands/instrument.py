"""A tune as a transposing instrument reads it: charts are in concert pitch, what is shown is not.

What such an instrument reads lies above what sounds: a whole step in Bb, a major sixth in Eb, a fifth in F;
only names are transposed, so the octave plays no part (common practice, no source).
"""

from typing import Literal

from trainer.charts.timeline import Timeline
from trainer.charts.transpose import WrittenPlace, transposed_timeline
from trainer.harmony.key import Key
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis

Instrument = Literal["C", "Bb", "Eb", "F"]

INSTRUMENTS: dict[Instrument, tuple[int, str]] = {
    "C": (0, "as it sounds"),
    "Bb": (2, "a whole step above the sound"),
    "Eb": (9, "a major sixth above the sound"),
    "F": (7, "a fifth above the sound"),
}
"""For each kind of instrument the half steps it reads above concert pitch, and how that is said."""


def instrument_told(instrument: Instrument) -> str:
    """A line that says what is transposed; empty for concert pitch."""
    semitones, told = INSTRUMENTS[instrument]
    if not semitones:
        return ""
    return f"Written for an instrument in {instrument}, {told}; the chart and pins stay in concert pitch."


def written_for(instrument: Instrument, timeline: Timeline, analysis: Analysis) -> tuple[Timeline, Analysis]:
    """A tune and its reading as an instrument reads them, spelled by the centers of the reading."""
    semitones, _ = INSTRUMENTS[instrument]
    if not semitones:
        return timeline, analysis
    moved = transposed_timeline(timeline, semitones, centers_of(analysis))
    return moved, analyze(moved)


def centers_of(analysis: Analysis) -> dict[WrittenPlace, Key]:
    """The key center that each written chord is heard in when it is first played."""
    centers: dict[WrittenPlace, Key] = {}
    for chord in analysis.chords:
        if chord.center is not None:
            centers.setdefault((chord.span.written_bar, chord.span.at), chord.center)
    return centers
