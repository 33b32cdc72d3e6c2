"""Finish it: a preparation sounds and stops before its goal; where does it want to go?

The goal is named as a degree of the key that is given, or of the home that sounds first, with the mode of
its chord. What is awaited is told by the preparation alone, whatever may come instead. After the answer the
preparation is heard with its ending.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.charts.chart import Meter
from trainer.drills import ambiguity, goals, material
from trainer.drills.answer import Answer, AnswerError, Goal, cleaned, picked, what_picks
from trainer.drills.checked import first_held
from trainer.drills.goal_names import goal_named
from trainer.drills.goals import UNITS, Prepared
from trainer.drills.holds import Holding
from trainer.drills.mark import Mark, MarkedPart, marked, part
from trainer.drills.material import TuneMaterial
from trainer.drills.question import FOUR_FOUR, TABLE, Question, Row, as_it_was, perform_ended
from trainer.drills.rungs import DrillError, Rung, find_rung, lengths
from trainer.drills.told_by_ear import pointed_answer
from trainer.harmony.cadence import CadenceType, find_cadence
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.harmony.numeral import PLAIN_DEGREES, Degree, Numeral, chord_of, numeral_of, read_degree
from trainer.harmony.quality import QUALITY
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.heard import ChordClass
from trainer.reading.heard import heard as heard_as
from trainer.records import dataclass
from trainer.voicing.leading import voice
from trainer.voicing.performance import Performance
from trainer.voicing.pointed import Pointed

ID = "finish-it"
NAME = "Finish it"
ABOUT = "A preparation sounds and stops; where does it want to go?"
HOW = (
    "two single notes, the tonic and the root of the awaited chord above it, then that chord; the question comes"
    " with its ending"
)
"""The answer's sound in a player's words, after the key."""

DEGREE, MODE = "degree", "mode"
FIELDS: Row = (DEGREE, MODE)
WEIGHTS = {DEGREE: 0.75, MODE: 0.25}
"""The goal is what is asked most; its mode is one of two."""
FREE_GUESS = 1 / 3
"""The safest guess on a type, home or four, is right about that often."""

FOUR = 5
"""Half steps up to the fourth degree, a fifth down."""
_DOMINANTS = (ChordClass.DOMINANT, ChordClass.SUSPENDED, ChordClass.MAJOR_TRIAD)

LEAD_INS: dict[Mode, tuple[tuple[str, ...], ...]] = {
    "major": (("Imaj7",), ("I6",), ("Imaj7", "IVmaj7", "Imaj7"), ("I6", "iii7"), ("Imaj7", "IVmaj7")),
    "minor": (("i6",), ("i",), ("i7", "iv7", "i7"), ("i6", "iv7")),
}
"""What gives a home before a preparation; each begins on it."""

_SURPRISES: dict[Mode, dict[int, Mode]] = {
    "major": {9: "minor", 8: "major", 4: "minor"},
    "minor": {8: "major", 3: "major"},
}
"""Where a dominant may go instead of its goal, in half steps above it (common practice, no source)."""
_OTHER_MODE = {
    "major-five-one": "minor-five-one", "major-two-five-one": "minor-two-five-one",
    "major-four-five-one": "minor-four-five-one", "tritone-five-one": "minor-tritone-five-one",
}  # fmt: skip
_COUNTERPARTS = {**_OTHER_MODE, **{minor: major for major, minor in _OTHER_MODE.items()}}


def trains(unit: str) -> bool:
    """Whether it can train a unit."""
    return unit in UNITS


def mode_of(unit: str) -> Mode:
    """The mode of a unit's key."""
    return find_cadence(unit).mode


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune prepares what a unit leads to, after a home."""
    return unit in UNITS and bool(goals.places_in(tune, unit))


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
    """Ask where a preparation leads. Raises DrillError where the tune has none of the type."""
    cadence, step = find_cadence(unit), find_rung(rung)
    question, holding = first_held(lambda: _drawn(cadence, step, tune, rng, key, seed), agrees)
    if not agrees(question, holding) and holding.awaited is not None:
        degree = PLAIN_DEGREES[(holding.awaited - question.key.tonic.pitch_class) % 12]
        heard_too = tuple((str(degree), mode) for mode in ("major", "minor"))
        question = replace(question, accepted=(*question.accepted, *heard_too))
    if step.choices is None:
        return question
    choices = _offered(question, step.choices, rng)
    return replace(question, choices=choices, guess_chance=1 / len(choices))


def agrees(question: Question, holding: Holding) -> bool:
    """Whether a reading of the preparation awaits what is accepted.

    A reading may take the last chord for an end, since nothing comes after it; then the chord's own fifth
    counts. Not on four, where a dominant may well rest as it does in a blues (common practice, no source).
    """
    tonic = question.key.tonic.pitch_class
    goal = holding.awaited
    if goal is None:
        last = heard_as(question.chords[-1])
        rests_on_four = (last.root - tonic) % 12 == FOUR
        goal = None if rests_on_four or last.kind not in _DOMINANTS else (last.root + FOUR) % 12
    return goal in {(tonic + read_degree(row[0])[0].semitones) % 12 for row in question.accepted}


@dataclass(frozen=True, slots=True)
class _Sounding:
    """What sounds of a question, and what is awaited."""

    prepared: Prepared
    chords: tuple[ChordSymbol, ...]
    beats: tuple[Fraction, ...]
    tempo: Fraction | None
    meter: Meter


def _drawn(cadence: CadenceType, step: Rung, tune: TuneMaterial | None, rng: Random, key: Key, seed: int) -> Question:
    """A question without its choices."""
    sounding = _of_table(cadence, step, key, rng) if tune is None else _of_tune(cadence, tune, key, rng)
    prepared = sounding.prepared
    style, start_on = rng.choice(step.styles), rng.choice((None, 3, 7))
    tempo = sounding.tempo or rng.choice(step.tempos)
    voiced = voice(sounding.chords, style, False, start_on=start_on)
    alone = ambiguity.sounding(voiced[-1:], style)[0]
    last = sounding.chords[-1]
    clear = not ambiguity.stands_for_substitute(alone, last) and not any(one.bass for one in sounding.chords)
    with_bass = step.always_bass or rng.random() < 0.5 or not clear
    degree = PLAIN_DEGREES[(prepared.goal.root.pitch_class - prepared.home.tonic.pitch_class) % 12]
    modes = goals.modes_awaited(prepared.before, prepared.goal, prepared.home)
    count, asked = len(sounding.chords), len(prepared.before)
    return Question(
        kind=ID, unit=cadence.id, rung=step.number, seed=seed, prompt=_prompt(prepared.home, count, step),
        key=prepared.home, confirm=step.confirmed, tempo=Fraction(tempo), meter=sounding.meter,
        chords=sounding.chords, beats=sounding.beats,
        numerals=tuple(numeral_of(chord, prepared.home).text for chord in sounding.chords), blanks=(),
        stretch=tuple(range(count - asked, count)), fields=FIELDS, choices=None,
        accepted=tuple((str(degree), mode) for mode in modes),
        explanation=_explanation(cadence, prepared, degree), guess_chance=FREE_GUESS, style=style,
        with_bass=with_bass, start_on=start_on, material=TABLE if tune is None else f"tune:{tune.id}",
        ending=prepared.goal,
    )  # fmt: skip


def _of_table(cadence: CadenceType, step: Rung, key: Key, rng: Random) -> _Sounding:
    """A preparation alone after its given key, after a bar of home, or after a lead-in."""
    prepared = goals.some_preparation(cadence, key, step.phrase, rng)
    chords, beats = prepared.before, lengths(len(prepared.before), step, rng)
    if not step.confirmed:
        rows = LEAD_INS[key.mode] if step.phrase else ((goals.HOME[key.mode],),)
        before = [material.spelled(row, key)[0] for row in rows]
        before = [row for row in before if row[-1].root != chords[0].root]
        if mode_and_root(chords[0]) == (key.mode, key.tonic.pitch_class):
            before.append(())
        row = rng.choice(before) if before else material.spelled((goals.HOME[key.mode],), key)[0]
        if row:
            chords, beats = (*row, *chords), (*lengths(len(row), step, rng), *beats)
    return _Sounding(prepared, chords, beats, None, FOUR_FOUR)


def mode_and_root(chord: ChordSymbol) -> tuple[Mode, int]:
    """A chord's mode and the pitch class of its root."""
    return goals.mode_of_chord(chord), chord.root.pitch_class


def _of_tune(cadence: CadenceType, tune: TuneMaterial, key: Key, rng: Random) -> _Sounding:
    places = goals.places_in(tune, cadence.id)
    if not places:
        raise DrillError(f"{tune.id} holds no {cadence.name} that is prepared after a home, within a phrase")
    place = rng.choice(places)
    if place.center.mode != key.mode:
        key = simplest_key(key.tonic.pitch_class, place.center.mode)
    asked = range(place.first, place.goal)
    stretch = material.tune_stretch(tune, place.home, place.goal, asked, place.center, key)
    before = tuple(stretch.chords[index] for index in stretch.blanks)
    prepared = Prepared(key, before, goals.moved(place.ending, place.center, key))
    return _Sounding(prepared, stretch.chords, stretch.beats, stretch.tempo, stretch.meter)


def _offered(question: Question, count: int, rng: Random) -> tuple[Row, ...]:
    """The goal among others: home, a surprise, the dominant itself, the other mode, one more fifth down."""
    degree, mode = question.accepted[0][0], _as_mode(question.accepted[0][1])
    goal, home = read_degree(degree)[0].semitones, question.key.mode
    last = (question.chords[-1].root.pitch_class - question.key.tonic.pitch_class) % 12
    surprise = rng.choice(list(_SURPRISES[mode].items()))
    other: Mode = "minor" if mode == "major" else "major"
    near: list[tuple[int, Mode]] = [
        (0, home), ((goal + surprise[0]) % 12, surprise[1]), (last, "major"), (goal, other), ((goal + 5) % 12, "major"),
        ((goal + 6) % 12, mode),
    ]  # fmt: skip
    wrong = [row for at, one in near if (row := (str(PLAIN_DEGREES[at]), one)) not in question.accepted]
    rng.shuffle(wrong)
    rows: list[Row] = [question.accepted[0], *list(dict.fromkeys(wrong))[: count - 1]]
    rng.shuffle(rows)
    return tuple(rows)


def _as_mode(text: str) -> Mode:
    return "minor" if text == "minor" else "major"


def _prompt(home: Key, count: int, step: Rung) -> str:
    sound = "1 chord sounds" if count == 1 else f"{count} chords sound"
    if step.confirmed:
        where, of = f"The key of {home.name} is given.", "the given key"
    else:
        where, of = "The key is not given; the first chord is home.", "home"
    wants = "does it" if count == 1 else "do they"
    return f"{where} {sound}. Where {wants} want to go? Name the degree of {of}, and major or minor."


def _explanation(cadence: CadenceType, prepared: Prepared, degree: Degree) -> str:
    names = " ".join(chord.text for chord in prepared.before)
    goal, last = prepared.goal, prepared.before[-1]
    falls = (last.root.pitch_class - goal.root.pitch_class) % 12
    how = "slides down a half step" if falls == 1 else "falls a fifth"
    where = f"{degree} of {prepared.home.name}" if degree.semitones else f"home in {prepared.home.name}"
    return f"{names} wants to go to {goal.text}, {where}: {last.text} {how}. That is {cadence.name}. {cadence.about}"


def accepts(question: Question) -> str:
    """What may be typed as an answer."""
    if (picks := what_picks(question)) is not None:
        return picks
    named = ", or by name: `F major`" if question.confirm else ""
    return f"Type the degree with its mode: `4 major`, `ii minor`, `b6 major`{named}."


def read(question: Question, text: str) -> Answer:
    """Read a goal, or the number of a choice. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    if (choice := picked(question, stripped)) is not None:
        return Answer(stripped, choice=choice)
    goal = goal_named(stripped, question.key if question.confirm else None)
    if goal is None:
        hint = ""
        if not question.confirm and goal_named(stripped, question.key) is not None:
            hint = " The key is not given, so a note's name says nothing."
        raise AnswerError(f"I can't read {stripped[:24]!r} as a degree.{hint} {accepts(question)}")
    if question.choices is None:
        return Answer(stripped, goal=goal)
    meant = [index for index, row in enumerate(question.choices) if _is_meant(goal, row)]
    if len(meant) == 1:
        return Answer(stripped, choice=meant[0])
    what = "That is none of the choices." if not meant else "That fits several choices."
    raise AnswerError(f"{what} {accepts(question)}")


def _is_meant(goal: Goal, row: Row) -> bool:
    return goal.degree.semitones == read_degree(row[0])[0].semitones and goal.mode in (None, row[1])


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark a goal: its degree, and with the right degree its mode."""
    goal, picked_wrong = _given(question, answer), False
    if answer.choice is not None and question.choices is not None:
        picked_wrong = question.choices[answer.choice] not in question.accepted
    ways = [_parts(question, goal, row) for row in question.accepted]
    best = max(ways, key=lambda parts: sum(one.credit * one.weight for one in parts))
    return marked(
        question, best, picked_wrong=picked_wrong, answer_s=answer_s, sound_s=sound_s, helps=helps,
        taken_for=_COUNTERPARTS.get(question.unit) if best[1].rule == "goal-mode" else None,
    )  # fmt: skip


def _given(question: Question, answer: Answer) -> Goal:
    if answer.choice is not None and question.choices is not None:
        degree, mode = question.choices[answer.choice]
        return Goal(read_degree(degree)[0], _as_mode(mode))
    assert answer.goal is not None
    return answer.goal


def _parts(question: Question, goal: Goal, right: Row) -> tuple[MarkedPart, ...]:
    """Degree and mode against one accepted goal; the mode counts where the degree is right."""
    rule = _degree_rule(question, goal, read_degree(right[0])[0], right[1])
    of_degree = part(DEGREE, rule, str(goal.degree), right[0], WEIGHTS[DEGREE])
    said = goal.mode or ""
    mode_rule = "left-out" if goal.mode is None else "right" if goal.mode == right[1] else "goal-mode"
    weight = WEIGHTS[MODE] if rule == "right" else 0.0
    return (of_degree, part(MODE, mode_rule, said, right[1], weight))


def _degree_rule(question: Question, goal: Goal, right: Degree, mode: str) -> str:
    """Which rule fits a degree; the first that does."""
    up = (goal.degree.semitones - right.semitones) % 12
    if up == 0:
        return "right"
    if up in _SURPRISES[_as_mode(mode)]:
        return "surprise"
    last = (question.chords[-1].root.pitch_class - question.key.tonic.pitch_class) % 12
    if goal.degree.semitones == last:
        return "still-there"
    if up == 6:
        return "substitute"
    if goal.degree.number == right.number:
        return "inflection"
    return "other-goal"


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The preparation with the ending that the answer has."""
    goal = _given(question, answer)
    best = [row for row in question.accepted if _is_meant(goal, row)]
    if best or question.ending is None:
        return as_it_was(question, helps, "answer")
    mode = goal.mode or question.key.mode
    quality = QUALITY["m7" if mode == "minor" else "maj7"]
    ending = chord_of(Numeral(goal.degree, quality), question.key).practical()
    return perform_ended(question, ending, helps, "answer")


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    assert question.ending is not None
    up = (question.ending.root.pitch_class - question.key.tonic.pitch_class) % 12
    return pointed_answer(question, question.key, (Pointed((0, up), (question.ending,)),))


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "agrees", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
