"""The same tune told otherwise: in another key, spelled otherwise, in barer symbols, played twice; and its reading.

All of these leave what is heard as good as unchanged, so the reading has to hold.
"""

from collections.abc import Callable
from dataclasses import replace

from trainer.charts.timeline import Timeline
from trainer.harmony.interval import Interval, transposed
from trainer.harmony.pitch import NoteName, simplest_name
from trainer.harmony.quality import Quality
from trainer.harmony.suffix import parse_quality
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis, ChordReading

INTERVALS = tuple(
    Interval(steps, semitones)
    for steps, semitones in (
        (1, 1), (1, 2), (2, 3), (2, 4), (3, 5), (3, 6), (4, 7), (5, 8), (5, 9), (6, 10), (6, 11),
    )
)  # fmt: skip
"""To the eleven other keys."""

ODD_NAMES = {"C": "B#", "F": "E#", "B": "Cb", "E": "Fb"}
"""White keys by their other names."""

Told = tuple[int, str, str, int | None, int]
"""Center (pitch class and mode), function, degree applied to and degree, of one chord."""


def with_symbols(timeline: Timeline, change: Callable[[ChordSymbol], ChordSymbol]) -> Timeline:
    """A timeline in which each chord is told otherwise."""
    spans = []
    for span in timeline.spans:
        symbol = None if span.symbol is None else change(span.symbol)
        spans.append(replace(span, symbol=symbol, written="N.C." if symbol is None else symbol.text))
    return replace(timeline, spans=tuple(spans))


def in_other_key(timeline: Timeline, by: Interval) -> Timeline:
    """A timeline without pins in another key, the printed key too."""
    moved = with_symbols(timeline, lambda symbol: symbol.transposed(by).practical())
    key = timeline.key
    return moved if key is None else replace(moved, key=replace(key, tonic=transposed(key.tonic, by)))


def renamed(timeline: Timeline, name: Callable[[NoteName], NoteName]) -> Timeline:
    """A timeline with other names for its roots and basses."""

    def other(symbol: ChordSymbol) -> ChordSymbol:
        return ChordSymbol(name(symbol.root), symbol.quality, None if symbol.bass is None else name(symbol.bass))

    return with_symbols(timeline, other)


def in_flats(note: NoteName) -> NoteName:
    """A note's name with a flat where it is a black key."""
    return simplest_name(note.pitch_class, True)


def in_sharps(note: NoteName) -> NoteName:
    """A note's name with a sharp where it is a black key."""
    return simplest_name(note.pitch_class, False)


def oddly(note: NoteName) -> NoteName:
    """A note by a name that nobody expects."""
    plain = simplest_name(note.pitch_class, True)
    odd = ODD_NAMES.get(str(plain))
    return in_sharps(note) if odd is None else NoteName(odd[0], 1 if odd[1] == "#" else -1)


RESPELLINGS: dict[str, Callable[[NoteName], NoteName]] = {"flats": in_flats, "sharps": in_sharps, "odd names": oddly}


def sixths(quality: Quality) -> Quality:
    """No tensions, and a sixth for each major seventh: Cmaj9 C6, GmMaj7 Gm6; the rest as in `bare`."""
    plain = bare(quality)
    if quality.third is not None and plain.id in ("maj", "m") and (quality.seventh == "major" or quality.sixth):
        return parse_quality(plain.spelling + "6")
    return plain


def bare(quality: Quality) -> Quality:
    """The least that a player writes: the third, and the seventh where it is minor or diminished.

    Tensions go, and so do altered fifths beside a seventh, major sevenths and sixths: G13b9 and G7#5 become G7,
    Dm9 Dm7, Cmaj9 and C6/9 C, Gm6 and GmMaj7 Gm. The diminished fifth of a minor chord and the augmented triad
    stay, for they make the chord; G9sus4 becomes G7sus4; what else has no third stays as it is.
    """
    if quality.third is None:
        return parse_quality("7sus4") if quality.suspended and quality.seventh == "minor" else quality
    if quality.third == "minor":
        if quality.fifth == "diminished":
            return parse_quality({"minor": "m7b5", "diminished": "dim7"}.get(quality.seventh or "", "dim"))
        return parse_quality("m7" if quality.seventh == "minor" else "m")
    if quality.seventh == "minor":
        return parse_quality("7")
    augmented = quality.fifth == "augmented" and quality.seventh is None
    return parse_quality("aug" if augmented else "")


def in_qualities(timeline: Timeline, change: Callable[[Quality], Quality]) -> Timeline:
    """A timeline with other qualities over the same roots and basses."""
    return with_symbols(timeline, lambda symbol: replace(symbol, quality=change(symbol.quality)))


def twice(timeline: Timeline) -> Timeline:
    """A timeline played twice without a break: two choruses."""
    spans, bars, sections = timeline.spans, timeline.bars, timeline.sections
    more_bars = bars[-1].number + 1 - bars[0].number
    return replace(
        timeline,
        form=timeline.form * 2,
        spans=spans
        + tuple(
            replace(
                span,
                index=span.index + len(spans),
                start=span.start + timeline.quarters,
                bar=span.bar + more_bars,
                section=span.section + len(sections),
            )
            for span in spans
        ),
        bars=bars
        + tuple(
            replace(
                bar,
                number=bar.number + more_bars,
                section=bar.section + len(sections),
                start=bar.start + timeline.quarters,
            )
            for bar in bars
        ),
        sections=sections
        + tuple(
            replace(
                section,
                first_bar=section.first_bar + more_bars,
                until_bar=section.until_bar + more_bars,
                first_span=section.first_span + len(spans),
                until_span=section.until_span + len(spans),
            )
            for section in sections
        ),
    )


def told(chord: ChordReading, by: int = 0) -> Told | None:
    """A chord's reading on pitch classes, so many half steps lower; None for silence."""
    if chord.center is None or chord.numeral is None:
        return None
    applied = None if chord.applied_to is None else chord.applied_to.semitones
    center = (chord.center.tonic.pitch_class - by) % 12
    return center, chord.center.mode, chord.function, applied, chord.numeral.degree.semitones % 12


def all_told(analysis: Analysis, by: int = 0) -> list[Told | None]:
    """Every chord's reading on pitch classes."""
    return [told(chord, by) for chord in analysis.chords]
