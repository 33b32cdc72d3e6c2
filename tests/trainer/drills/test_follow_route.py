"""A tune's route: guided, from memory, in another key; routes are laid side by side and not place by place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.center_cases import LONG, ROUTES, ferry, route
from tests.trainer.drills.drilling import SLIPWAY, WALTZ, marked, material, seeds
from trainer.drills import kinds
from trainer.drills.answer import AnswerError
from trainer.drills.confirmed_centers import centers_in_turn
from trainer.drills.holds import holds
from trainer.drills.mark import RULES
from trainer.drills.route_alignment import aligned
from trainer.drills.rungs import DrillError, KeyBag
from trainer.harmony.key import parse_key
from trainer.practice.materials import exercise_material


@pytest.mark.parametrize(("typed", "rules"), ROUTES)
def test_each_rule_of_a_route_decides_its_case(typed: str, rules: list[str]) -> None:
    """Degrees of the first key or names; one center too many or too few costs itself and not all that follow."""
    mark = marked(route(3), typed)
    assert rules == [part.rule for part in mark.parts]
    assert mark.exact == (rules == ["right"] * 4)


def test_coming_home_proves_less_than_going_away() -> None:
    """The first center is given and counts for nothing, the return to it counts half."""
    mark = marked(route(3), "1 4 4m 1")
    assert pytest.approx(0.5 / 2.5) == mark.credit
    assert [0.0, 1.0, 1.0, 0.5] == [part.weight for part in mark.parts]


def test_whoever_hears_no_move_gets_little() -> None:
    """The first center alone, and any answer that only comes home again, stay under a third."""
    assert marked(route(3), "1").credit < 1 / 3
    assert marked(route(3), "1 5 1").credit < 1 / 3


@given(st.sampled_from([1, 2]), seeds)
def test_guided_it_is_told_where_the_change_comes(rung: int, seed: int) -> None:
    """One change sounds, the centers so far are told, the next one is chosen of 3 or 4 and never the one left."""
    question = route(rung, seed)
    assert question.choices is not None
    assert {1: 3, 2: 4}[rung] == len(question.choices) == len(set(question.choices))
    assert question.confirm
    assert "C major" == question.key.name
    before, after = centers_in_turn(question.centers)
    assert "bars the center changes" in question.prompt
    assert 1 == sum(row in question.accepted for row in question.choices)
    for row in question.choices:
        named = kinds.read_answer(question, row[0])
        assert question.choices[named.choice or 0] == row
    assert {"Eb major": "bIII", "A minor": "VIm", "C major": "I"}[after.name] == question.accepted[0][0]
    assert (f"{before.tonic}", before.mode) != (f"{after.tonic}", after.mode)
    assert holds(question).functions


@given(st.sampled_from([3, 4]), seeds)
def test_from_memory_the_whole_tune_sounds_in_its_own_key(rung: int, seed: int) -> None:
    """The chorus sounds from beginning to end, the key given or not, and nothing is offered."""
    question = route(rung, seed)
    assert ("C major", rung == 3, None) == (question.key.name, question.confirm, question.choices)
    assert 32 == sum(question.beats) / question.meter.beats
    assert (("I", "bIII", "VIm", "I"),) == question.accepted
    assert holds(question).functions


@given(st.sampled_from([5, 6]), seeds)
def test_in_another_key_it_is_the_same_route(rung: int, seed: int) -> None:
    """Another tonic than the tune's, the same degrees."""
    question = route(rung, seed)
    assert 0 != question.key.tonic.pitch_class
    assert (("I", "bIII", "VIm", "I"),) == question.accepted
    assert question == kinds.build("follow-route", "route:ferry", rung, seed, ferry(), question.key)


def test_keys_go_round_without_the_tunes_own() -> None:
    """Eleven other keys come from the bag before one comes back."""
    from random import Random

    rng, bag, keys = Random(4), KeyBag(), []
    for _ in range(11):
        question, bag = kinds.draw("follow-route", "route:ferry", 5, rng, bag, (material(SLIPWAY, "slipway"), ferry()))
        keys.append(question.key.tonic.pitch_class)
    assert 0 not in keys
    assert len(set(keys)) >= 10


def test_a_route_needs_its_tune() -> None:
    """Without its tune, or where the tune never moves, a route can't be asked, and it is told why."""
    with pytest.raises(DrillError, match="needs its tune"):
        kinds.build("follow-route", "route:ferry", 3, 1)
    with pytest.raises(DrillError, match="waltz stays in one key center"):
        kinds.build("follow-route", "route:waltz", 3, 1, material(WALTZ, "waltz"))
    assert not kinds.KINDS["follow-route"].stretches("route:waltz", material(WALTZ, "waltz"))


def test_a_long_chorus_is_asked_as_far_as_two_minutes_reach() -> None:
    """Whole sections that end within two minutes, and the prompt says so; one change is in them at least."""
    tune = material(LONG, "long")
    question = kinds.build("follow-route", "route:long", 4, 1, tune)
    assert "The first 24 bars of a tune sound" in question.prompt
    assert (("I", "bIII", "VIm"),) == question.accepted
    assert question.performance().score.duration_s <= 120


def test_a_key_that_breaks_in_may_be_written_down_or_not() -> None:
    """An interruption is no part of the route, and no fault where it is written."""
    tune = next(one for one in exercise_material() if one.id == "the-courier-turns-back")
    question = kinds.build("follow-route", "route:the-courier-turns-back", 4, 1, tune)
    assert 2 == len(question.accepted)
    assert all(marked(question, " ".join(row)).exact for row in question.accepted)


@pytest.mark.parametrize(
    "tune", [one for one in exercise_material() if len(one.analysis.route) > 1], ids=lambda t: t.id
)
def test_every_exercise_tune_that_moves_can_be_followed(tune: object) -> None:
    """On each rung its route is asked, read alone as in the tune, and its accepted rows get all."""
    from trainer.drills.material import TuneMaterial

    assert isinstance(tune, TuneMaterial)
    for rung in range(1, 7):
        question = kinds.build("follow-route", f"route:{tune.id}", rung, 5, tune)
        assert holds(question).functions
        assert all(marked(question, " ".join(row)).exact for row in question.accepted)
        assert question.performance().score.duration_s <= 130
        assert kinds.heard_answer(question, kinds.read_answer(question, question.correct)).chords
        assert kinds.answer_by_ear(question).chords


@pytest.mark.parametrize(
    ("typed", "message"),
    [("", "Type the centers in order"), ("1 8 1", "can't read '8' as a key center"), ("?", "Every center is left out"),
     ("Hm", "can't read 'Hm'")],
)  # fmt: skip
def test_a_route_that_cannot_be_read_is_told(typed: str, message: str) -> None:
    """What can't be read says what would be accepted, and counts as nothing."""
    with pytest.raises(AnswerError, match=message):
        kinds.read_answer(route(3), typed)


def test_names_are_for_where_the_key_is_given() -> None:
    """Without a given key centers are degrees of the first one."""
    with pytest.raises(AnswerError, match="can't read 'C'"):
        kinds.read_answer(route(4), "C Eb Am C")


@given(st.text("abc", max_size=6), st.text("abc", max_size=6))
def test_as_little_as_can_be_differs(one: str, other: str) -> None:
    """With all or nothing as credit it is the edit distance (Levenshtein 1966), as the plain recursion has it."""
    pairs = aligned(one, other, lambda a, b: float(a == b))
    assert list(one) == [a for a, _ in pairs if a is not None]
    assert list(other) == [b for _, b in pairs if b is not None]
    assert distance(one, other) == sum(a != b for a, b in pairs)


def distance(one: str, other: str) -> int:
    """The edit distance by its definition."""
    if not one or not other:
        return len(one) + len(other)
    same = distance(one[1:], other[1:]) + (one[0] != other[0])
    return min(same, distance(one[1:], other) + 1, distance(one, other[1:]) + 1)


def test_a_route_written_is_read_in_its_own_key_too() -> None:
    """In a minor tune the bare first degree is its own minor key, and III is the relative major."""
    tune = next(one for one in exercise_material() if one.id == "tallow-lane-after-rain")
    question = kinds.build("follow-route", "route:tallow-lane-after-rain", 3, 1, tune)
    assert (("I", "bIII", "I"),) == question.accepted
    assert parse_key("C minor").tonic == question.key.tonic
    assert ["right", "right", "right"] == [part.rule for part in marked(question, "Cm Eb Cm").parts]
    assert ["right", "other-mode"] == [part.rule for part in marked(question, "1 b3 1M").parts][1:]
    assert RULES["other-mode"].credit > RULES["missed-center"].credit
