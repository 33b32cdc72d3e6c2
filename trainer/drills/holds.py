"""Whether a question holds what it asks: its chords read as a tune, without knowing the answer."""

from fractions import Fraction
from functools import lru_cache

from trainer.charts.chart import Meter
from trainer.charts.timeline import PlayedBar, PlayedSection, Span, Timeline
from trainer.drills.confirmed_centers import centers_in_turn
from trainer.drills.heard import read_chord_heard
from trainer.drills.question import Question
from trainer.harmony.key import Key
from trainer.harmony.numeral import chord_of_any, parse_any
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis
from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class Holding:
    """How far a reading agrees with a question."""

    functions: bool
    """Every asked chord is the asked degree of the asked key."""
    type: bool
    """The asked type is found over the asked chords; an interruption is found where there is one only."""
    details: bool
    """For interruptions: shape, place and both keys; else the same as `type`."""
    named: tuple[str, ...] = ()
    """The types that are found over just the asked chords, in any key."""
    center: Key | None = None
    """The key that all asked chords are read in; None where they are read in several."""
    awaited: int | None = None
    """The tonic that the last chord leads to, as half steps above C; None where it leads nowhere."""


def analysis_of(question: Question) -> Analysis:
    """How its chords are read as a tune, not knowing the answer; kept, for a question is looked at more than once."""
    return _analysis(
        question.chords, question.beats, question.meter, question.tempo, question.key if question.confirm else None
    )


@lru_cache(maxsize=64)
def _analysis(
    chords: tuple[ChordSymbol, ...], beats: tuple[Fraction, ...], meter: Meter, tempo: Fraction, home: Key | None
) -> Analysis:
    from trainer.reading.analysis import analyze  # the reading loads with the first question that needs it

    return analyze(_timeline(chords, beats, meter, tempo, home))


def timeline_of(question: Question) -> Timeline:
    """The question's chords as a tune of one section, after a bar of its home where the key is given."""
    home = question.key if question.confirm else None
    return _timeline(question.chords, question.beats, question.meter, question.tempo, home)


def _timeline(
    chords: tuple[ChordSymbol, ...], lengths: tuple[Fraction, ...], meter: Meter, tempo: Fraction, given: Key | None
) -> Timeline:
    quarters_of_beat = meter.quarters_of_beat
    spans: list[Span] = []
    bars: dict[int, PlayedBar] = {}
    at = Fraction(0)
    if given is not None:
        home = chord_of_any(parse_any("I6" if given.mode == "major" else "i6"), given)
        chords, lengths = (home, *chords), (Fraction(2 * meter.beats), *lengths)
    for symbol, beats in zip(chords, lengths, strict=True):
        left = beats
        first = True
        while left > 0:
            bar, within = divmod(at, meter.beats)
            size = min(left, meter.beats - within)
            number = int(bar) + 1
            start = at * quarters_of_beat
            spans.append(
                Span(
                    index=len(spans), at=within, start=start, quarters=size * quarters_of_beat, bar=number,
                    beats=size, meter=meter, written_bar=number, section=0, symbol=symbol,
                    continues=not first,
                )
            )  # fmt: skip
            bars.setdefault(
                number,
                PlayedBar(
                    number, number, 0, meter, (number - 1) * meter.beats * quarters_of_beat,
                    meter.beats * quarters_of_beat,
                ),
            )  # fmt: skip
            at, left, first = at + size, left - size, False
    section = PlayedSection(None, 1, len(bars) + 1, 0, len(spans))
    return Timeline(
        title="question", file="-", key=None, tempo=tempo, tempo_given=True, swing=Fraction(1),
        form=(), spans=tuple(spans), bars=tuple(bars[n] for n in sorted(bars)), sections=(section,),
    )  # fmt: skip


HOME_GIVEN = -1
"""The place of the home that stands before a question where the key is given."""


def chord_of_span(analysis: Analysis, question: Question) -> list[int]:
    """Which chord of the question each span belongs to; HOME_GIVEN is the home before it."""
    out: list[int] = []
    before = HOME_GIVEN - 1 if question.confirm else -1
    for reading in analysis.chords:
        before += not reading.span.continues
        out.append(before)
    return out


def holds(question: Question) -> Holding:
    """Read a question's chords and compare."""
    analysis = analysis_of(question)
    chord_of = chord_of_span(analysis, question)
    if question.broken is not None:
        return _holds_interruption(question, analysis, chord_of)
    if question.centers and not question.blanks:
        same = _same_route(question, analysis)
        return Holding(same, same, same)
    if question.centers:
        same = _same_centers(question, analysis, chord_of)
        return Holding(same, same, same)
    tonic = question.key.tonic.pitch_class
    asked = set(question.blanks or question.stretch)
    functions = True
    for reading, chord in zip(analysis.chords, chord_of, strict=True):
        if chord not in asked or reading.span.continues:
            continue
        right = read_chord_heard(question.numerals[chord])
        same_key = reading.center is not None and reading.center.tonic.pitch_class == tonic
        functions &= bool(
            same_key
            and right
            and reading.numeral
            and reading.numeral.degree.semitones in [degree.semitones for degree in right.degrees]
        )
    found = any(
        cadence.type == question.unit
        and cadence.center.tonic.pitch_class == tonic
        and asked <= {chord_of[n] for n in cadence.chords}
        for cadence in analysis.cadences
    )
    named = {
        one.type
        for one in analysis.cadences
        if one.complete and not one.wraps and asked == {chord_of[n] for n in one.chords} - {HOME_GIVEN}
    }
    centers = {one.center for one, chord in zip(analysis.chords, chord_of, strict=True) if chord in asked}
    goal = analysis.chords[-1].leads_to
    return Holding(
        functions, found, found, tuple(sorted(named)), centers.pop() if len(centers) == 1 else None,
        None if goal is None else goal.pitch_class,
    )  # fmt: skip


def _holds_interruption(question: Question, analysis: Analysis, chord_of: list[int]) -> Holding:
    broken = question.broken
    assert broken is not None
    right = bool(analysis.interruptions) == broken.breaks_in
    if not broken.breaks_in or broken.foreign is None:
        return Holding(right, right, right)
    details = any(
        "interrupted-" + one.shape == question.unit
        and one.awaited.tonic.pitch_class == broken.awaited.tonic.pitch_class
        and one.heard.tonic.pitch_class == broken.foreign.tonic.pitch_class
        and tuple(dict.fromkeys(chord_of[n] for n in one.chords)) == broken.chords
        for one in analysis.interruptions
    )
    return Holding(right, right, details)


def _same_route(question: Question, analysis: Analysis) -> bool:
    """Whether the centers that are found are the asked ones, in their order."""
    found = [(step.center.tonic.pitch_class, step.center.mode) for step in analysis.route]
    asked = [(center.tonic.pitch_class, center.mode) for center in centers_in_turn(question.centers)]
    if question.confirm and asked and found and found[0] != asked[0]:
        asked = [(question.key.tonic.pitch_class, question.key.mode), *asked]
    return found == asked


def _same_centers(question: Question, analysis: Analysis, chord_of: list[int]) -> bool:
    """Whether every chord is read in its center and on its degree there."""
    for reading, n in zip(analysis.chords, chord_of, strict=True):
        if n < 0 or reading.span.continues:
            continue
        center, chord = question.centers[n], question.chords[n]
        same = reading.center is not None and reading.center.mode == center.mode
        if not same or reading.center is None or reading.center.tonic.pitch_class != center.tonic.pitch_class:
            return False
        degree = (chord.root.pitch_class - center.tonic.pitch_class) % 12
        if reading.numeral is None or reading.numeral.degree.semitones != degree:
            return False
    return True
