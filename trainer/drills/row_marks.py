"""Marking a row of degrees, chord by chord: which rule of the table fits what was heard against what was right."""

from collections.abc import Sequence

from trainer.drills.heard import HeardChord, color, read_chord_heard, same_color
from trainer.drills.mark import MarkedPart, part
from trainer.drills.question import Question, Row
from trainer.harmony.key import Mode
from trainer.harmony.numeral import Numeral, parse_numeral
from trainer.harmony.pitch import NoteName
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.heard import heard as heard_as

_SAME_FUNCTION: dict[Mode, tuple[frozenset[int], ...]] = {
    "major": (
        frozenset({0, 4}), frozenset({0, 9}), frozenset({2, 5}), frozenset({7, 11}), frozenset({5, 10}),
    ),
    "minor": (
        frozenset({0, 3}), frozenset({0, 8}), frozenset({2, 5}), frozenset({5, 8}), frozenset({7, 11}),
        frozenset({5, 10}),
    ),
}  # fmt: skip
"""Degrees that stand in for one another, as half steps above the tonic (common practice, no source)."""


def given_by(row: Row) -> tuple[HeardChord, ...]:
    """A choice as an answer: every degree with its quality."""
    return tuple(
        HeardChord(text, (numeral.degree,), frozenset({color(numeral.quality)}))
        for text in row
        for numeral in (parse_numeral(text),)
    )


def credit_of(parts: Sequence[MarkedPart]) -> float:
    """What some parts are worth together."""
    return sum(one.credit * one.weight for one in parts)


def parts(
    question: Question, given: Sequence[HeardChord], right: Row, picks: tuple[Numeral, ...] | None
) -> tuple[MarkedPart, ...]:
    """The parts of an answer against one accepted row; `picks` are the chords of a choice."""
    numerals = [_as_numeral(text) for text in right]
    offsets = {
        (chord.degrees[0].semitones - numeral.degree.semitones) % 12 if chord.degrees else None
        for chord, numeral in zip(given, numerals, strict=True)
    }
    shift = next(iter(offsets)) if len(offsets) == 1 else None
    parts = []
    for place, (chord, numeral, weight) in enumerate(zip(given, numerals, _weights(question), strict=True)):
        rule = chord_rule(question.key.mode, chord, numeral, shift)
        if rule == "right" and picks is not None and not _same_kind(picks[place], numeral):
            rule = "other-quality"
        parts.append(part(question.fields[place], rule, chord.text, right[place], weight))
    return tuple(parts)


def _same_kind(one: Numeral, other: Numeral) -> bool:
    """Whether two chords on one degree can do the same."""
    root = NoteName("C")
    return heard_as(ChordSymbol(root, one.quality)).kind == heard_as(ChordSymbol(root, other.quality)).kind


def _weights(question: Question) -> tuple[float, ...]:
    """What all choices share shows nothing."""
    if question.choices is None:
        return (1.0,) * len(question.blanks)
    return tuple(float(len(set(column)) > 1) for column in zip(*question.choices, strict=True))


def _as_numeral(text: str) -> Numeral:
    """A row's chord as a degree of the key, an applied one as its root."""
    chord = read_chord_heard(text)
    head, _, under = text.rpartition("/")
    if chord is not None and head and under[-1:].isalpha():
        return Numeral(chord.degrees[0], parse_numeral(head).quality)
    return parse_numeral(text)


def chord_rule(mode: Mode, chord: HeardChord, right: Numeral, shift: int | None) -> str:
    """Which rule fits one chord; the first of the table that does."""
    if not chord.degrees:
        return "left-out"
    target = right.degree.semitones
    if any(degree.semitones == target for degree in chord.degrees):
        fits = chord.colors is None or same_color(chord.colors, right.quality)
        return "right" if fits else "other-quality"
    typed = chord.degrees[0]
    up = (typed.semitones - target) % 12
    dominant = right.quality.dominant or color(right.quality) in ("diminished", "augmented")
    if dominant and up == 6:
        return "substitute"
    diminished = color(right.quality) == "diminished"
    # The leading tone's chord stands for the dominant of home alone; elsewhere a third apart is another chord.
    if (right.quality.dominant and target == 7 and up == 4) or (diminished and target == 11 and up == 8):
        return "same-dominant"
    if shift == (9 if mode == "minor" else 3):
        return "relative-key"
    if frozenset({typed.semitones, target}) in _SAME_FUNCTION[mode]:
        return "same-function"
    if typed.number == right.degree.number:
        return "inflection"
    return "other-tonic" if shift is not None and shift != 0 else "missed"
