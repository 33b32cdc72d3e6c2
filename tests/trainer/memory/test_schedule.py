"""The table of ratings and the due days that follow from them."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import fsrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.memory.made import outcome
from trainer.errors import KeyfarerError
from trainer.memory.schedule import RULES, Rating, RatingRule, Review, Settings, Succession, rated, recall, reviewed
from trainer.memory.trial import Outcome

MISS: dict[str, Any] = {"credit": 0.0}
SURE: dict[str, Any] = {"rung": 5}
OF_THREE: dict[str, Any] = {"rung": 1, "guess_chance": 1 / 3}

DAYS: list[tuple[str, list[dict[str, Any]]]] = [
    ("missed", [MISS]),
    ("missed", [MISS, SURE]),
    ("missed", [MISS, SURE, {"helps": ("slower",)}]),
    ("missed", [{"credit": 0.4}]),
    ("missed", [{"credit": 0.55, "guess_chance": 0.25}]),
    ("missed", [OF_THREE | MISS]),
    ("missed-then-held", [MISS, SURE, SURE]),
    ("missed-then-held", [MISS, {"kind": "name-cadence"}, {"key": "E major"}]),
    ("helped", [SURE | {"helps": ("slower",)}]),
    ("helped", [SURE | {"helps": ("again", "again")}]),
    ("partly", [SURE | {"credit": 2 / 3}]),
    ("lucky", [OF_THREE]),
    ("easy-rung", [OF_THREE, OF_THREE]),
    ("fell-off", [SURE, MISS]),
    ("fell-off", [SURE, SURE, MISS, MISS]),
    ("slow", [SURE | {"answer_s": 40.0}]),
    ("easy-rung", [{}]),
    ("easy-rung", [{"helps": ("again",)}]),
    ("at-once", [SURE]),
    ("at-once", [SURE, SURE, OF_THREE]),
    ("held", [SURE | {"helps": ("again",)}]),
    ("held", [SURE | {"answer_s": 20.0}]),
    ("held", [SURE, SURE, {"credit": 0.7}]),
    ("at-once", [SURE | {"credit": 0.95}]),
    ("missed", [SURE | {"credit": 0.509}]),  # with a chance of guessing of 0.02, half of it above is 0.51
    ("partly", [SURE | {"credit": 0.511}]),
    ("partly", [SURE | {"credit": 0.852}]),  # 0.85 above guessing is 0.853
    ("at-once", [SURE | {"credit": 0.854}]),
    ("missed", [MISS, SURE]),  # one right answer later is too few
    ("missed", [MISS, SURE, {"credit": 0.9}]),  # of those that follow all must be right
    ("helped", [SURE | {"helps": ("key",)}, SURE]),
    ("helped", [{"helps": ("again", "bass")}]),
    ("partly", [SURE | {"credit": 0.7, "answer_s": 40.0}]),  # what was heard goes before how fast
    ("lucky", [{"rung": 5, "guess_chance": 0.3}]),
    ("at-once", [SURE, OF_THREE | {"rung": 5}]),
    ("easy-rung", [OF_THREE, {"guess_chance": 0.25}]),
    ("held", [{"rung": 5, "guess_chance": 0.25}]),  # one guess in four is no sure luck, but no hearing at once
    ("fell-off", [SURE, {"credit": 0.6}]),  # 0.59 above guessing
    ("at-once", [SURE | {"answer_s": 14.0}]),  # six seconds after the sound of eight
    ("held", [SURE | {"answer_s": 14.1}]),
    ("held", [SURE | {"answer_s": 31.0}]),  # twice the sound and fifteen seconds
    ("slow", [SURE | {"answer_s": 31.1}]),
    ("easy-rung", [{"rung": 3}]),
    ("at-once", [{"rung": 4}]),
]  # fmt: skip
"""Which row decides a day, and its trials in order: what differs from a right, quick answer on rung 3."""


def day_of_trials(values: list[dict[str, Any]]) -> list[Outcome]:
    """One day's trials, a minute apart."""
    return [outcome(timedelta(minutes=n), **value) for n, value in enumerate(values)]


@pytest.mark.parametrize(("expected", "values"), DAYS)
def test_each_day_is_decided_by_its_row(expected: str, values: list[dict[str, Any]]) -> None:
    """The first row of the table that fits a day decides it."""
    assert expected == rated(day_of_trials(values)).id


def test_every_row_of_the_table_decides_some_day() -> None:
    """No row is without an example here, so none is hidden behind those above it."""
    assert {rule.id for rule in RULES} == {row for row, _ in DAYS}


def test_the_table_is_whole() -> None:
    """Ids are unique, all four ratings occur, each row gives its reason, the last fits always."""
    assert len(RULES) == len({rule.id for rule in RULES})
    assert set(Rating) == {rule.rating for rule in RULES}
    assert all(rule.reason.endswith(".") and len(rule.reason.split()) > 5 for rule in RULES)
    assert "held" == RULES[-1].id


def test_our_ratings_are_the_model_s_in_order() -> None:
    """Our four words stand for the library's four ratings, from the worst to the best."""
    assert [1, 2, 3, 4] == [int(rating) for rating in Rating] == [int(rating) for rating in fsrs.Rating]


def test_the_first_trial_counts_most() -> None:
    """The same two answers give a worse day when the miss came first."""
    assert rated(day_of_trials([MISS, SURE])).rating < rated(day_of_trials([SURE, MISS])).rating


def test_the_order_of_the_rows_given_does_not_matter() -> None:
    """The first trial is the earliest in time, in whatever order they are handed over."""
    trials = day_of_trials([MISS, SURE])
    assert "missed" == rated(trials[::-1]).id


@given(credit=st.floats(0, 1), better=st.floats(0, 1), guess=st.floats(0, 0.5), rung=st.integers(1, 6))
def test_a_better_first_answer_never_rates_worse(
    credit: float, better: float, guess: float, rung: int
) -> None:
    """With all else equal, more credit on one single trial never lowers the day."""
    low, high = (
        rated([outcome(credit=one, guess_chance=guess, rung=rung)]).rating for one in sorted((credit, better))
    )
    assert low <= high


def noon(day: date) -> datetime:
    """Twelve o'clock UTC."""
    return datetime.combine(day, time(12), UTC)


@given(
    steps=st.lists(st.tuples(st.sampled_from(list(Rating)), st.integers(1, 400)), min_size=1, max_size=12),
    retention=st.sampled_from([0.7, 0.8, 0.9, 0.95, 0.97]),
)
def test_due_days_are_those_of_the_library(steps: list[tuple[Rating, int]], retention: float) -> None:
    """One card of the library `fsrs`, reviewed on the same days, falls due on the same dates throughout."""
    whole_days: dict[str, Any] = {"learning_steps": (), "relearning_steps": (), "enable_fuzzing": False}
    scheduler = fsrs.Scheduler(desired_retention=retention, **whole_days)
    card, review, day = fsrs.Card(card_id=7), None, date(2027, 3, 1)
    for rating, gap in steps:
        rule = RatingRule("any", rating, lambda _: True, "")
        card, _ = scheduler.review_card(card, fsrs.Rating(int(rating)), noon(day))
        review = reviewed(review, "turnaround", day, rule, Settings(retention=retention))
        assert card.due.date() == review.due_day
        assert (card.stability, card.difficulty) == (review.stability, review.difficulty)
        assert (card.due.date() - day).days == review.interval_days >= 1
        day += timedelta(days=gap)


@given(steps=st.lists(st.tuples(st.sampled_from(RULES), st.integers(1, 400)), min_size=1, max_size=12))
def test_a_succession_is_the_reviews_one_by_one(steps: list[tuple[RatingRule, int]]) -> None:
    """A unit's reviews in one go are those that each give with nothing but the one before, to the bit."""
    succession, review, day = Succession(Settings()), None, date(2027, 3, 1)
    for rule, gap in steps:
        review = reviewed(review, "turnaround", day, rule)
        assert (review.stability, review.difficulty, review.due_day) == succession.next(day, rule)
        day += timedelta(days=gap)


@given(stability=st.floats(0.1, 2000), days=st.integers(0, 4000))
def test_recall_is_the_library_s(stability: float, days: int) -> None:
    """The forgetting curve we order by is that of the library."""
    seen = datetime(2027, 3, 1, 12, tzinfo=UTC)
    card = fsrs.Card(
        card_id=7, state=fsrs.State.Review, stability=stability, difficulty=5.0, last_review=seen
    )
    expected = fsrs.Scheduler().get_card_retrievability(card, seen + timedelta(days=days))
    assert expected == pytest.approx(recall(stability, days), abs=1e-12)


def test_stability_is_the_days_to_nine_in_ten() -> None:
    """By definition (Ye, Su and Cao, KDD 2022) recall is 0.9 after as many days as the stability."""
    assert 0.9 == pytest.approx(recall(37.0, 37.0))


def test_a_higher_wanted_retention_brings_a_unit_back_sooner() -> None:
    """Due days come earlier the surer the player wants to be."""
    rule = RULES[-1]
    dues = [
        reviewed(None, "turnaround", date(2027, 3, 1), rule, Settings(retention=wanted)).due_day
        for wanted in (0.97, 0.9, 0.8, 0.7)
    ]
    assert dues == sorted(set(dues))


@pytest.mark.parametrize("values", [{"retention": 0.5}, {"retention": 0.99}, {"day_ends_hour": 13}])
def test_settings_out_of_range_are_refused(values: dict[str, Any]) -> None:
    """A retention or an hour that makes no sense is told in words."""
    with pytest.raises(KeyfarerError, match=r"retention|o'clock"):
        Settings(**values)


def test_a_review_knows_its_interval() -> None:
    """The interval is the days from the review to the day it falls due."""
    review = Review("turnaround", date(2027, 2, 27), Rating.HELD, "held", 3.0, 5.0, date(2027, 3, 2))
    assert 3 == review.interval_days
