"""Phrases of tunes as questions: in another key, at the tune's tempo, around what was found there."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.amounts import amount
from tests.trainer.drills.drilling import PAIRS, SLIPWAY, WALTZ, halves, marked, material, seeds
from trainer.charts.library import exercise_tunes
from trainer.drills import kinds
from trainer.drills.kinds import heard_answer
from trainer.drills.rungs import DrillError
from trainer.drills.units import MOVE
from trainer.harmony.key import parse_key


@given(st.sampled_from([5, 6]), seeds)
def test_a_tunes_phrase_keeps_its_shape_in_another_key(rung: int, seed: int) -> None:
    """Chords are those of the tune, moved by one interval; tempo and material are the tune's."""
    tune = material(SLIPWAY, "slipway")
    question = kinds.build("name-functions", "major-two-five-one", rung, seed, tune)
    assert ("tune:slipway", 138) == (question.material, question.tempo)
    up = (question.key.tonic.pitch_class - parse_key("F").tonic.pitch_class) % 12
    roots = [span.symbol.root.pitch_class for span in tune.timeline.spans if span.symbol]
    moved = [(root + up) % 12 for root in roots]
    asked = [chord.root.pitch_class for chord in question.chords]
    once = [root for n, root in enumerate(moved) if n == 0 or moved[n - 1] != root]
    assert any(asked == once[n : n + len(asked)] for n in range(len(once)))
    assert marked(question, "2 5 1").exact
    assert sum(question.beats) <= 32


def test_a_waltz_stays_a_waltz() -> None:
    """The meter of the tune is kept."""
    question = kinds.build("name-functions", "minor-two-five-one", 5, 4, material(WALTZ, "waltz"))
    assert (3, 4) == (question.meter.beats, question.meter.unit)
    assert 3 == question.performance().score.meters[0].beats
    assert "minor" == question.key.mode


@given(seeds)
def test_an_interruption_of_a_tune(seed: int) -> None:
    """Where it breaks in, the answer is the tune's: a minor sixth up, that is a major third down."""
    question = kinds.build(
        "catch-interruption", "interrupted-after-two", 5, seed, material(SLIPWAY, "slipway")
    )
    assert question.broken is not None
    if question.broken.breaks_in:
        assert "down a major third" == question.accepted[0][2]
        assert question.broken.chords[0] + 1 == int(question.accepted[0][1])
    else:
        assert (("no",),) == question.accepted


def test_a_tune_without_it_is_told() -> None:
    """A tune that holds none of a type can't be asked for it, and a cadence alone isn't a tune's."""
    waltz = material(WALTZ, "waltz")
    for kind, unit in (("name-functions", "backdoor"), ("catch-interruption", "interrupted-after-five")):
        assert not kinds.KINDS[kind].stretches(unit, waltz)
        with pytest.raises(DrillError, match="waltz holds no"):
            kinds.build(kind, unit, 5, 1, waltz)
    with pytest.raises(DrillError, match="a tune's phrase is for rungs 5 and 6"):
        kinds.build("name-functions", "minor-two-five-one", 3, 1, waltz)


def test_drawing_takes_phrases_from_table_and_tunes(rng: Random) -> None:
    """Drawn on a rung with phrases, some come from the tune and some from the table; each builds again."""
    tunes = {"slipway": material(SLIPWAY, "slipway"), "waltz": material(WALTZ, "waltz")}
    bag, seen = None, set()
    for _ in range(30):
        question, bag = kinds.draw("name-functions", "major-two-five-one", 5, rng, bag, tuple(tunes.values()))
        seen.add(question.material)
        tune = tunes.get(question.material.removeprefix("tune:"))
        again = kinds.build(question.kind, question.unit, question.rung, question.seed, tune, question.key)
        assert question == again
    assert {"table", "tune:slipway"} == seen


@given(st.sampled_from([1, 3, 5]), seeds)
def test_an_answer_can_be_heard(rung: int, seed: int) -> None:
    """The answer's chords sound in the blanks, with its own role; a right answer sounds as asked."""
    question = kinds.build("name-functions", "major-two-five-one", rung, seed)
    right = heard_answer(question, kinds.read_answer(question, " ".join(question.accepted[0])))
    assert list(question.chords) == [c.symbol for c in right.chords if c.role == "answer"]
    if question.choices is None and len(question.blanks) == 3:
        wrong = heard_answer(question, kinds.read_answer(question, "4 b7 1"))
        sounding = [c.symbol for c in wrong.chords if c.role == "answer"]
        up = [(sounding[n].root.pitch_class - question.key.tonic.pitch_class) % 12 for n in question.blanks]
        assert [5, 10, 0] == up


@given(seeds)
def test_a_cadence_can_be_heard_without_its_interruption(seed: int) -> None:
    """What is set beside an interrupted cadence is the same without the foreign chords."""
    question = kinds.build("catch-interruption", "interrupted-after-two", 4, seed)
    assert question.broken is not None
    played = heard_answer(question, kinds.read_answer(question, "no"))
    left_out = len(question.broken.chords) if question.broken.breaks_in else 0
    assert len(question.chords) - left_out == len(played.chords)


@pytest.mark.parametrize("id", [id for id, _ in exercise_tunes()])
def test_the_exercise_tunes_give_phrases(id: str) -> None:
    """Whatever an exercise tune holds can be asked: at most eight bars, with the asked chords, sounding."""
    tune = material(dict(exercise_tunes())[id].read_text(encoding="utf-8"), id)
    for kind, unit in [pair for pair in PAIRS if kinds.KINDS[pair[0]].stretches(pair[1], tune)]:
        for seed in range(amount(3, 1)):
            question = kinds.build(kind, unit, 5, seed, tune)
            bars = sum(question.beats) / question.meter.beats
            assert 0 < bars <= 8 * len(halves(question))
            assert bool(question.blanks) == (kind in ("name-functions", "guide-tones", "dictation"))
            assert bool(question.stretch) == (kind in ("name-cadence", "finish-it"))
            assert len(question.chords) <= len(question.performance().chords)
            assert marked(question, question.correct).exact


def test_most_types_have_a_phrase_in_the_exercise_tunes() -> None:
    """Three of four cadence types, interruptions among them, can be asked inside an exercise tune, and 2 of 5 moves."""
    tunes = [material(path.read_text(encoding="utf-8"), id) for id, path in exercise_tunes()]
    found = {pair for pair in PAIRS if any(kinds.KINDS[pair[0]].stretches(pair[1], tune) for tune in tunes)}
    for least, moves in ((0.75, False), (0.4, True)):
        have, all_of_them = ({unit for _, unit in some if unit.startswith(MOVE) == moves} for some in (found, PAIRS))
        assert len(have) >= least * len(all_of_them)
    assert {"catch-interruption", "tell-apart"} <= {kind for kind, _ in found}
