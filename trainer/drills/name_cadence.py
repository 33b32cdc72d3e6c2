"""Name the cadence: a cadence sounds, alone or in a phrase; which type of the table is it?

A type that the same notes make as well is right too: judged from what sounds, in the keys that the
question leaves open, and by the reading, which doesn't know the answer.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.drills import ambiguity, material
from trainer.drills.answer import Answer, AnswerError, cleaned, picked, what_picks
from trainer.drills.cadence_names import nearest, told_names, types_named
from trainer.drills.cadence_rows import PLAIN_TYPES, TYPE_BY_NAME, nearest_row, rows_of, types_as_long, types_of
from trainer.drills.cadence_stretch import cadence_stretch
from trainer.drills.checked import first_held
from trainer.drills.heard import Color, color
from trainer.drills.holds import Holding
from trainer.drills.mark import Mark, marked, part
from trainer.drills.material import Stretch, TuneMaterial
from trainer.drills.question import TABLE, Question, Row, perform
from trainer.drills.rungs import Rung, find_rung
from trainer.drills.told_by_ear import degrees_pointed, pointed_answer
from trainer.harmony.cadence import CADENCE, CadenceType, chords_of, find_cadence
from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import parse_numeral
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.leading import voice
from trainer.voicing.performance import Performance
from trainer.voicing.styles import Style

ID = "name-cadence"
NAME = "Name the cadence"
ABOUT = "A cadence sounds; which type is it?"
UNITS: tuple[str, ...] = PLAIN_TYPES
HOW = "each chord of the cadence comes after two single notes, the tonic and the chord's root above it"
"""The answer's sound in a player's words, after the key."""

FIELDS: Row = ("cadence",)


def trains(unit: str) -> bool:
    """Whether it can train a unit."""
    return unit in UNITS


def mode_of(unit: str) -> Mode:
    """The mode of a unit's key."""
    return find_cadence(unit).mode


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has something to ask for a unit."""
    return bool(material.cadences_in(tune, unit))


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
    """Ask which cadence it is. Raises DrillError where the tune has none of the type."""
    cadence, step = find_cadence(unit), find_rung(rung)
    question, holding = first_held(lambda: _drawn(cadence, step, tune, rng, key, seed), agrees)
    if not agrees(question, holding):
        heard_too = tuple((CADENCE[one].name,) for one in holding.named)
        question = replace(question, accepted=tuple(dict.fromkeys((*question.accepted, *heard_too))))
    if step.choices is not None:
        choices = _offered(question, step.choices, rng)
        question = replace(question, choices=choices, guess_chance=1 / len(choices))
    return replace(question, prompt=_prompt(question))


def _drawn(cadence: CadenceType, step: Rung, tune: TuneMaterial | None, rng: Random, key: Key, seed: int) -> Question:
    """A question without its choices."""
    stretch = cadence_stretch(cadence, key, step, tune, rng)
    style, start_on = rng.choice(step.styles), rng.choice((None, 3, 7))
    tempo = stretch.tempo or rng.choice(step.tempos)
    sure = _fitting(cadence, stretch, step, style, start_on, with_bass=True)
    with_bass = (
        step.always_bass
        or rng.random() < 0.5
        or any(stretch.chords[index].bass for index in stretch.blanks)
        or set(sure) != set(_fitting(cadence, stretch, step, style, start_on, with_bass=False))
    )
    return Question(
        kind=ID, unit=cadence.id, rung=step.number, seed=seed, prompt="", key=stretch.key,
        confirm=step.confirmed, tempo=Fraction(tempo), meter=stretch.meter, chords=stretch.chords,
        beats=stretch.beats, numerals=stretch.numerals, blanks=(), stretch=stretch.blanks, fields=FIELDS,
        choices=None, accepted=tuple((CADENCE[one].name,) for one in sure),
        explanation=_explanation(cadence, stretch), guess_chance=_guess(len(sure), len(stretch.blanks)),
        style=style, with_bass=with_bass, start_on=start_on,
        material=TABLE if tune is None else f"tune:{tune.id}",
    )  # fmt: skip


def _guess(right: int, count: int) -> float:
    """A guess takes one of the types that are as long, for chords can be counted."""
    return min(0.5, right / max(2, len(types_as_long(count))))


def _fitting(
    cadence: CadenceType, stretch: Stretch, step: Rung, style: Style, start_on: int | None, with_bass: bool
) -> tuple[str, ...]:
    """The type, and every other that the same notes make in the keys left open."""
    voiced = voice(stretch.chords, style, with_bass, start_on=start_on)
    sounds = ambiguity.sounding([voiced[index] for index in stretch.blanks], style)
    homeless = not step.confirmed and len(stretch.blanks) == len(stretch.chords)
    rows = [
        other.numerals
        for other in ambiguity.other_rows(sounds, None if homeless else stretch.key)
        if not homeless or CADENCE[other.unit].rests
    ]
    own = tuple(stretch.numerals[index] for index in stretch.blanks)
    return tuple(dict.fromkeys((cadence.id, *(unit for row in (own, *rows) for unit in types_of(row)))))


def agrees(question: Question, holding: Holding) -> bool:
    """Whether a reading finds a type that is accepted and no other; where it finds none, whether it has the degrees."""
    accepted = {TYPE_BY_NAME[row[0]] for row in question.accepted}
    return set(holding.named) <= accepted if holding.named else holding.functions


def _offered(question: Question, count: int, rng: Random) -> tuple[Row, ...]:
    """The type among others as long: what it is taken for, what is taken for it, then what shares most with it."""
    right = tuple(question.numerals[index] for index in question.stretch)
    cadence = CADENCE[question.unit]
    accepted = {TYPE_BY_NAME[row[0]] for row in question.accepted}
    others = [unit for unit in PLAIN_TYPES if unit not in accepted]

    def rank(unit: str) -> tuple[bool, int, bool, float]:
        row = nearest_row(unit, right)
        other = CADENCE[unit]
        kin = 0 if unit in cadence.taken_for else 1 if question.unit in other.taken_for else 2
        shared = sum(a == b for a, b in zip(reversed(row), reversed(right), strict=False))
        return (len(row) != len(right), kin, other.mode != cadence.mode, rng.random() - shared)

    rows: list[Row] = [question.accepted[0]]
    rows += [(CADENCE[unit].name,) for unit in sorted(others, key=rank)[: count - 1]]
    rng.shuffle(rows)
    return tuple(rows)


def _prompt(question: Question) -> str:
    where = f"The key of {question.key.name} is given." if question.confirm else "The key is not given."
    count, asked = len(question.chords), question.stretch
    if len(asked) == count:
        return f"{where} {count} chords sound. Which cadence is it?"
    return f"{where} {count} chords sound. Which cadence are chords {asked[0] + 1} to {asked[-1] + 1}?"


def _explanation(cadence: CadenceType, stretch: Stretch) -> str:
    names = " ".join(stretch.chords[index].text for index in stretch.blanks)
    row = tuple(stretch.numerals[index] for index in stretch.blanks)
    text = f"{names} is {' '.join(row)} in {stretch.key.name}: {cadence.name}. {cadence.about}"
    for other in cadence.taken_for:
        near = nearest_row(other, row)
        if len(near) == len(row) and near != row:
            return f"{text} It is often taken for {CADENCE[other].name}, which is {' '.join(near)}."
    return text


def accepts(question: Question) -> str:
    """What may be typed as an answer."""
    if (picks := what_picks(question)) is not None:
        return picks
    return (
        "Name the cadence as you would on the bandstand: `2 5 1`, `minor 2 5 1`, `backdoor`, `tritone sub`;"
        " or by its id. `keyfarer types` lists all."
    )


def read(question: Question, text: str) -> Answer:
    """Read a type's name, or the number of a choice. Raises AnswerError, which tells the nearest names."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    if (choice := picked(question, stripped)) is not None:
        return Answer(stripped, choice=choice)
    named = types_named(stripped)
    if question.choices is not None:
        offered = [TYPE_BY_NAME[row[0]] for row in question.choices]
        meant = [index for index, unit in enumerate(offered) if unit in named]
        if len(meant) != 1:
            what = "That is none of the choices." if not meant else "That fits several choices."
            raise AnswerError(f"{what} {accepts(question)}")
        return Answer(stripped, choice=meant[0])
    if len(named) == 1:
        return Answer(stripped, named=named[0])
    if named:
        raise AnswerError(f"{stripped[:24]!r} may be {told_names(named)}. Say which.")
    near = nearest(stripped)
    hint = f" Is it {told_names(near)}?" if near else ""
    raise AnswerError(f"I know no cadence {stripped[:24]!r}.{hint} {accepts(question)}")


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark a named type: all of it, or what was heard of it."""
    unit, picked_wrong = _named(question, answer), False
    if answer.choice is not None and question.choices is not None:
        picked_wrong = question.choices[answer.choice] not in question.accepted
    rule = _rule(question, unit)
    one = part(FIELDS[0], rule, CADENCE[unit].name, question.accepted[0][0])
    return marked(
        question, (one,), picked_wrong=picked_wrong, answer_s=answer_s, sound_s=sound_s, helps=helps, taken_for=unit
    )


def _named(question: Question, answer: Answer) -> str:
    if answer.choice is not None and question.choices is not None:
        return TYPE_BY_NAME[question.choices[answer.choice][0]]
    assert answer.named is not None
    return answer.named


def _rule(question: Question, unit: str) -> str:
    """Which rule fits a named type; the first that does."""
    if (CADENCE[unit].name,) in question.accepted:
        return "right"
    right = tuple(question.numerals[index] for index in question.stretch)
    rows = rows_of(unit)
    if CADENCE[unit].shapes:
        return "other-cadence"
    steps = _steps(right)
    if any(_steps(row) == steps for row in rows):
        return "other-colors"
    if any(len(row) == len(right) and _but_for_tritones(_steps(row), steps) for row in rows):
        return "substitute"
    chords = _colored(right)
    if any(len(row) < len(right) and _colored(row) == chords[-len(row) :] for row in rows):
        return "its-end"
    if any(len(row) > len(right) and _colored(row)[-len(right) :] == chords for row in rows):
        return "more-than-it"
    if unit in CADENCE[question.unit].taken_for or question.unit in CADENCE[unit].taken_for:
        return "near-it"
    return "other-cadence"


def _steps(row: Row) -> tuple[int, ...]:
    return tuple(parse_numeral(text).degree.semitones for text in row)


def _colored(row: Row) -> tuple[tuple[int, Color], ...]:
    return tuple((numeral.degree.semitones, color(numeral.quality)) for numeral in map(parse_numeral, row))


def _but_for_tritones(mine: tuple[int, ...], right: tuple[int, ...]) -> bool:
    return all((a - b) % 12 in (0, 6) for a, b in zip(mine, right, strict=True))


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The question with the named cadence in the place of its own, in as much time."""
    unit = _named(question, answer)
    if (CADENCE[unit].name,) in question.accepted:
        return perform(question, question.chords, question.beats, helps, "answer")
    first, last = question.stretch[0], question.stretch[-1] + 1
    inside = _chords(question, unit)
    beats = question.beats[first:last]
    if len(inside) != len(beats):
        beats = (sum(beats, Fraction(0)) / len(inside),) * len(inside)
    chords = (*question.chords[:first], *inside, *question.chords[last:])
    return perform(question, chords, (*question.beats[:first], *beats, *question.beats[last:]), helps, "answer")


def _chords(question: Question, unit: str) -> tuple[ChordSymbol, ...]:
    cadence = CADENCE[unit]
    if cadence.shapes:
        return chords_of(cadence, question.key)
    right = tuple(question.numerals[index] for index in question.stretch)
    return material.spelled(nearest_row(unit, right), question.key)[0]


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    return pointed_answer(question, question.key, degrees_pointed(question))


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "agrees", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
