"""What every reading of every chart has, whatever the chart: asked by the properties and by the fuzzer."""

import json
import math

from trainer.charts.timeline import Timeline
from trainer.reading.json_form import analysis_text
from trainer.reading.values import Analysis, ChordReading

SHARES_WITHIN = 1e-9


def faults_of(analysis: Analysis, timeline: Timeline) -> list[str]:
    """What a reading lacks, in words; empty for a whole one."""
    faults = []
    if [chord.span for chord in analysis.chords] != list(timeline.spans):
        faults.append("the chords are not those of the timeline")
    for number, chord in enumerate(analysis.chords):
        faults += [f"chord {number}: {fault}" for fault in _of_chord(chord)]
    sounds = any(span.symbol is not None for span in timeline.spans)
    if sounds != (analysis.home is not None) or sounds != bool(analysis.route):
        faults.append("a home and a route are there where something sounds, and only there")
    count = len(analysis.chords)
    for cadence in analysis.cadences:
        if not cadence.chords or not all(0 <= chord < count for chord in cadence.chords):
            faults.append(f"{cadence.type} of chords {cadence.chords}, of {count}")
        if cadence.within is not None and not 0 <= cadence.within < len(analysis.cadences):
            faults.append(f"{cadence.type} within {cadence.within}, of {len(analysis.cadences)}")
    for one in analysis.interruptions:
        if one.awaited == one.heard or not all(0 <= chord < count for chord in one.chords):
            faults.append(f"{one.heard.name} breaks in on {one.awaited.name} in chords {one.chords}")
    for before, after in zip(analysis.route, analysis.route[1:], strict=False):
        if before.until_chord != after.first_chord or before.center == after.center or after.move is None:
            faults.append(f"the route from {before.center.name} to {after.center.name}")
    written = analysis_text(analysis)
    if "\n" in written or len(json.loads(written)["chords"]) != count:
        faults.append("its JSON is not one line with all chords")
    return faults


def _of_chord(chord: ChordReading) -> list[str]:
    """What one chord lacks."""
    faults = []
    shares = [chord.confidence, *(rival.share for rival in chord.rivals)]
    if not all(0.0 <= share <= 1.0 for share in shares) or not math.isclose(
        1.0, math.fsum(shares), abs_tol=SHARES_WITHIN
    ):
        faults.append(f"shares {shares}")
    if not chord.why or not all(chord.why):
        faults.append("no reason")
    if chord.span.symbol is None:
        if (chord.center, chord.numeral, chord.function, chord.leads_to) != (None, None, "none", None):
            faults.append("silence with a reading")
    elif chord.center is None or chord.numeral is None or chord.function == "none":
        faults.append("a chord without center, numeral or function")
    return faults
