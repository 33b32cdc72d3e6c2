"""Name the key move: two or more centers sound, each confirmed by a cadence; each move has interval, direction, mode.

One move on the first four rungs, two or three where it stands in a phrase, the unit's among them. The tritone
has no direction. What sounds is read without knowing the answer until just the asked centers are found.
"""

from collections.abc import Sequence
from fractions import Fraction
from functools import partial
from itertools import pairwise
from random import Random

from trainer.charts.chart import Meter
from trainer.drills.answer import Answer, AnswerError, HeardCenter, cleaned, picked, what_picks
from trainer.drills.center_answer import center_rule, move_text, pieces, read_move
from trainer.drills.checked import all_held, surely_heard
from trainer.drills.confirmed_centers import SECOND_MOVES, Confirmed, centers_in_turn, confirmed, moved, stays
from trainer.drills.distances import short_way
from trainer.drills.heard_centers import heard_in_turn
from trainer.drills.holds import holds
from trainer.drills.hub import around_a_hub
from trainer.drills.mark import Mark, MarkedPart, marked, part
from trainer.drills.material import TuneMaterial
from trainer.drills.move_table import MOVES, move_id
from trainer.drills.question import FOUR_FOUR, TABLE, Question, Row
from trainer.drills.rungs import DrillError, Rung, find_rung
from trainer.drills.told_by_ear import pointed_answer
from trainer.drills.tune_centers import change_windows, in_key
from trainer.drills.units import MoveUnit, find_unit
from trainer.harmony.key import Key, Mode
from trainer.harmony.numeral import numeral_of
from trainer.voicing.performance import Performance
from trainer.voicing.pointed import Pointed

ID = "key-moves"
NAME = "Name the key move"
ABOUT = "Two or more key centers sound, each confirmed; name interval, direction and mode of each move."
UNITS: tuple[str, ...] = tuple(MOVES)
HOW = (
    "for each move two single notes, the old tonic and the new one, then the chords that confirm the new key;"
    " all of them counted from the first key"
)
"""The answer's sound in a player's words, after the key."""

FIELDS: Row = ("the move",)
MANY: Row = ("first move", "second move", "third move")
FREE_CHOICES = 23
"""Every tonic in both modes but the one that is left."""
_TRIES = 200
_WINDOWS = 12


def trains(unit: str) -> bool:
    """Whether it can train a unit: any move, those of the table come by themselves."""
    try:
        return isinstance(find_unit(unit), MoveUnit)
    except DrillError:
        return False


def mode_of(unit: str) -> Mode:
    """The mode of a unit's first center."""
    return _move(unit).mode_from


def _move(unit: str) -> MoveUnit:
    found = find_unit(unit)
    assert isinstance(found, MoveUnit)
    return found


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
    """Ask for one move, or for two or three with it among them. Raises DrillError where the tune has none of it."""
    move, step = _move(unit), find_rung(rung)
    make = partial(_question, move, step, seed=seed, rng=rng)
    if tune is not None:
        windows = change_windows(tune, move)
        if not windows:
            raise DrillError(f"{tune.id} holds no move {move.name} that fits into a phrase")
        rng.shuffle(windows)
        for window in windows[:_WINDOWS]:
            passage, first, tempo = in_key(tune, window, key)
            question = make(passage, first, tempo=tempo, material=f"tune:{tune.id}", meter=window.meter)
            if holds(question).functions and (sure := surely_heard(question, all_held)) is not None:
                return sure
    for _ in range(_TRIES):
        passage_or_none = confirmed(_centers(move, key, step, rng), step, rng)
        if passage_or_none is None:
            continue
        question = make(passage_or_none, passage_or_none.centers[0], tempo=Fraction(rng.choice(step.tempos)))
        if holds(question).functions and (sure := surely_heard(question, all_held)) is not None:
            return sure
    raise DrillError(f"no passage was found in which the move {move.name} is heard for certain; this is a fault")


def _centers(move: MoveUnit, key: Key, step: Rung, rng: Random) -> tuple[Key, ...]:
    """The centers of a passage of the table; in a phrase another move comes before or after."""
    if not step.phrase:
        return key, moved(key, move.semitones, move.mode_to)
    if rng.random() < 0.5:
        second = moved(key, move.semitones, move.mode_to)
        up, mode = rng.choice(SECOND_MOVES[move.mode_to])
        third = key if rng.random() < 0.25 else moved(second, up, mode)
        return key, second, moved(key, third.tonic.pitch_class - key.tonic.pitch_class, third.mode)
    # The unit's move is the second: the key that was drawn is left for the one where the move begins.
    up, mode = rng.choice([one for one in SECOND_MOVES[move.mode_from] if one[1] == move.mode_from])
    start = moved(key, up, mode)
    last = moved(start, move.semitones, move.mode_to)
    return key, start, moved(key, last.tonic.pitch_class - key.tonic.pitch_class, last.mode)


def _question(
    move: MoveUnit,
    step: Rung,
    passage: Confirmed,
    first: Key,
    *,
    tempo: Fraction,
    seed: int,
    rng: Random,
    material: str = TABLE,
    meter: Meter = FOUR_FOUR,
) -> Question:
    centers = centers_in_turn(passage.centers)
    right = _right(centers)
    fields = FIELDS if len(right) == 1 else MANY[: len(right)]
    choices = None if step.choices is None else _choices(move, step.choices, rng)
    style, start_on = rng.choice(step.styles), rng.choice((None, 3, 7))
    return Question(
        kind=ID, unit=move.id, rung=step.number, seed=seed, prompt=_prompt(passage, step, len(right), first),
        key=first, confirm=step.confirmed, tempo=tempo, meter=meter, chords=passage.chords,
        beats=passage.beats, numerals=tuple(numeral_of(chord, first).text for chord in passage.chords), blanks=(),
        fields=fields, choices=choices, accepted=(right,), explanation=_explanation(passage, centers),
        guess_chance=1 / len(choices) if choices else 1 / FREE_CHOICES ** len(right),
        style=style, with_bass=step.always_bass or style in ("rootless", "guide-tones") or rng.random() < 0.5,
        start_on=start_on, material=material, centers=passage.centers,
    )  # fmt: skip


def _right(centers: Sequence[Key]) -> Row:
    texts = [
        move_text(short_way(new.tonic.pitch_class - old.tonic.pitch_class), old.mode, new.mode)
        for old, new in pairwise(centers)
    ]
    return tuple(text if n == 0 else f"then {text}" for n, text in enumerate(texts))


def _near(semitones: int, mode: Mode) -> list[tuple[int, Mode]]:
    """What a move may be taken for: the other direction, the relative and the parallel key, a step beside it."""
    relative = short_way(semitones + (9 if mode == "major" else 3))
    other: Mode = "minor" if mode == "major" else "major"
    return [
        (short_way(-semitones), mode), (relative, other), (semitones, other), (short_way(semitones + 1), mode),
        (short_way(semitones - 1), mode), (short_way(semitones + 2), mode), (short_way(semitones - 2), mode),
    ]  # fmt: skip


def _choices(move: MoveUnit, count: int, rng: Random) -> tuple[Row, ...]:
    """The right move among others."""

    def near(one: tuple[int, Mode]) -> list[tuple[int, Mode]]:
        return [other for other in dict.fromkeys(_near(*one)) if other not in (one, (0, move.mode_from))]

    offered = around_a_hub((move.semitones, move.mode_to), near, count, rng)
    return tuple((move_text(up, move.mode_from, mode),) for up, mode in offered)


def _prompt(passage: Confirmed, step: Rung, moves: int, first: Key) -> str:
    where = f"The key of {first.name} is given. " if step.confirmed else "The key is not given. "
    if moves == 1:
        heard = "this key" if step.confirmed else "one key"
        return (
            f"{where}{len(passage.chords)} chords sound: {heard} is confirmed and left for another,"
            " which is confirmed too. How far is the move, which way, and to major or minor?"
        )
    return (
        f"{where}{len(passage.chords)} chords sound in {moves + 1} key centers, one after the other. How far is"
        f" each of the {moves} moves, counted from the center before, which way, and to major or minor?"
    )


def _explanation(passage: Confirmed, centers: Sequence[Key]) -> str:
    parts = []
    for stay, center in zip(stays(passage.centers), centers, strict=True):
        names = " ".join(passage.chords[n].text for n in stay)
        parts.append(f"{names} is in {center.name}")
    told = "; ".join(parts)
    moves = ", ".join(_right(centers))
    tonics = " to ".join(center.name for center in centers)
    return f"{told}. From {tonics} it goes {moves}: listen for the new dominant, and for what it comes to rest on."


def stretches(unit: str, tune: TuneMaterial) -> bool:
    """Whether a tune has a unit's move with enough around it."""
    return bool(change_windows(tune, _move(unit)))


def accepts(question: Question) -> str:
    """What may be typed as an answer, in a sentence or two."""
    if (picks := what_picks(question)) is not None:
        return picks
    named = ", or the new key's name" if question.confirm else ""
    many = (
        "" if len(question.fields) == 1 else f" {len(question.fields)} moves, commas between them; `?` leaves one out."
    )
    return (
        f"Type how far and which way, and the mode where it changes: `up a minor third to minor`, `+3 m`, `b3 minor`,"
        f" `parallel minor`{named}.{many}"
    )


def read(question: Question, text: str) -> Answer:
    """Read an answer. Raises AnswerError, which says what is accepted."""
    stripped = cleaned(text)
    if not stripped:
        raise AnswerError(accepts(question))
    if (choice := picked(question, stripped)) is not None:
        return Answer(stripped, choice=choice)
    heard = _heard(question, stripped)
    if all(one.up is None for one in heard):
        raise AnswerError(f"Every move is left out. {accepts(question)} Or `skip`.")
    if question.choices is None:
        return Answer(stripped, centers=heard)
    fitting = [
        index for index, row in enumerate(question.choices) if _said(question, row) == (heard[0].up, heard[0].mode)
    ]
    if len(fitting) == 1:
        return Answer(stripped, choice=fitting[0])
    raise AnswerError(f"That is none of the choices. {accepts(question)}")


def _heard(question: Question, text: str) -> tuple[HeardCenter, ...]:
    befores = centers_in_turn(question.centers)[:-1]
    parts = pieces(text)
    if len(parts) == 1 and len(befores) > 1:
        parts = _apart(question, parts[0], befores) or parts
    if len(parts) != len(befores):
        many = "1 move" if len(parts) == 1 else f"{len(parts)} moves"
        raise AnswerError(f"You gave {many} of {len(befores)}. {accepts(question)}")
    heard = []
    for part_text, before in zip(parts, befores, strict=True):
        one = read_move(part_text, before.mode, before if question.confirm else None)
        if one is None:
            directed = read_move(f"up {part_text}", before.mode)
            hint = " Say `up` or `down` with it." if directed is not None else ""
            raise AnswerError(f"I can't read {part_text[:24]!r} as a move.{hint} {accepts(question)}")
        heard.append(one)
    return tuple(heard)


def _apart(question: Question, text: str, befores: Sequence[Key]) -> list[str] | None:
    """Moves that nothing but spaces part, where there is one way to part them: `+3 m -2`."""
    words = text.split(" ")
    if len(words) > 24:
        return None
    ways: list[list[str]] = [[]]
    for place, before in enumerate(befores):
        known = before if question.confirm else None
        longer = []
        for way in ways:
            used = sum(len(one.split(" ")) for one in way)
            last = place == len(befores) - 1
            for end in [len(words)] if last else range(used + 1, len(words)):
                piece = " ".join(words[used:end])
                if piece and read_move(piece, before.mode, known) is not None:
                    longer.append([*way, piece])
        ways = longer
    return ways[0] if len(ways) == 1 else None


def _said(question: Question, row: Row) -> tuple[int | None, Mode | None]:
    one = read_move(row[0], question.key.mode)
    assert one is not None
    return one.up, one.mode


def mark(
    question: Question,
    answer: Answer,
    *,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
) -> Mark:
    """Mark an answer, move by move."""
    picked_wrong = False
    if answer.choice is not None and question.choices is not None:
        row = question.choices[answer.choice]
        picked_wrong = row not in question.accepted
        heard: tuple[HeardCenter, ...] = (HeardCenter(row[0], *_said(question, row)),)
    else:
        assert answer.centers is not None
        heard = answer.centers
    return marked(
        question, _parts(question, heard), picked_wrong=picked_wrong, answer_s=answer_s, sound_s=sound_s,
        helps=helps, taken_for=_named(question, heard),
    )  # fmt: skip


def _parts(question: Question, heard: Sequence[HeardCenter]) -> tuple[MarkedPart, ...]:
    centers = centers_in_turn(question.centers)
    first = centers[0].tonic.pitch_class
    parts = []
    for place, (old, new) in enumerate(pairwise(centers)):
        said = heard[place]
        right_up = short_way(new.tonic.pitch_class - old.tonic.pitch_class)
        rule = center_rule(said.up, said.mode, right_up, new.mode, moves=True, to_first=first - old.tonic.pitch_class)
        right = move_text(right_up, old.mode, new.mode)
        words = said.text if said.up is None else move_text(short_way(said.up), old.mode, said.mode or old.mode)
        same = said.up is not None and short_way(said.up) == 0 and said.mode == old.mode
        parts.append(part(question.fields[place], rule, "no move" if same else words, right))
    return tuple(parts)


def _named(question: Question, heard: Sequence[HeardCenter]) -> str | None:
    """The move that was said where the unit's was asked."""
    centers = centers_in_turn(question.centers)
    for (old, new), said in zip(pairwise(centers), heard, strict=True):
        up = short_way(new.tonic.pitch_class - old.tonic.pitch_class)
        if move_id(up, old.mode, new.mode) == question.unit and said.up is not None and said.mode is not None:
            same = short_way(said.up) == 0 and said.mode == old.mode
            return None if same else move_id(short_way(said.up), old.mode, said.mode)
    return None


def heard(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The first center as it was, then the others as the answer has them."""
    centers = centers_in_turn(question.centers)
    if answer.choice is not None and question.choices is not None:
        said: Sequence[HeardCenter] = (HeardCenter("", *_said(question, question.choices[answer.choice])),)
    else:
        said = answer.centers or ()
    there = [centers[0]]
    for (old, new), one in zip(pairwise(centers), said, strict=False):
        there.append(new if one.up is None else moved(old, one.up, one.mode or new.mode))
    return heard_in_turn(question, there, helps)


def by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    tonic = question.key.tonic.pitch_class
    centers = centers_in_turn(question.centers)
    groups = []
    for (old, new), stay in zip(pairwise(centers), stays(question.centers)[1:], strict=True):
        start = short_way(old.tonic.pitch_class - tonic)
        up = short_way(new.tonic.pitch_class - old.tonic.pitch_class)
        groups.append(Pointed((start, start + up), tuple(question.chords[n] for n in stay)))
    return pointed_answer(question, question.key, groups)


__all__ = [
    "ABOUT", "HOW", "ID", "NAME", "UNITS",
    "accepts", "build", "by_ear", "heard", "mark", "mode_of", "read", "stretches", "trains",
]  # fmt: skip
