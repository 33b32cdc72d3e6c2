"""The first minute: one chord of rest and one two–five–one, tried out before anything is counted.

Neither is logged: they show how one listens and answers, and say by ear what home is and what leads there.
"""

from fractions import Fraction
from random import Random

from trainer.drills.kinds import build
from trainer.drills.question import Question
from trainer.harmony.key import parse_key
from trainer.harmony.numeral import Degree, parse_numeral
from trainer.harmony.symbol import parse_chord
from trainer.records import dataclass
from trainer.voicing.performance import perform_progression
from trainer.voicing.sheet import Performance

HOME_KEY, HOME_CHORD, AWAY_CHORD = "C major", "Cmaj7", "G7"
TEMPO = 80
KIND, UNIT, RUNG = "name-functions", "major-two-five-one", 1
KEY = "F major"


@dataclass(frozen=True, slots=True)
class FirstStep:
    """Something to hear and to answer by one digit."""

    prompt: str
    performance: Performance
    beats: tuple[Fraction, ...]
    """How long each chord of the row is."""
    rows: tuple[tuple[str, ...], ...]
    """What each digit stands for; empty where it is the chord of that number."""
    right: int
    """The digit of the right one."""
    choices: int
    """So many digits there are."""
    told: str
    """Said once it was heard."""
    other: str
    """Said where it was not; then it sounds again."""


def first_steps(rng: Random) -> tuple[FirstStep, FirstStep]:
    """The two steps; chance says where the right one stands."""
    return _home(rng), _two_five_one(rng)


def _home(rng: Random) -> FirstStep:
    right = rng.choice((1, 2))
    names = (HOME_CHORD, AWAY_CHORD) if right == 1 else (AWAY_CHORD, HOME_CHORD)
    lengths = (Fraction(4), Fraction(4))
    performance = perform_progression(
        [parse_chord(name) for name in names], lengths, TEMPO, confirm=parse_key(HOME_KEY)
    )
    return FirstStep(
        prompt="A key is played, then two chords. Which one is home, where the music comes to rest: 1 or 2?",
        performance=performance,
        beats=lengths,
        rows=(),
        right=right,
        choices=2,
        told="Right. That is the chord of rest, the one of its key: degree 1.",
        other=f"The other one: chord {right} rests, chord {3 - right} wants to go on. Listen again.",
    )


def _two_five_one(rng: Random) -> FirstStep:
    question = _drawn(rng)
    while sum(_degrees(row) == _degrees(question.accepted[0]) for row in question.choices or ()) > 1:
        question = _drawn(rng)  # so that degrees alone tell which row it is
    rows = question.choices or ()
    right = next(n for n, row in enumerate(rows, 1) if row in question.accepted)
    answer = " ".join(rows[right - 1])
    return FirstStep(
        prompt="A two–five–one: from the chord on degree 2 over the one on 5 home to 1. Which row do you hear?",
        performance=question.performance(),
        beats=question.beats,
        rows=rows,
        right=right,
        choices=len(rows),
        told=f"Right: {answer}. Most tunes are made of these three.",
        other=f"It is row {right}, {answer}. Listen again.",
    )


def _drawn(rng: Random) -> Question:
    return build(KIND, UNIT, RUNG, rng.randrange(2**31), key=parse_key(KEY))


def _degrees(row: tuple[str, ...]) -> list[Degree]:
    """The degrees of a row, whatever stands on them."""
    return [parse_numeral(cell).degree for cell in row]
