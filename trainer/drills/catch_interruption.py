"""Catch the interruption: does a cadence break in, on which chord, how far away, what was awaited?

Half of the questions hold an interruption, the others only look like one. Where the key is given and
the answer free, the awaited key is asked too, and it need not be the given one.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.drills import catch_answer, interrupted_in_tunes, material
from trainer.drills.ambiguity import ROOT_LEFT_OUT
from trainer.drills.answer import Answer, Caught
from trainer.drills.catch_answer import AWAITED
from trainer.drills.distances import distance_text, short_way
from trainer.drills.interrupted import PLACE, Passage, distance_between, some_passage
from trainer.drills.mark import Mark, MarkedPart, marked, part
from trainer.drills.material import Stretch, TuneMaterial
from trainer.drills.question import FOUR_FOUR, TABLE, Broken, Question, Row, perform
from trainer.drills.read_off import second_answers
from trainer.drills.rungs import Rung, find_rung, lengths
from trainer.drills.told_by_ear import pointed_answer
from trainer.harmony.cadence import CADENCE, CADENCES, CadenceType, find_cadence
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.harmony.numeral import PLAIN_DEGREES, numeral_of
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.performance import Performance
from trainer.voicing.pointed import Pointed

ID = "catch-interruption"
NAME = "Catch the interruption"
ABOUT = "Does another key's cadence break in, on which chord, how far away, and what key was awaited?"
UNITS: tuple[str, ...] = tuple(row.id for row in CADENCES if row.shapes)
HOW = (
    "where another key breaks in, two single notes, the awaited tonic and the other one, then the other key's"
    " chords, then the passage as it would have gone on without them; where none breaks in, nothing of this"
)
"""The answer's sound in a player's words, after the key."""

FIELDS: Row = ("breaks in", "on chord", "how far")
WEIGHTS = {"breaks in": 0.4, "on chord": 0.2, "how far": 0.3, AWAITED: 0.1}
"""Noticing it is the most; the distance is heard, the chord counted."""

AWAITED_UP = (0, 0, 5, 7)
"""Half steps from the given key up to the awaited one where that is asked: home, or a near key."""
COIN = 0.5
"""Chance that a player who hears nothing says right whether one breaks in."""
TRIES = 4
"""How often a question that is read otherwise than it is asked is drawn again."""
_PREFIX = "interrupted-"


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
    """Ask whether a cadence of one shape is interrupted. Raises DrillError where the tune has none of it.

    What is drawn is read without the answer, from its symbols and from its notes; what is read otherwise is drawn
    again, and if that doesn't help, what it is read as is right too.
    """
    breaks_in = rng.random() < COIN
    bass = find_rung(rung).always_bass or rng.random() < 0.5  # once and for all, so that it tells nothing
    for left in range(TRIES, -1, -1):
        question = _drawn(unit, rung, tune, rng, key, seed, breaks_in, with_bass=bass or not left)
        others = second_answers(question)
        if not others:
            break
    return replace(question, accepted=(*question.accepted, *others))


def _drawn(
    unit: str, rung: int, tune: TuneMaterial | None, rng: Random, key: Key, seed: int, breaks_in: bool, with_bass: bool
) -> Question:
    cadence, step = find_cadence(unit), find_rung(rung)
    asks_awaited = step.confirmed and step.choices is None
    if tune is not None:
        stretch, broken = interrupted_in_tunes.from_tune(unit, tune, key, breaks_in, rng)
    else:
        up = rng.choice(AWAITED_UP) if asks_awaited else 0
        awaited = key if not up else simplest_key(key.tonic.pitch_class + up, key.mode, key.fifths < 0)
        passage = some_passage(cadence, awaited, breaks_in, easy=step.choices is not None, rng=rng)
        stretch, broken = _as_stretch(passage, key, step, rng)
    fields = (*FIELDS, AWAITED) if asks_awaited else FIELDS
    right = _right(broken, stretch.key, asks_awaited)
    choices = _choices(cadence, broken, right, len(stretch.chords), step.choices, rng) if step.choices else None
    tempo = stretch.tempo or rng.choice(step.tempos)
    return Question(
        kind=ID, unit=unit, rung=rung, seed=seed, key=stretch.key, confirm=step.confirmed,
        prompt=_prompt(stretch, step, asks_awaited), tempo=Fraction(tempo), meter=stretch.meter,
        chords=stretch.chords, beats=stretch.beats, numerals=stretch.numerals, blanks=(),
        fields=fields, choices=choices,
        accepted=(right,), explanation=f"{broken.story} {cadence.about}" if breaks_in else broken.story,
        guess_chance=_guess(broken, stretch, choices),
        style=rng.choice([style for style in step.styles if with_bass or style not in ROOT_LEFT_OUT]),
        with_bass=with_bass, start_on=rng.choice((None, 3, 7)),
        material=TABLE if tune is None else f"tune:{tune.id}", broken=broken,
    )  # fmt: skip


def _guess(broken: Broken, stretch: Stretch, choices: tuple[Row, ...] | None) -> float:
    """Chance that a player who hears nothing is right: none breaks in half of the time, whatever is offered."""
    if not broken.breaks_in:
        return COIN
    return COIN / (len(choices) - 1 if choices else (len(stretch.chords) - 1) * 11)


def _right(broken: Broken, key: Key, asks_awaited: bool) -> Row:
    if not broken.breaks_in:
        return ("no",)
    assert broken.foreign is not None
    row = ("yes", str(broken.chords[0] + 1), distance_text(distance_between(broken.awaited, broken.foreign)))
    if not asks_awaited:
        return row
    up = (broken.awaited.tonic.pitch_class - key.tonic.pitch_class) % 12
    return (*row, str(PLAIN_DEGREES[up]))


def _as_stretch(passage: Passage, key: Key, step: Rung, rng: Random) -> tuple[Stretch, Broken]:
    """A passage as it sounds: alone, or after a bar of its home and before a bar that goes on."""
    beats = lengths(len(passage.chords), step, rng)
    chords, broken = passage.chords, passage.broken
    before: tuple[ChordSymbol, ...] = ()
    if step.phrase:
        home = broken.awaited
        if chords[0].root != home.tonic:
            before, _ = material.spelled((rng.choice(("Imaj7", "I6")),), home)
        after, _ = material.spelled(rng.choice(((), ("IVmaj7", "Imaj7"))), passage.centers[-1])
        beats = (*(Fraction(4) for _ in before), *beats, *(Fraction(2) for _ in after))
        chords = (*before, *chords, *after)
    moved = tuple(index + len(before) for index in broken.chords)
    story = broken.story.replace(PLACE, str(moved[0] + 1)) if moved else broken.story
    broken = replace(broken, chords=moved, story=story)
    numerals = tuple(numeral_of(chord, key).text for chord in chords)
    return Stretch(key, chords, numerals, numerals, beats, FOUR_FOUR, ()), broken


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has an interruption of a unit's shape, and a stretch without one."""
    return interrupted_in_tunes.holds_one(unit, tune)


def _choices(
    cadence: CadenceType, broken: Broken, right: Row, count: int, offered: int, rng: Random
) -> tuple[Row, ...]:
    """The right answer among others: none at all, and interruptions elsewhere or farther."""
    shape = cadence.interruption
    assert shape is not None
    near = [short_way(distance) for distance in shape.distances]
    chord = (broken.chords or tuple(shape.foreign_indices))[0] + 1
    far = distance_between(broken.awaited, broken.foreign) if broken.foreign else rng.choice(near)
    likely = [("yes", str(chord), distance_text(far))] if not broken.breaks_in else []
    others = [("yes", str(chord), distance_text(one)) for one in (-far, *near) if abs(one) != 6 or abs(far) != 6]
    moved = [("yes", str(one), distance_text(far)) for one in (chord + 1, chord - 1) if 1 < one <= count]
    rng.shuffle(moved)
    wrong = [*likely, *moved[:1], *others] if rng.random() < 0.5 else [*likely, *others[:1], *moved[:1], *others[1:]]
    rows: list[Row] = [right] if right == ("no",) else [right, ("no",)]
    rows += [row for row in dict.fromkeys(wrong) if row not in rows]
    rows = rows[:offered]
    rng.shuffle(rows)
    return tuple(rows)


def _prompt(stretch: Stretch, step: Rung, asks_awaited: bool) -> str:
    where = f"The key of {stretch.key.name} is given. " if step.confirmed else "The key is not given. "
    sound = f"{where}{len(stretch.chords)} chords sound."
    ask = f"{sound} Does another key's cadence break into one that was prepared?"
    if step.choices:
        return f"{ask} If so, on which chord, and how far from the awaited key?"
    if asks_awaited:
        return f"{ask} If so, on which chord, how far from the awaited key, and which key was awaited?"
    return f"{ask} If so, on which chord, and how far from the awaited key?"


read = catch_answer.read


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark an answer, part by part."""
    picked_wrong = False
    if answer.choice is not None and question.choices is not None:
        row = question.choices[answer.choice]
        caught, picked_wrong = catch_answer.caught_of(row), row not in question.accepted
    else:
        assert answer.caught is not None
        caught = answer.caught
    return marked(
        question, _parts(question, caught), picked_wrong=picked_wrong, answer_s=answer_s, sound_s=sound_s,
        helps=helps, taken_for=_named(question, caught),
    )  # fmt: skip


def _parts(question: Question, caught: Caught) -> tuple[MarkedPart, ...]:
    broken = question.broken
    assert broken is not None
    heard = "yes" if caught.breaks_in else "no"
    if not broken.breaks_in:
        return (part(FIELDS[0], "none-there" if caught.breaks_in else "right", heard, "no", WEIGHTS[FIELDS[0]]),)
    assert broken.foreign is not None
    first = part(FIELDS[0], "right" if caught.breaks_in else "not-noticed", heard, "yes", WEIGHTS[FIELDS[0]])
    right = question.accepted[0]
    chord, distance = broken.chords[0] + 1, distance_between(broken.awaited, broken.foreign)
    rules = [_chord_rule(caught.chord, chord), _distance_rule(caught.distance, distance)]
    said = [
        "" if caught.chord is None else str(caught.chord),
        "" if caught.distance is None else distance_text(caught.distance),
    ]
    if AWAITED in question.fields:
        rules.append(_awaited_rule(question, caught.awaited))
        said.append("" if caught.awaited is None else str(PLAIN_DEGREES[caught.awaited]))
    rest = tuple(
        part(label, rule, text, should, WEIGHTS[label])
        for label, rule, text, should in zip(question.fields[1:], rules, said, right[1:], strict=True)
    )
    return (first, *rest)


def _chord_rule(said: int | None, right: int) -> str:
    if said is None:
        return "left-out"
    if said == right:
        return "right"
    return "one-chord-off" if abs(said - right) == 1 else "missed"


def _distance_rule(said: int | None, right: int) -> str:
    if said is None:
        return "left-out"
    if said == right:
        return "right"
    return "wrong-direction" if said == -right else "missed"


def _awaited_rule(question: Question, said: int | None) -> str:
    broken = question.broken
    assert broken is not None
    assert broken.foreign is not None
    tonic = question.key.tonic.pitch_class
    if said is None:
        return "left-out"
    if said == (broken.awaited.tonic.pitch_class - tonic) % 12:
        return "right"
    return "swapped" if said == (broken.foreign.tonic.pitch_class - tonic) % 12 else "missed"


def _named(question: Question, caught: Caught) -> str | None:
    """The type that an answer names instead: none that is interrupted, or one interrupted elsewhere."""
    broken = question.broken
    assert broken is not None
    taken_for = CADENCE[question.unit].taken_for
    if broken.breaks_in and not caught.breaks_in:
        return next((unit for unit in taken_for if not unit.startswith(_PREFIX)), None)
    if broken.breaks_in and caught.chord not in (None, broken.chords[0] + 1):
        return next((unit for unit in taken_for if unit.startswith(_PREFIX)), None)
    return None


def accepts(question: Question) -> str:
    """What may be typed as an answer."""
    return catch_answer.accepts(question)


def heard(question: Question, answer: Answer | None, helps: Sequence[str] = ()) -> Performance:
    """The cadence without what breaks in, to be set beside what was asked: an answer can't be played whole."""
    broken = question.broken
    assert broken is not None
    inside = broken.chords if broken.breaks_in else ()
    kept = [index for index in range(len(question.chords)) if index not in inside]
    chords = [question.chords[index] for index in kept]
    return perform(question, chords, [question.beats[index] for index in kept], helps, "answer")


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    broken = question.broken
    assert broken is not None
    if not broken.breaks_in or broken.foreign is None:
        return pointed_answer(question, broken.awaited, ())
    far = distance_between(broken.awaited, broken.foreign)
    group = Pointed((0, far), tuple(question.chords[index] for index in broken.chords))
    without = heard(replace(question, confirm=False), None)
    return pointed_answer(question, broken.awaited, (group,), without)


def told(question: Question) -> str:
    """The right answer in a sentence's words."""
    row = question.accepted[0]
    if len(row) == 1:
        return row[0]
    awaited = f", which is {row[3]}" if len(row) > 3 else ""
    return f"{row[0]}, on chord {row[1]}, {row[2]} from the awaited key{awaited}"


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
