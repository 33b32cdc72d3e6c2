"""A question: what sounds, what is asked of it, and what is accepted as an answer.

Chords count from 0 here and from 1 for the player. Beats are exact, in units of the meter. What
sounds is made from the values alone, so the same question always sounds the same.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal

from trainer.charts.chart import Meter
from trainer.drills.rungs import DrillError
from trainer.harmony.key import Key
from trainer.harmony.numeral import numeral_of
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass
from trainer.voicing.leading import VoicedChord, voice
from trainer.voicing.performance import Hearing, Performance, joined, perform_progression
from trainer.voicing.shapes import Style

SCHEMA = "keyfarer/question/1"

Help = Literal["again", "slower", "bass", "guide", "arpeggio", "key"]
"""Ways to hear a question once more; `key` gives the key first."""

HELPS: tuple[Help, ...] = ("again", "slower", "bass", "guide", "arpeggio", "key")

BETWEEN_S = 0.8
"""A breath between two stretches, at least; the second one begins with a bar."""

SLOWER = Fraction(3, 2)
"""How much longer everything lasts when it is played slower."""

Row = tuple[str, ...]
"""One answer, part by part, as text."""

STARTS: tuple[int | None, ...] = (None, 3, 7, 5, 1)
"""Degrees that may be wanted lowest in a first chord; None leaves it to the leading."""

ANSWER = "answer"
"""The role of what is set beside a question; it lies where the question lies."""
TABLE = "table"
FOUR_FOUR = Meter(4, 4)


@dataclass(frozen=True, slots=True)
class Broken:
    """What the chords of an interruption question do, asked or not."""

    awaited: Key
    """The key that the first preparation points to."""
    foreign: Key | None
    """The other key that cadences; None where there is none."""
    breaks_in: bool
    """The foreign cadence is an interruption: the first preparation is taken up again after it."""
    chords: tuple[int, ...]
    """The foreign cadence's chords."""
    story: str
    """What happens, for the explanation."""


@dataclass(frozen=True, slots=True)
class Two:
    """What two stretches are that are set beside each other; each is one of two types."""

    other: str
    """The type beside the one that is asked."""
    size: int
    """Chords in each stretch."""
    asked: tuple[ChordSymbol, ...]
    """A stretch of the asked type."""
    instead: tuple[ChordSymbol, ...]
    """The same stretch with the other type in it."""
    row: Row
    """The asked type's numerals, for the chords that make it."""
    row_instead: Row
    """The other type's, as many."""
    within: tuple[int, ...]
    """Which chords of a stretch those are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question of one drill."""

    kind: str
    unit: str
    rung: int
    seed: int
    prompt: str
    key: Key
    """The key that degrees count from; the key that is given where one is."""
    confirm: bool
    tempo: Fraction
    """Quarter notes a minute, dotted ones in compound meters."""
    meter: Meter = FOUR_FOUR
    chords: tuple[ChordSymbol, ...]
    beats: tuple[Fraction, ...]
    numerals: Row
    """Every chord as a degree of `key`."""
    blanks: tuple[int, ...]
    """The chords that are asked."""
    fields: Row
    """What each part of an answer says, in a player's words."""
    choices: tuple[Row, ...] | None
    """Answers offered; None is a free answer."""
    accepted: tuple[Row, ...]
    """Right answers; the first is how the house writes it."""
    explanation: str
    guess_chance: float
    """Chance of guessing all of it right."""
    style: Style = "close"
    with_bass: bool = True
    start_on: int | None = None
    """The degree wanted lowest in the first chord."""
    material: str = TABLE
    """`table`, or `tune:` and the tune's id."""
    qualities: bool = False
    """Bare degrees are no full answer: no rung asks for that yet."""
    broken: Broken | None = None
    centers: tuple[Key, ...] = ()
    """The key center that each chord is in, where centers are asked; else empty."""
    stretch: tuple[int, ...] = ()
    """The chords that are asked about, where no row of blanks is filled."""
    tones: bool = False
    """The blanks ask for a voice's tones as degrees of the key, not for the chords' functions."""
    ending: ChordSymbol | None = None
    """The chord that the question stops short of; it is heard with the answer."""
    two: Two | None = None
    """None where one stretch sounds; else `chords` holds the first and then the second of two."""
    against: str | None = None
    """The type that was wanted beside it when it was drawn; None left that open."""

    @property
    def by_center(self) -> Row:
        """Every chord as a degree of the center that it is in; of the key where centers aren't asked."""
        if not self.centers:
            return self.numerals
        return tuple(numeral_of(chord, key).text for chord, key in zip(self.chords, self.centers, strict=True))

    @property
    def voicing(self) -> str:
        """How it is voiced, for the log: `shells with bass`."""
        return f"{self.style} {'with' if self.with_bass else 'without'} bass"

    @property
    def correct(self) -> str:
        """The right answer as the house writes it."""
        return " ".join(self.accepted[0])

    def performance(self, helps: Sequence[str] = ()) -> Performance:
        """What sounds: as asked, or as the helps change it. Raises DrillError for an unknown help."""
        return perform(self, self.chords, self.beats, helps, "question")


_performed = lru_cache(maxsize=64)(perform_progression)
"""A question is looked at, played, marked and logged: made once, it serves all of that."""


def perform(
    question: Question,
    chords: Sequence[ChordSymbol],
    beats: Sequence[Fraction],
    helps: Sequence[str],
    role: str,
) -> Performance:
    """Some chords as a question sounds, changed by the helps. Raises DrillError for an unknown help."""
    for word in helps:
        if word not in HELPS:
            raise DrillError(f"there is no help {word!r}; there are {', '.join(HELPS)}")
    if question.two is not None and len(chords) == 2 * question.two.size:
        size, later = question.two.size, [word for word in helps if word != "key"]  # it is given once
        one = replace(question, two=None, chords=tuple(chords[:size]))
        start_on = nearest_start(one, chords[size:], one.chords)
        other = replace(one, confirm=False, chords=tuple(chords[size:]), start_on=start_on)
        first = perform(one, one.chords, beats[:size], helps, role)
        second = perform(other, other.chords, beats[size:], later, role)
        return joined(first, second, BETWEEN_S)
    start_on = nearest_start(question, chords, question.chords) if role == ANSWER else question.start_on
    hearing: Hearing = "all"
    for word in helps:
        hearing = {"bass": "bass", "guide": "guide-tones"}.get(word, hearing)  # type: ignore[assignment]
    return _performed(
        tuple(chords),
        tuple(beats),
        question.tempo,
        question.style,
        question.with_bass,
        question.key if question.confirm or "key" in helps else None,
        meter=question.meter,
        start_on=start_on,
        hearing=hearing,
        arpeggiate="arpeggio" in helps,
        slower=SLOWER if "slower" in helps else 1,
        roles=(role,) * len(chords),
        key=question.key,
        seed=question.seed,
    )


def as_it_was(question: Question, helps: Sequence[str] = (), role: str = "question") -> Performance:
    """The question as one hears it when the answer is known: with its ending, where it stops short of one."""
    if question.ending is None:
        return perform(question, question.chords, question.beats, helps, role)
    return perform_ended(question, question.ending, helps, role)


def perform_ended(
    question: Question, ending: ChordSymbol, helps: Sequence[str] = (), role: str = "question"
) -> Performance:
    """The question with a chord at its end, which lasts a bar."""
    beats = (*question.beats, Fraction(question.meter.beats))
    return perform(question, (*question.chords, ending), beats, helps, role)


def nearest_start(question: Question, chords: Sequence[ChordSymbol], beside: Sequence[ChordSymbol]) -> int | None:
    """The degree to be wanted lowest in the first of some chords, so that they lie where others of the question lie.

    Chords that are in both rows sound alike where they can; otherwise what is compared would be the registers.
    """
    if tuple(chords) == tuple(beside):
        return question.start_on
    return _nearest(question.style, question.with_bass, question.start_on, tuple(chords), tuple(beside))


@lru_cache(maxsize=256)
def _nearest(
    style: Style, bass: bool, start_on: int | None, chords: tuple[ChordSymbol, ...], beside: tuple[ChordSymbol, ...]
) -> int | None:
    other = voice(beside, style, bass, start_on=start_on)

    def away(start: int | None) -> int:
        own = voice(chords, style, bass, start_on=start)
        middles = (abs(_middle(one) - _middle(mine)) for one, mine in zip(other, own, strict=False))
        return sum(middles) + sum(one.midi != mine.midi for one, mine in zip(other, own, strict=False))

    return min((start_on, *(start for start in STARTS if start != start_on)), key=away)


def _middle(chord: VoicedChord) -> int:
    return round(sum(pitch.midi for pitch in chord.keys) / len(chord.keys))


def sound_s(question: Question) -> float:
    """How long the question sounds as asked, the key's confirmation included."""
    return question.performance().score.duration_s


def question_json(question: Question, performance: Performance | None = None) -> dict[str, Any]:
    """The question as plain values, schema keyfarer/question/1: a public contract."""
    played = performance or question.performance()
    return {
        "schema": SCHEMA,
        "kind": question.kind,
        "unit": question.unit,
        "rung": question.rung,
        "seed": question.seed,
        "prompt": question.prompt,
        "key": {"tonic": str(question.key.tonic), "mode": question.key.mode},
        "tempo": _number(question.tempo),
        "chords": [
            {
                "symbol": chord.symbol.text,
                "from_s": round(chord.from_s, 6),
                "until_s": round(chord.until_s, 6),
                "role": chord.role,
            }
            for chord in played.chords
        ],
        "notes": [
            {
                "onset_s": round(note.onset_s, 6),
                "duration_s": round(note.duration_s, 6),
                "midi": note.midi,
                "part": note.part,
                "role": note.role,
            }
            for note in played.score.notes
        ],
        "choices": None if question.choices is None else [list(row) for row in question.choices],
        "accepted": [list(row) for row in question.accepted],
        "explanation": question.explanation,
        **({} if question.against is None else {"against": question.against}),
    }


def _number(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else float(value)
