"""Tell two apart: the same stretch twice with one difference that is easily missed; which of them is it?

Each stretch is one of two types, drawn by itself, so that both may be the asked one, or neither, and "different"
is no giveaway. What differs is a chord or two; the rest is alike in both. Where the answer is free, the chord on
which they differ is asked too.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from random import Random

from trainer.drills import stretch_pairs
from trainer.drills.answer import Answer, ToldApart, Which
from trainer.drills.apart_answer import WHICH, accepts, apart_of, read
from trainer.drills.mark import Mark, MarkedPart, marked, part
from trainer.drills.material import TuneMaterial
from trainer.drills.question import TABLE, Question, Row, Two, nearest_start, perform
from trainer.drills.read_off import second_answers, strokes
from trainer.drills.rungs import DrillError, Rung, find_rung
from trainer.drills.stretch_pairs import StretchPair
from trainer.drills.told_by_ear import pointed_answer
from trainer.harmony.cadence import CADENCE, CADENCES, find_cadence
from trainer.harmony.key import Key, Mode
from trainer.voicing.performance import Performance
from trainer.voicing.styles import Style

ID = "tell-apart"
NAME = "Tell two apart"
ABOUT = "Two stretches sound that are easily taken for each other: which of them is the type that is asked?"
UNITS: tuple[str, ...] = tuple(row.id for row in CADENCES)
HOW = "the stretch with the asked type alone, and then both once more"
"""The answer's sound in a player's words, after the key."""

FIELDS: Row = ("which", "differ on chord")
WEIGHTS = {FIELDS[0]: 0.7, FIELDS[1]: 0.3}
"""Telling them apart is the point; the chord says that it was heard."""

REGISTER = 6.0
"""Half steps that the middles of the two stretches may be apart, where any draw keeps to it."""
TRIES = 5
"""How often a question that is read otherwise than it is asked, or that differs elsewhere, is drawn again."""


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
    """Ask which of two stretches is a unit's type; the other type is `against` where they can be set side by side.

    What is drawn is read without the answer, from its symbols and from its notes; what is read otherwise is drawn
    again. Raises DrillError where the tune has none of it.
    """
    step = find_rung(rung)
    which = rng.choice(WHICH if step.choices is None else WHICH[: step.choices])
    best: tuple[int, Question, StretchPair] | None = None
    for _ in range(1 + TRIES):
        pair = stretch_pairs.draw(unit, step, tune, rng, key, against)
        question = _question(unit, step, pair, tune, rng, seed)
        if not _fair(question, pair):
            continue
        first = _asked(question, pair, "first")
        astray = len(_changed(first)) - len(pair.differ) + (_apart(first) > REGISTER)
        if best is None or astray < best[0]:
            best = astray, question, pair
        if not astray:
            break
    if best is not None:
        return _asked(best[1], best[2], which)
    return _placed(unit, step, which, rng, key, seed, against)


def _placed(unit: str, step: Rung, which: Which, rng: Random, key: Key, seed: int, against: str | None) -> Question:
    """The first pair that is read as it is asked when its home sounds before it, plainly voiced over a bass."""
    for pair in stretch_pairs.placed(unit, step, rng, key, against):
        question = _question(unit, step, pair, None, rng, seed)
        plain: Style = "close" if "close" in step.styles else "shells"
        question = replace(question, style=plain, with_bass=True)
        if _fair(question, pair):
            return _asked(question, pair, which)
    raise DrillError(f"{find_cadence(unit).name} can't be told apart from what it is set beside on rung {step.number}")


def _fair(question: Question, pair: StretchPair) -> bool:
    """Whether each chord can be heard as one, something differs, and each stretch is read as what it is.

    It doesn't depend on which answer will be right, so that nothing of how it sounds gives that away.
    """
    held = any(one == other for half in (pair.asked, pair.instead) for one, other in pairwise(half.chords))
    orders = [_asked(question, pair, which) for which in WHICH[:2]]  # in these each is first once, and each second
    return not held and all(bool(_changed(one)) and not second_answers(one) for one in orders)


def _question(unit: str, step: Rung, pair: StretchPair, tune: TuneMaterial | None, rng: Random, seed: int) -> Question:
    """All of a question but which answer is right."""
    asked, instead = pair.asked, pair.instead
    free = step.choices is None
    two = Two(
        pair.other, len(asked.chords), asked.chords, instead.chords,
        tuple(asked.numerals[n] for n in asked.blanks), tuple(instead.numerals[n] for n in asked.blanks), asked.blanks,
    )  # fmt: skip
    choices = None if free else tuple((one,) for one in WHICH[: step.choices])
    return Question(
        kind=ID, unit=unit, rung=step.number, seed=seed, prompt=_prompt(unit, pair, step), key=asked.key,
        confirm=step.confirmed, tempo=Fraction(asked.tempo or rng.choice(step.tempos)), meter=asked.meter,
        chords=(), beats=asked.beats * 2, numerals=(), blanks=(), fields=FIELDS if free else FIELDS[:1],
        choices=choices, accepted=(), explanation="", guess_chance=1 / len(choices or WHICH),
        style=rng.choice(step.styles), with_bass=step.always_bass or rng.random() < 0.5,
        start_on=rng.choice((None, 3, 7)), material=TABLE if tune is None else f"tune:{tune.id}", two=two,
    )  # fmt: skip


def _asked(question: Question, pair: StretchPair, which: Which) -> Question:
    """The question with one of the answers right."""
    first = pair.asked if which in ("first", "both") else pair.instead
    second = pair.asked if which in ("second", "both") else pair.instead
    question = replace(
        question, chords=first.chords + second.chords, numerals=first.numerals + second.numerals,
        accepted=((which,),), explanation=_explanation(question, which, pair.differ),
    )  # fmt: skip
    if question.choices is not None or which in ("both", "neither"):
        return question
    changed = sorted({*_changed(question), *pair.differ})
    return replace(
        question, accepted=tuple((which, str(n + 1)) for n in changed),
        guess_chance=len(changed) / (len(WHICH) * len(pair.asked.chords)),
    )  # fmt: skip


def _apart(question: Question) -> float:
    """Half steps between the middles of the two stretches' hands."""
    assert question.two is not None
    size = question.two.size
    middles = [sum(one.keys) / len(one.keys) for one in strokes(question.performance())]
    return abs(sum(middles[:size]) - sum(middles[size:])) / size


def _changed(question: Question) -> tuple[int, ...]:
    """The chords on which the two stretches differ in what sounds, octaves aside."""
    assert question.two is not None
    struck = strokes(replace(question, confirm=False).performance())
    sounds = [(one.lowest % 12, one.pitch_classes) for one in struck]
    size = question.two.size
    return tuple(n for n in range(size) if sounds[n] != sounds[size + n])


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has something to ask for a unit."""
    return stretch_pairs.holds_one(unit, tune)


def _prompt(unit: str, pair: StretchPair, step: Rung) -> str:
    key = pair.asked.key
    where = f"The key of {key.name} is given. " if step.confirmed else "The key is not given. "
    size, within = len(pair.asked.chords), pair.asked.blanks
    name, other = CADENCE[unit].name, CADENCE[pair.other].name
    there = "" if len(within) == size else f" on chords {within[0] + 1} to {within[-1] + 1}"
    ask = (
        f"{where}Two stretches of {size} chords sound, one after the other. Each has one of two types{there}:"
        f' "{name}" or "{other}". Which of the stretches has "{name}"'
    )
    if step.choices is None:
        return f"{ask}, and if they differ, on which chord?"
    return f"{ask}?"


def _explanation(question: Question, which: str, differ: Sequence[int]) -> str:
    two = question.two
    assert two is not None
    asked, other = CADENCE[question.unit], CADENCE[two.other]
    names = [" ".join(chords[n].text for n in two.within) for chords in (two.asked, two.instead)]
    has = f"{names[0]} is {' '.join(two.row)}, {asked.name}"
    hasnt = f"{names[1]} is {' '.join(two.row_instead)}, {other.name}"
    places = "chord" if len(differ) == 1 else "chords"
    at = f"on {places} {_listed([str(n + 1) for n in differ])}"
    mine, theirs = (_listed([chords[n].text for n in differ]) for chords in (two.asked, two.instead))
    if which == "both":
        return f"Both: {has}. With {theirs} {at} it would have been {other.name}. {asked.about}"
    if which == "neither":
        return f"Neither: {hasnt}. With {mine} {at} it would have been {asked.name}. {asked.about}"
    first, second = (has, hasnt) if which == "first" else (hasnt, has)
    return f"First {first}; then {second}. They differ {at}: {mine} against {theirs}. {asked.about}"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def told(question: Question) -> str:
    """The right answer in a sentence's words."""
    which = question.accepted[0][0]
    said = f"the {which}" if which in ("first", "second") else which
    places = [row[1] for row in question.accepted if len(row) > 1]
    return f"{said}; they differ on {'chord' if len(places) == 1 else 'chords'} {_listed(places)}" if places else said


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark an answer, part by part."""
    said = _said(question, answer)
    right = question.accepted[0][0]
    return marked(
        question, _parts(question, said), picked_wrong=answer.choice is not None and said.which != right,
        answer_s=answer_s, sound_s=sound_s, helps=helps,
        taken_for=None if said.which == right or question.two is None else question.two.other,
    )  # fmt: skip


def _said(question: Question, answer: Answer) -> ToldApart:
    if answer.choice is not None and question.choices is not None:
        return apart_of(question.choices[answer.choice])
    assert answer.told_apart is not None
    return answer.told_apart


def _parts(question: Question, said: ToldApart) -> tuple[MarkedPart, ...]:
    right = question.accepted[0]
    first = part(FIELDS[0], _rule(said.which, right[0]), said.which, right[0], WEIGHTS[FIELDS[0]])
    if len(right) == 1:
        return (first,)
    places = [int(row[1]) for row in question.accepted]
    heard = "" if said.chord is None else str(said.chord)
    return (first, part(FIELDS[1], _chord_rule(said.chord, places), heard, right[1], WEIGHTS[FIELDS[1]]))


def _rule(said: str, right: str) -> str:
    if said == right:
        return "right"
    alike = ("both", "neither")
    if said in alike and right in alike:
        return "same-but-other"
    if said in alike:
        return "difference-missed"
    return "none-differs" if right in alike else "other-way-round"


def _chord_rule(said: int | None, places: Sequence[int]) -> str:
    if said is None:
        return "left-out"
    if said in places:
        return "right"
    return "one-chord-off" if min(abs(said - place) for place in places) == 1 else "missed"


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The two stretches as the answer has them."""
    two = question.two
    assert two is not None
    which = _said(question, answer).which
    first = two.asked if which in ("first", "both") else two.instead
    second = two.asked if which in ("second", "both") else two.instead
    alone = replace(question, two=None)
    near = replace(question, start_on=nearest_start(alone, first, question.chords[: two.size]))
    return perform(near, first + second, question.beats, helps, "answer")


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    two = question.two
    assert two is not None
    alone = replace(question, two=None, confirm=False)
    asked = perform(alone, two.asked, question.beats[: two.size], (), "answer")
    return pointed_answer(question, question.key, (), asked)


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "told", "trains",
]  # fmt: skip
