"""The ladder as the course has it, and keys by the shuffled bag."""

from random import Random

import pytest
from hypothesis import given

from tests.amounts import amount
from tests.trainer.drills.drilling import PAIRS, questions, seeds
from trainer.drills import kinds
from trainer.drills.question import Question
from trainer.drills.rungs import RUNGS, KeyBag, allowed_tonics, draw_key, find_rung

EASY = {"C", "F", "G", "Bb", "D", "Eb"}
"""The first rung's keys (the course's table of rungs)."""
EASY_MINOR = {"A", "D", "E", "G", "B", "C"}
"""Their relative minors (common practice, no source)."""


def test_each_rung_is_one_thing_harder() -> None:
    """Each rung has what the one below had, but for what the ladder says."""
    seen = [
        (r.easy_keys, r.confirmed, r.styles, r.always_bass, r.phrase, r.choices)
        for r in (RUNGS[n] for n in sorted(RUNGS))
    ]
    assert [True, False, False, False, False, False] == [row[0] for row in seen]
    assert [True, True, True, False, False, False] == [row[1] for row in seen]
    assert [("close",)] * 2 + [("shells", "rootless")] * 2 == [row[2] for row in seen[:4]]
    assert [True] * 5 + [False] == [row[3] for row in seen]
    assert [False] * 4 + [True] * 2 == [row[4] for row in seen]
    assert [3, 4, None, None, None, None] == [row[5] for row in seen]


@given(questions())
def test_a_question_is_as_its_rung_says(question: Question) -> None:
    """Key given or not, style, bass, tempo and the kind of answer are the rung's."""
    rung = find_rung(question.rung)
    assert rung.confirmed == question.confirm
    assert question.style in rung.styles
    assert question.with_bass or not rung.always_bass
    assert question.tempo in rung.tempos
    assert rung.choices == (None if question.choices is None else len(question.choices))


@pytest.mark.parametrize(("kind", "unit"), PAIRS)
def test_the_first_rung_keeps_to_easy_keys(kind: str, unit: str) -> None:
    """On rung 1 the key is one of six or of their relative minors."""
    keys = {kinds.build(kind, unit, 1, seed).key for seed in range(amount(12, 4))}
    assert {str(key.tonic) for key in keys} <= (EASY if keys.pop().mode == "major" else EASY_MINOR)


@given(seeds)
def test_the_bag_holds_each_key_once(seed: int) -> None:
    """Twelve keys in a row are all different, from the second rung on; the next twelve again."""
    rng, bag = Random(seed), KeyBag()
    drawn = []
    for _ in range(24):
        key, bag = draw_key(bag, RUNGS[3], "major", rng)
        drawn.append(key.tonic.pitch_class)
    assert list(range(12)) == sorted(drawn[:12])
    assert list(range(12)) == sorted(drawn[12:])


@given(seeds)
def test_one_bag_serves_rungs_of_both_kinds(seed: int) -> None:
    """A rung of few keys takes the next that it allows and leaves the others in the bag."""
    rng, bag = Random(seed), KeyBag()
    for turn in range(30):
        rung = RUNGS[1 + turn % 3]
        key, bag = draw_key(bag, rung, "minor", rng)
        assert key.tonic.pitch_class in allowed_tonics(rung, "minor")
        assert len(set(bag.left)) == len(bag.left)


def test_drawing_takes_the_key_from_the_bag() -> None:
    """Questions drawn one after the other for a unit go through all twelve keys, and can be built again."""
    rng, bag = Random(3), KeyBag()
    seen = set()
    for _ in range(12):
        question, bag = kinds.draw("name-functions", "backdoor", 3, rng, bag)
        seen.add(question.key.tonic.pitch_class)
        again = kinds.build(question.kind, question.unit, question.rung, question.seed, key=question.key)
        assert question == again
    assert set(range(12)) == seen
