"""Dictation: four to eight bars; every function, and every key center where it moves.

A cadence type is in it, with what leads to it and goes on from it. On the first two rungs the whole row is offered
beside rows that differ in a chord or two, for a row of eight blanks would be no first step; the center stays there.
From the third rung on the row is free and the center may move once. What sounds is read without knowing the answer
until every chord is found in its center and on its degree.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.charts.chart import Meter
from trainer.drills import ambiguity, dictation_answer, material
from trainer.drills.answer import Answer, HeardCenter
from trainer.drills.center_answer import center_rule, center_text
from trainer.drills.checked import all_held, surely_heard
from trainer.drills.choices import offered
from trainer.drills.compare import USUAL, chord_meant
from trainer.drills.confirmed_centers import CONFIRMING, MOST_BEATS, SECOND_MOVES, Confirmed, in_turn, moved, stays
from trainer.drills.dictation_answer import parts_of
from trainer.drills.heard import HeardChord, color, read_chord_heard
from trainer.drills.holds import holds
from trainer.drills.mark import Mark, MarkedPart, marked, part
from trainer.drills.material import TuneMaterial
from trainer.drills.name_functions import MOST_FREE_GUESS, named_type
from trainer.drills.name_functions import UNITS as NAMED
from trainer.drills.question import FOUR_FOUR, TABLE, Question, Row, perform
from trainer.drills.row_marks import chord_rule
from trainer.drills.rungs import DrillError, Rung, find_rung
from trainer.drills.told_by_ear import pointed_answer
from trainer.drills.tune_centers import Window, in_key, window_of_bars
from trainer.harmony.cadence import CadenceType, find_cadence
from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import Numeral, chord_of, numeral_of, parse_numeral
from trainer.harmony.quality import QUALITY
from trainer.voicing.leading import voice
from trainer.voicing.performance import Performance
from trainer.voicing.pointed import Pointed

ID = "dictation"
NAME = "Dictation"
ABOUT = "Four to eight bars; write every function, and the key center where it moves."
NOT_TAKEN_DOWN = {
    "unfinished-two-five": "a key that is only announced is one player's center and another's applied chord",
    "two-five-chain": "counted in one key or in several, both with reason",
    "tonic-turns-minor": "the same",
    "major-third-cycle": "the same",
}
"""Types of which more than one row would be right, and why."""
UNITS: tuple[str, ...] = tuple(unit for unit in NAMED if unit not in NOT_TAKEN_DOWN)
HOW = "each chord comes after two single notes, the tonic of the center it is in and the chord's root above it"
"""The answer's sound in a player's words, after the key."""

LEAST_BARS, MOST_BARS = 4, 8
MOST_CHORDS = {1: 8, 2: 8, 3: 9, 4: 9, 5: 12, 6: 12}
"""By rung."""
CENTER_WEIGHT = 2.0
"""A center against a chord: who hears where it goes can find the chords again."""
_MOVES_OFTEN = {1: 0.0, 2: 0.0, 3: 0.4, 4: 0.4, 5: 0.7, 6: 0.7}
_TRIES = 300
_WINDOWS = 12


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
    """Ask for some bars with a cadence type in them. Raises DrillError where the tune has none of it."""
    cadence, step = find_cadence(unit), find_rung(rung)
    if tune is not None:
        windows = _windows(unit, tune)
        if not windows:
            raise DrillError(f"{tune.id} holds no {cadence.name} that fits into a phrase")
        rng.shuffle(windows)
        for window in windows[:_WINDOWS]:
            passage, first, tempo = in_key(tune, window, key)
            if len(passage.chords) > MOST_CHORDS[rung]:
                continue
            question = _question(
                cadence, step, passage, first, rng, seed, tempo=tempo, meter=window.meter, named=f"tune:{tune.id}"
            )
            if question is not None:
                return question
    for passage in _passages(cadence, key, step, rng):
        question = _question(cadence, step, passage, key, rng, seed, tempo=Fraction(rng.choice(step.tempos)))
        if question is not None:
            return question
    raise DrillError(f"no passage with {cadence.name} was found that is heard for certain; this is a fault")


def _passages(cadence: CadenceType, key: Key, step: Rung, rng: Random) -> Iterator[Confirmed]:
    for _ in range(_TRIES):
        parts = _parts_in_turn(cadence, key, step, rng)
        passage = in_turn(parts, step, rng)
        if passage is None or len(passage.chords) > MOST_CHORDS[step.number]:
            continue
        if LEAST_BARS * 4 <= sum(passage.beats) <= MOST_BEATS:
            yield passage


def _parts_in_turn(cadence: CadenceType, key: Key, step: Rung, rng: Random) -> list[tuple[tuple[str, ...], Key]]:
    """The cadence with its surroundings; perhaps another center's cadence after it or before it."""
    inside = material.phrase(cadence, key, step, rng).written
    if rng.random() >= _MOVES_OFTEN[step.number]:
        return [(inside, key)]
    open_end = cadence.id in material.STAY_OPEN or cadence.id in material.ENDS_ITSELF
    if not open_end and rng.random() < 0.5:
        up, mode = rng.choice(SECOND_MOVES[key.mode])
        return [(inside, key), (rng.choice(CONFIRMING[mode]), moved(key, up, mode))]
    up, mode = rng.choice([one for one in SECOND_MOVES[key.mode] if one[1] == key.mode])
    return [(rng.choice(CONFIRMING[key.mode]), key), (inside, moved(key, up, mode))]


def _windows(unit: str, tune: TuneMaterial) -> list[Window]:
    """Four to eight bars around a cadence of the type."""
    found: list[Window] = []
    for cadence in material.cadences_in(tune, unit):
        low, high = (tune.timeline.spans[cadence.chords[n]].bar for n in (0, -1))
        for first in range(high - MOST_BARS + 1, low + 1):
            for last in range(max(high, first + LEAST_BARS - 1), first + MOST_BARS):
                window = window_of_bars(tune, first, last)
                if window is not None and window not in found:
                    found.append(window)
    return found


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has something to ask for a unit."""
    return bool(_windows(unit, tune))


def _question(
    cadence: CadenceType,
    step: Rung,
    passage: Confirmed,
    key: Key,
    rng: Random,
    seed: int,
    *,
    tempo: Fraction,
    meter: Meter = FOUR_FOUR,
    named: str = TABLE,
) -> Question | None:
    """The question of a passage; None where a reading doesn't find each chord, or too few rows can be offered."""
    style, start_on = rng.choice(step.styles), rng.choice((None, 3, 7))
    blanks = tuple(range(len(passage.chords)))
    right = _row(passage, key)
    question = Question(
        kind=ID, unit=cadence.id, rung=step.number, seed=seed, prompt="", key=key, confirm=step.confirmed,
        tempo=tempo, meter=meter, chords=passage.chords, beats=passage.beats,
        numerals=tuple(numeral_of(chord, key).text for chord in passage.chords), blanks=blanks,
        fields=_fields(passage), choices=None, accepted=(right, *_by_pivots(passage, key)),
        explanation=_explanation(cadence, passage), guess_chance=min(MOST_FREE_GUESS, (1 / 7) ** len(blanks)),
        style=style, with_bass=step.always_bass or style in ("rootless", "guide-tones") or rng.random() < 0.5,
        start_on=start_on, material=named, centers=passage.centers,
    )  # fmt: skip
    sure = surely_heard(question, all_held) if holds(question).functions else None
    if sure is None:
        return None
    question = sure
    choices = None
    if step.choices is not None:
        choices = _choices(question, right, step.choices, rng)
        if len(choices) != step.choices:
            return None
    guess = question.guess_chance if choices is None else 1 / len(choices)
    prompt = _prompt(question, step, choices)
    return replace(question, prompt=prompt, choices=choices, guess_chance=guess)


def _choices(question: Question, right: Row, count: int, rng: Random) -> tuple[Row, ...]:
    """The right row among others that differ in a chord or two."""
    voiced = voice(question.chords, question.style, True, start_on=question.start_on)
    sounds = ambiguity.sounding(voiced, question.style)
    return offered(question.unit, right, question.key, sounds, count, rng)


def _row(passage: Confirmed, key: Key) -> Row:
    """The right row: each chord in its center, the center before the first chord in it."""
    row = []
    for n, (chord, center) in enumerate(zip(passage.chords, passage.centers, strict=True)):
        text = numeral_of(chord, center).text
        before = passage.centers[n - 1] if n else key
        row.append(text if center == before else f"to {center_text(center, key)}: {text}")
    return tuple(row)


def _by_pivots(passage: Confirmed, key: Key) -> tuple[Row, ...]:
    """The row with a new center's first chord still in the old one, where it is at home in both."""
    centers = list(passage.centers)
    for n in range(1, len(centers)):
        old, new = passage.centers[n - 1], passage.centers[n]
        if old != new and n + 1 < len(centers) and passage.centers[n + 1] == new and _at_home(passage, n, old):
            centers[n] = old
    other = Confirmed(passage.chords, tuple(centers), passage.beats)
    return () if other.centers == passage.centers else (_row(other, key),)


def _at_home(passage: Confirmed, n: int, key: Key) -> bool:
    """Whether a chord is a usual one of a key, no dominant."""
    chord = passage.chords[n]
    usual = USUAL[key.mode].get((chord.root.pitch_class - key.tonic.pitch_class) % 12)
    return usual is not None and not chord.quality.dominant and color(QUALITY[usual]) == color(chord.quality)


def _fields(passage: Confirmed) -> Row:
    chords = tuple(f"chord {n + 1}" for n in range(len(passage.chords)))
    return (*chords, *(_center_field(stay.start) for stay in stays(passage.centers)[1:]))


def _center_field(at: int) -> str:
    return f"center at chord {at + 1}"


def _prompt(question: Question, step: Rung, choices: tuple[Row, ...] | None) -> str:
    where = f"The key of {question.key.name} is given. " if step.confirmed else "The key is not given. "
    bars = sum(question.beats, Fraction(0)) / question.meter.beats
    count = f"{bars} bars" if bars.denominator == 1 else f"{float(bars):g} bars"
    sound = f"{where}{len(question.chords)} chords sound in {count}."
    if choices:
        return f"{sound} Which row of functions is it?"
    blanks = " ".join("_" for _ in question.blanks)
    ask = "Which functions are they, each in its key center, and where does the center move, if it does?"
    return f"{sound} {ask} {blanks}"


def _explanation(cadence: CadenceType, passage: Confirmed) -> str:
    told = []
    for stay in stays(passage.centers):
        center = passage.centers[stay.start]
        names = " ".join(passage.chords[n].text for n in stay)
        told.append(f"{names} is {' '.join(numeral_of(passage.chords[n], center).text for n in stay)} in {center.name}")
    return f"{'; '.join(told)}. In it: {cadence.name}. {cadence.about}"


read = dictation_answer.read
accepts = dictation_answer.accepts


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark an answer, chord by chord and center by center."""
    picked = None
    if answer.choice is not None and question.choices is not None:
        picked = question.choices[answer.choice]
        chords, centers = parts_of(question, picked)
        given = tuple(one for one in map(read_chord_heard, chords) if one is not None)
    else:
        assert answer.row is not None
        given, centers = answer.row, answer.centers or ()
    best = max((_marked_parts(question, given, centers, row, picked) for row in question.accepted), key=_sum)
    return marked(
        question, best, picked_wrong=picked is not None and picked not in question.accepted, answer_s=answer_s,
        sound_s=sound_s, helps=helps, taken_for=_taken_for(question, given),
    )  # fmt: skip


def _sum(parts: Sequence[MarkedPart]) -> float:
    total = sum(one.weight for one in parts)
    return sum(one.credit * one.weight for one in parts) / total if total else 0.0


def _taken_for(question: Question, given: Sequence[HeardChord]) -> str | None:
    """The type that an answer has where the asked one sounds."""
    numerals = [numeral_of(c, k).text for c, k in zip(question.chords, question.centers, strict=True)]
    for unit, _, row in (one for n in range(2, 6) for one in ambiguity.table_rows(n)):
        if unit != question.unit:
            continue
        for at in range(len(numerals) - len(row) + 1):
            if tuple(numerals[at : at + len(row)]) == row:
                return named_type(question, given[at : at + len(row)])
    return None


def _center_at(centers: Sequence[HeardCenter], n: int) -> int:
    """Half steps from the first tonic up to the center that holds at a chord."""
    holding = [center for center in centers if center.at <= n and center.up is not None]
    return (holding[-1].up or 0) if holding else 0


def _marked_parts(
    question: Question, given: Sequence[HeardChord], said: Sequence[HeardCenter], row: Row, picked: Row | None
) -> tuple[MarkedPart, ...]:
    chords, centers = parts_of(question, row)
    columns = question.choices and list(zip(*question.choices, strict=True))
    parts = []
    for n, (heard, text) in enumerate(zip(given, chords, strict=True)):
        numeral = parse_numeral(text)
        rule = chord_rule(question.centers[n].mode, heard, numeral, None)
        if rule == "right" and picked is not None and picked[n] != row[n]:
            rule = "other-quality"
        if rule not in ("right", "other-quality", "left-out") and _same_root(heard, said, numeral, centers, n):
            rule = "counted-elsewhere"
        weight = float(len(set(columns[n])) > 1) if columns else 1.0
        parts.append(part(question.fields[n], rule, heard.text, row[n], weight))
    return (*parts, *_center_parts(said, centers))


def _same_root(
    heard: HeardChord, said: Sequence[HeardCenter], right: Numeral, centers: Sequence[HeardCenter], n: int
) -> bool:
    mine = _center_at(said, n) + heard.degrees[0].semitones
    return (mine - _center_at(centers, n) - right.degree.semitones) % 12 == 0


def _center_parts(said: Sequence[HeardCenter], centers: Sequence[HeardCenter]) -> tuple[MarkedPart, ...]:
    """Each center that is reached, and each that was said and isn't."""
    left = list(said)
    parts = []
    for right in centers:
        assert right.up is not None
        assert right.mode is not None
        near = [one for one in left if abs(one.at - right.at) <= 1]
        best = min(
            near, key=lambda one: (abs(one.at - right.at), (one.up, one.mode) != (right.up, right.mode)), default=None
        )
        if best is None:
            parts.append(part(_center_field(right.at), "move-not-noticed", "", right.text, CENTER_WEIGHT))
            continue
        left.remove(best)
        rule = center_rule(best.up, best.mode, right.up, right.mode)
        if rule == "right" and best.at != right.at:
            rule = "one-chord-off"
        parts.append(part(_center_field(right.at), rule, best.text, right.text, CENTER_WEIGHT))
    parts += [part(_center_field(one.at), "no-move", one.text, "as before", CENTER_WEIGHT) for one in left]
    return tuple(parts)


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The question as the answer has it."""
    picked: Row = ()
    if answer.choice is not None and question.choices is not None:
        picked, centers = parts_of(question, question.choices[answer.choice])
        given = tuple(one for one in map(read_chord_heard, picked) if one is not None)
    else:
        given, centers = answer.row or (), answer.centers or ()
    chords = []
    for n, (mine, right) in enumerate(zip(given, question.chords, strict=False)):
        holding = [one for one in centers if one.at <= n and one.up is not None and one.mode is not None]
        key = question.key
        if holding:
            key = moved(question.key, holding[-1].up or 0, holding[-1].mode or key.mode)
        if picked:
            chords.append(chord_of(parse_numeral(picked[n]), key).practical())
        else:
            chords.append(chord_meant(replace(question, key=key), mine, right))
    return perform(question, chords, question.beats, helps, "answer")


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    tonic = question.key.tonic.pitch_class
    groups = []
    for chord, center in zip(question.chords, question.centers, strict=True):
        there = (center.tonic.pitch_class - tonic) % 12
        up = (chord.root.pitch_class - center.tonic.pitch_class) % 12
        groups.append(Pointed((there, there + up), (chord,)))
    return pointed_answer(question, question.key, groups)


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
