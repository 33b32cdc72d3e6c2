"""Guide tones: a voice begins on the third or the seventh of a chord; which degrees of the key does it sing?

It goes each time to the third or the seventh of the next chord that lies nearest, so that both voices move
as little as they can. On the first two rungs one step is asked, then the whole line.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.drills import ambiguity, material, voice_lines
from trainer.drills.answer import Answer
from trainer.drills.cadence_stretch import cadence_stretch
from trainer.drills.checked import first_held
from trainer.drills.heard import HeardChord, degree_from
from trainer.drills.holds import Holding
from trainer.drills.mark import Mark, MarkedPart, marked, part
from trainer.drills.material import Stretch, TuneMaterial
from trainer.drills.question import SLOWER, TABLE, Question, Row
from trainer.drills.rungs import Rung, find_rung
from trainer.drills.told_by_ear import pointed_answer
from trainer.drills.voice_answer import accepts, read
from trainer.drills.voice_lines import UNITS, Line, degrees_of, lines_from, ordinal, tones_of
from trainer.harmony.cadence import CadenceType, find_cadence
from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import PLAIN_DEGREES, Degree
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.leading import voice
from trainer.voicing.performance import Performance
from trainer.voicing.pointed import Pointed
from trainer.voicing.sung_line import perform_line

ID = "guide-tones"
NAME = "Guide tones"
ABOUT = "A voice has the third or the seventh of a chord; which degree is that, and where does it go?"
HOW = (
    "each chord of the voice comes after two single notes, the tonic and the voice's note; then the voice alone over"
    " the bass"
)
"""The answer's sound in a player's words, after the key."""

FIRST_GUESS, NEXT_GUESS = 1 / 7, 1 / 3
"""A free guess takes one of seven degrees, then stays or goes a step up or down."""
MOST_LINES = 2
"""So many lines may be right: where a voice has two ways as near, it may take either."""


def trains(unit: str) -> bool:
    """Whether it can train a unit."""
    return unit in UNITS


def mode_of(unit: str) -> Mode:
    """The mode of a unit's key."""
    return find_cadence(unit).mode


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has a cadence of the type with two chords or more that have guide tones."""
    return unit in UNITS and any(
        len(voice_lines.longest_run([span.symbol for n in one.chords if (span := tune.timeline.spans[n]).symbol])) > 1
        for one in material.cadences_in(tune, unit)
    )


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
    """Ask for a guide-tone voice in a cadence of one type. Raises DrillError where the tune has none of it."""
    cadence, step = find_cadence(unit), find_rung(rung)
    question, holding = first_held(lambda: _drawn(cadence, step, tune, rng, key, seed), agrees)
    if holding.center is not None and not question.confirm and not holding.functions:
        question = _counted_too(question, holding.center)
    if step.choices is None:
        return question
    choices = _offered(question, step.choices, rng)
    return replace(question, choices=choices, guess_chance=1 / len(choices))


def agrees(question: Question, holding: Holding) -> bool:
    """Whether a reading counts from an accepted key, and few lines are right, the voicing's among them.

    Where the key is given it is the one to count from, whatever the reading makes of it.
    """
    counted = question.confirm or holding.functions
    most = MOST_LINES if find_rung(question.rung).choices is None else 1
    return counted and len(question.accepted) <= most and voice_lines.is_voiced_so(question)


def _counted_too(question: Question, key: Key) -> Question:
    """A question that may be counted from another key as well."""
    up = question.key.tonic.pitch_class - key.tonic.pitch_class
    rows = [
        tuple(PLAIN_DEGREES[(_degree(text).semitones + up) % 12].arabic for text in row) for row in question.accepted
    ]
    return replace(question, accepted=tuple(dict.fromkeys((*question.accepted, *rows))))


def _drawn(cadence: CadenceType, step: Rung, tune: TuneMaterial | None, rng: Random, key: Key, seed: int) -> Question:
    """A question without its choices, of a cadence that has two chords with guide tones."""
    while True:
        stretch = cadence_stretch(cadence, key, step, tune, rng)
        run = voice_lines.longest_run([stretch.chords[index] for index in stretch.blanks])
        if len(run) > 1:
            break
    blanks = tuple(stretch.blanks[n] for n in run)
    if step.choices is not None:
        first = rng.randrange(len(blanks) - 1)
        blanks = blanks[first : first + 2]
    chords = [stretch.chords[index] for index in blanks]
    begins = rng.choice(tones_of(chords[0]))
    lines = lines_from(chords, begins)
    style, start_on = rng.choice(step.styles), rng.choice((None, 3, 7))
    sounds = ambiguity.sounding(voice(stretch.chords, style, False, start_on=start_on), style)
    clear = all(one.rooted for one in sounds) and not any(chord.bass for chord in stretch.chords)
    with_bass = step.always_bass or rng.random() < 0.5 or not clear
    rows = tuple(degrees_of(chords, line, stretch.key) for line in lines)
    return Question(
        kind=ID, unit=cadence.id, rung=step.number, seed=seed, key=stretch.key, confirm=step.confirmed,
        prompt=_prompt(stretch, blanks, begins, step), tempo=Fraction(stretch.tempo or rng.choice(step.tempos)),
        meter=stretch.meter, chords=stretch.chords, beats=stretch.beats, numerals=stretch.numerals, blanks=blanks,
        fields=tuple(f"chord {index + 1}" for index in blanks), choices=None, accepted=tuple(dict.fromkeys(rows)),
        explanation=_explanation(cadence, chords, lines[0], stretch.key),
        guess_chance=FIRST_GUESS * NEXT_GUESS ** (len(blanks) - 1), style=style, with_bass=with_bass,
        start_on=start_on, material=TABLE if tune is None else f"tune:{tune.id}", tones=True,
    )  # fmt: skip


def _prompt(stretch: Stretch, blanks: Sequence[int], begins: voice_lines.Tone, step: Rung) -> str:
    where = f"The key of {stretch.key.name} is given." if step.confirmed else "The key is not given."
    count, first, last = len(stretch.chords), blanks[0] + 1, blanks[-1] + 1
    has = f"A voice has the {ordinal(begins)} of chord {first}"
    if step.choices is not None:
        return (
            f"{where} {count} chords sound. {has}. Which degree of the key is it, and to which does it go in"
            f" chord {last}?"
        )
    row = " ".join("_" if index in blanks else "·" for index in range(count))
    return (
        f"{where} {count} chords sound. {has} and goes on to the nearest guide tone each time. Which degrees of the"
        f" key does it sing in chords {first} to {last}? {row}"
    )


def _explanation(cadence: CadenceType, chords: Sequence[ChordSymbol], line: Line, key: Key) -> str:
    return f"{voice_lines.told(chords, line, key)} The chords are {cadence.name}. {cadence.about}"


def _offered(question: Question, count: int, rng: Random) -> tuple[Row, ...]:
    """The voice's step among others: the other voice's, half of each, roots, fifths, a step the other way."""
    chords = [question.chords[index] for index in question.blanks]
    right = question.accepted[0]
    other = voice_lines.other_row(question)
    near: list[Row] = [other, (right[0], other[1]), (other[0], right[1])]
    more = [row for degree in (1, 5) if len(row := voice_lines.members(chords, degree, question.key)) == 2]
    rng.shuffle(near)
    rng.shuffle(more)
    known = {_semitones(row) for row in question.accepted}
    rows: list[Row] = [right]
    for row in (*near, *more):
        if len(rows) < count and _semitones(row) not in known:
            known.add(_semitones(row))
            rows.append(row)
    rng.shuffle(rows)
    return tuple(rows)


def _semitones(row: Row) -> tuple[int, ...]:
    return tuple(_degree(text).semitones for text in row)


def _degree(text: str) -> Degree:
    degree = degree_from(text)
    assert degree is not None
    return degree


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark a voice, note by note."""
    given, picked_wrong = _given(question, answer), False
    if answer.choice is not None and question.choices is not None:
        picked_wrong = question.choices[answer.choice] not in question.accepted
    ways = [_parts(question, given, row) for row in question.accepted]
    best = max(ways, key=lambda parts: sum(one.credit * one.weight for one in parts))
    return marked(question, best, picked_wrong=picked_wrong, answer_s=answer_s, sound_s=sound_s, helps=helps)


def _given(question: Question, answer: Answer) -> tuple[HeardChord, ...]:
    if answer.choice is not None and question.choices is not None:
        return tuple(HeardChord(text, (_degree(text),), None) for text in question.choices[answer.choice])
    assert answer.row is not None
    return answer.row


def _parts(question: Question, given: Sequence[HeardChord], right: Row) -> tuple[MarkedPart, ...]:
    weights = (1.0,) * len(right)
    if question.choices is not None:
        weights = tuple(float(len(set(column)) > 1) for column in zip(*question.choices, strict=True))
    offsets = {
        (note.degrees[0].semitones - _degree(text).semitones) % 12 if note.degrees else None
        for note, text in zip(given, right, strict=True)
    }
    shift = next(iter(offsets)) if len(offsets) == 1 and len(right) > 1 else None
    places = zip(question.fields, question.blanks, given, right, weights, strict=True)
    return tuple(
        part(label, _rule(question, question.chords[index], note, text, shift), note.text, text, weight)
        for label, index, note, text, weight in places
    )


def _rule(question: Question, chord: ChordSymbol, note: HeardChord, right: str, shift: int | None) -> str:
    """Which rule fits one note; the first that does."""
    if not note.degrees:
        return "left-out"
    said, should = note.degrees[0], _degree(right)
    if said.semitones == should.semitones:
        return "right"
    tonic = question.key.tonic.pitch_class
    sung = (tonic + said.semitones) % 12
    if sung in {voice_lines.pitch_class(chord, tone) for tone in tones_of(chord)}:
        return "other-voice"
    if shift == (9 if question.key.mode == "minor" else 3):
        return "relative-key"
    if sung in chord.pitch_classes:
        return "root-or-fifth"
    if said.number == should.number:
        return "inflection"
    return "other-tonic" if shift else "other-note"


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The voice as the answer has it, alone over the bass."""
    row = [note.degrees[0] if note.degrees else None for note in _given(question, answer)]
    return _sung(question, row, helps)


def as_it_was(question: Question) -> Performance:
    """The voice alone over the bass."""
    return _sung(question, [_degree(text) for text in question.accepted[0]])


def _sung(question: Question, row: Sequence[Degree | None], helps: Sequence[str] = ()) -> Performance:
    tonic = question.key.tonic.pitch_class
    line: list[int | None] = [None] * len(question.chords)
    for index, degree in zip(question.blanks, row, strict=True):
        line[index] = None if degree is None else (tonic + degree.semitones) % 12
    tempo = question.tempo / SLOWER if "slower" in helps else question.tempo
    return perform_line(
        question.chords, question.beats, line, tempo, question.meter, key=question.key, seed=question.seed
    )


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    groups = [
        Pointed((0, _degree(text).semitones), (question.chords[index],))
        for index, text in zip(question.blanks, question.accepted[0], strict=True)
    ]
    return pointed_answer(question, question.key, groups, as_it_was(question))


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "agrees", "as_it_was", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
