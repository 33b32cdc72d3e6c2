"""Name the functions: a progression sounds, its row of blanks is filled chord by chord.

Degrees are counted against the major scale of the key in both modes. A bare degree is a full answer;
a quality that is written is judged too.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.drills import ambiguity, material
from trainer.drills.answer import Answer, read_row, row_accepted
from trainer.drills.cadence_stretch import cadence_stretch
from trainer.drills.choices import offered
from trainer.drills.compare import heard_row
from trainer.drills.heard import HeardChord, same_color
from trainer.drills.mark import Mark, marked
from trainer.drills.material import Stretch, TuneMaterial
from trainer.drills.question import TABLE, Question, Row
from trainer.drills.read_off import second_answers
from trainer.drills.row_marks import credit_of, given_by, parts
from trainer.drills.rungs import Rung, find_rung
from trainer.drills.told_by_ear import degrees_pointed, pointed_answer
from trainer.harmony.cadence import CADENCE, CADENCES, CadenceType, find_cadence
from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import PLAIN_DEGREES, parse_numeral
from trainer.reading.heard import heard as heard_as
from trainer.records import dataclass
from trainer.voicing.leading import voice
from trainer.voicing.performance import Performance
from trainer.voicing.styles import Style

ID = "name-functions"
NAME = "Name the functions"
ABOUT = "A progression sounds; fill its row of blanks, chord by chord."
UNITS: tuple[str, ...] = tuple(row.id for row in CADENCES if not row.shapes)
HOW = "each chord that was asked comes after two single notes, the tonic and the chord's root above it"
"""The answer's sound in a player's words, after the key."""

FREE_GUESS_A_CHORD = 1 / 7
"""A free guess takes one of seven degrees."""
MOST_FREE_GUESS = 0.05

TRIES = 4
"""How often a question that is read otherwise than it is asked is drawn again."""


def trains(unit: str) -> bool:
    """Whether it can train a unit."""
    return unit in UNITS


def mode_of(unit: str) -> Mode:
    """The mode of a unit's key."""
    return find_cadence(unit).mode


def build(
    unit: str,
    rung: int,
    tune: TuneMaterial | None,
    rng: Random,
    *,
    key: Key,
    seed: int,
    against: str | None = None,
) -> Question:
    """Ask for the functions of one cadence type. Raises DrillError where the tune has none of it.

    What is drawn is read without the answer, from its symbols and from its notes; what is read otherwise is drawn
    again, and if that doesn't help, what it is read as is right too.
    """
    for _ in range(1 + TRIES):
        drawn = _drawn(unit, rung, tune, rng, key)
        question = _question(unit, drawn, rng, seed)
        others = second_answers(question)
        if others and not drawn.with_bass:
            question = _question(unit, replace(drawn, with_bass=True), rng, seed)
            others = second_answers(question)
        if not others:
            return question
    return _with_seconds(question, others)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What chance decides of a question, its choices aside."""

    step: Rung
    stretch: Stretch
    style: Style
    start_on: int | None
    tempo: Fraction | int
    with_bass: bool
    material: str


def _drawn(unit: str, rung: int, tune: TuneMaterial | None, rng: Random, key: Key) -> _Drawn:
    cadence, step = find_cadence(unit), find_rung(rung)
    stretch = cadence_stretch(cadence, key, step, tune, rng)
    style, start_on = rng.choice(step.styles), rng.choice((None, 3, 7))
    tempo = stretch.tempo or rng.choice(step.tempos)
    with_bass = step.always_bass or rng.random() < 0.5 or not _determined(stretch, style, start_on)
    return _Drawn(step, stretch, style, start_on, tempo, with_bass, TABLE if tune is None else f"tune:{tune.id}")


def _question(unit: str, drawn: _Drawn, rng: Random, seed: int) -> Question:
    step, stretch = drawn.step, drawn.stretch
    right = tuple(stretch.numerals[index] for index in stretch.blanks)
    sounds = _sounding(stretch, drawn.style, drawn.start_on, drawn.with_bass)
    choices = None
    if step.choices is not None:
        choices = offered(unit, right, stretch.key, sounds, step.choices, rng)
    return Question(
        kind=ID, unit=unit, rung=step.number, seed=seed, prompt=_prompt(stretch, step, choices),
        key=stretch.key, confirm=step.confirmed, tempo=Fraction(drawn.tempo), meter=stretch.meter,
        chords=stretch.chords, beats=stretch.beats, numerals=stretch.numerals, blanks=stretch.blanks,
        fields=tuple(f"chord {index + 1}" for index in stretch.blanks), choices=choices,
        accepted=_accepted(stretch, right, sounds, step),
        explanation=_explanation(find_cadence(unit), stretch, right),
        guess_chance=1 / len(choices) if choices else min(MOST_FREE_GUESS, FREE_GUESS_A_CHORD ** len(right)),
        style=drawn.style, with_bass=drawn.with_bass, start_on=drawn.start_on, material=drawn.material,
    )  # fmt: skip


def _with_seconds(question: Question, others: Sequence[Row]) -> Question:
    """The question with what else it is read as among its right answers."""
    told = "; ".join(" ".join(row) for row in others)
    return replace(
        question,
        accepted=(*question.accepted, *others),
        explanation=f"{question.explanation} Read by itself it is {told} as well, which is right too.",
    )


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has something to ask for a unit."""
    return bool(material.cadences_in(tune, unit))


def _sounding(stretch: Stretch, style: Style, start_on: int | None, bass: bool) -> tuple[ambiguity.Sounding, ...]:
    voiced = voice(stretch.chords, style, bass, start_on=start_on)
    return tuple(ambiguity.sounding([voiced[index] for index in stretch.blanks], style))


def _determined(stretch: Stretch, style: Style, start_on: int | None) -> bool:
    """Whether without a bass the sounding notes leave only one row of degrees."""
    sounds = _sounding(stretch, style, start_on, bass=False)
    chords = [stretch.chords[index] for index in stretch.blanks]
    if any(map(ambiguity.stands_for_substitute, sounds, chords)) or any(chord.bass for chord in chords):
        return False
    right = [parse_numeral(stretch.numerals[index]).degree.semitones for index in stretch.blanks]
    return all(
        [parse_numeral(text).degree.semitones for text in other.numerals] == right
        for other in ambiguity.other_rows(sounds, stretch.key)
    )


def _accepted(stretch: Stretch, right: Row, sounds: Sequence[ambiguity.Sounding], step: Rung) -> tuple[Row, ...]:
    """The row, also with its applied numerals, and rows that the same notes fit in the keys left open."""
    rows = [right, tuple(stretch.written[index] for index in stretch.blanks)]
    rows += _suspended(stretch, right)
    homeless = not step.confirmed and len(stretch.blanks) == len(stretch.chords)
    key = None if homeless else stretch.key
    others = ambiguity.other_rows(sounds, key)
    rows += [other.numerals for other in others if key is not None or CADENCE[other.unit].rests]
    known = {_degrees(right)}
    kept = rows[:2]
    for row in rows[2:]:
        if _degrees(row) not in known:
            known.add(_degrees(row))
            kept.append(row)
    return tuple(dict.fromkeys(kept))


def _suspended(stretch: Stretch, right: Row) -> list[Row]:
    """IV over 5 and ii over 5 are heard as a suspended five."""
    row = list(right)
    for place, index in enumerate(stretch.blanks):
        known = heard_as(stretch.chords[index])
        if known.root != stretch.chords[index].root.pitch_class and known.kind.name == "SUSPENDED":
            degree = PLAIN_DEGREES[(known.root - stretch.key.tonic.pitch_class) % 12]
            row[place] = f"{degree}9sus4"
    return [tuple(row)] if row != list(right) else []


def _degrees(row: Row) -> tuple[int, ...]:
    return tuple(parse_numeral(text).degree.semitones for text in row)


def _prompt(stretch: Stretch, step: Rung, choices: tuple[Row, ...] | None) -> str:
    where = f"The key of {stretch.key.name} is given. " if step.confirmed else "The key is not given. "
    count = len(stretch.blanks)
    if choices:
        return f"{where}{_chords(count)} sound. Which row of functions is it?"
    if count == len(stretch.chords):
        return f"{where}{_chords(count)} sound. Which functions are they? {_row(stretch)}"
    first, last = stretch.blanks[0] + 1, stretch.blanks[-1] + 1
    return (
        f"{where}{_chords(len(stretch.chords))} sound. Which functions are chords {first} to {last},"
        f" counted from the key they are in? {_row(stretch)}"
    )


def _chords(count: int) -> str:
    return "1 chord" if count == 1 else f"{count} chords"


def _row(stretch: Stretch) -> str:
    """The row with its blanks; a dot is a chord that only sounds."""
    return " ".join("_" if index in stretch.blanks else "·" for index in range(len(stretch.chords)))


def _explanation(cadence: CadenceType, stretch: Stretch, right: Row) -> str:
    names = " ".join(stretch.chords[index].text for index in stretch.blanks)
    text = f"{names} is {' '.join(right)} in {stretch.key.name}: {cadence.name}. {cadence.about}"
    for other in cadence.taken_for:
        rows = [row for unit, _, row in ambiguity.table_rows(len(right)) if unit == other]
        near = [row for row in rows if sum(a != b for a, b in zip(row, right, strict=True)) == 1]
        if cadence.degrees:  # toward the same degree
            near = [row for row in near if row[-1] == right[-1]]
        if near:
            at = next(n for n in range(len(right)) if near[0][n] != right[n])
            there = stretch.chords[stretch.blanks[at]].text
            name = CADENCE[other].name
            return f"{text} It is often taken for {name}, which has {near[0][at]} where {there} stood."
    return text


def read(question: Question, text: str) -> Answer:
    """Read an answer. Raises AnswerError."""
    return read_row(question, text)


def accepts(question: Question) -> str:
    """What may be typed as an answer."""
    return row_accepted(question)


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The question as the answer has it."""
    return heard_row(question, answer, helps)


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    return pointed_answer(question, question.key, degrees_pointed(question))


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark an answer, chord by chord."""
    if answer.choice is not None and question.choices is not None:
        row = question.choices[answer.choice]
        given = given_by(row)
    else:
        assert answer.row is not None
        given, row = answer.row, None
    picks = None if row is None else tuple(map(parse_numeral, row))
    best = max((parts(question, given, right, picks) for right in question.accepted), key=credit_of)
    picked_wrong = row is not None and row not in question.accepted
    return marked(
        question, best, picked_wrong=picked_wrong, answer_s=answer_s, sound_s=sound_s, helps=helps,
        taken_for=named_type(question, given),
    )  # fmt: skip


def named_type(question: Question, given: Sequence[HeardChord]) -> str | None:
    """The type of the table that an answer names, where the asked one doesn't fit it."""
    asked: str | None = None
    for unit, mode, row in ambiguity.table_rows(len(given)):
        fits = all(
            chord.degrees
            and chord.degrees[0].semitones == numeral.degree.semitones
            and (chord.colors is None or same_color(chord.colors, numeral.quality))
            for chord, numeral in zip(given, map(parse_numeral, row), strict=True)
        )
        if fits and unit == question.unit:
            return None
        if fits and (asked is None or (mode == question.key.mode and unit in CADENCE[question.unit].taken_for)):
            asked = unit
    return asked


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
