"""What the tests of drills share: every question there is, and invented tunes that were read."""

from functools import cache

from hypothesis import strategies as st

from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.drills import kinds
from trainer.drills.mark import Mark
from trainer.drills.material import TuneMaterial
from trainer.drills.question import Question
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.analysis import analyze

SLIPWAY = """title: The Slipway at Low Water
key: F
meter: 4/4
tempo: 138

[A]
| Fmaj7 | Dm7 | Gm7 C7 | Fmaj7 |
| Fmaj7 | D7b9 | Gm7 | C7 |
[B]
| Gm7 | Ebm7 Ab7 | Dbmaj7 | C7 |
| Fmaj7 | % | Gm7 C7 | F6 |
"""
"""Invented for these tests: a two-five-one, a turnaround, and a two that Db major breaks into."""

WALTZ = """title: Three Legs of the Trestle
key: C minor
meter: 3/4
tempo: 150

| Cm6 | Dm7b5 | G7b9 | Cm6 | Fm7 | G7b9 | Cm6 | % |
"""

PAIRS = [(kind.id, unit) for kind in kinds.KINDS.values() for unit in kind.units]
"""Every kind with every unit it can train."""

NAMING = [unit for kind, unit in PAIRS if kind == "name-functions"]
APART = [unit for kind, unit in PAIRS if kind == "tell-apart"]
CATCHING = [unit for kind, unit in PAIRS if kind == "catch-interruption"]

seeds = st.integers(0, 2**31 - 1)
rungs = st.integers(1, 6)


@st.composite
def questions(draw: st.DrawFn) -> Question:
    """Any question of the table."""
    kind, unit = draw(st.sampled_from(PAIRS))
    return kinds.build(kind, unit, draw(rungs), draw(seeds))


def halves(question: Question) -> tuple[tuple[ChordSymbol, ...], ...]:
    """The chords of each stretch of a question: of one, or of two."""
    if question.two is None:
        return (question.chords,)
    return (question.chords[: question.two.size], question.chords[question.two.size :])


@cache
def material(text: str, id: str) -> TuneMaterial:
    """A chart's text as material."""
    timeline = unfold(read_chart(text, id))
    return TuneMaterial(id, timeline, analyze(timeline))


def first_where(kind: str, unit: str, rung: int, wanted: object) -> Question:
    """The first question, by seed, for which a predicate holds."""
    assert callable(wanted)
    return next(q for q in (kinds.build(kind, unit, rung, seed) for seed in range(500)) if wanted(q))


def marked(question: Question, text: str, helps: tuple[str, ...] = ()) -> Mark:
    """The mark of a typed answer."""
    return kinds.mark_answer(question, kinds.read_answer(question, text), 5.0, helps)
