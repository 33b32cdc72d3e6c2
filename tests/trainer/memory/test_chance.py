"""The model of the player: calibration on simulated players, order, bounds, rung by rung."""

import math
import random
from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.memory.made import MONDAY, outcome
from trainer.memory.chance import RUNG_GUESS, Chance, Model, chance, start
from trainer.memory.climbing import choose_rung
from trainer.memory.growing import grown, updated
from trainer.memory.model_text import read_model, write_model
from trainer.memory.trial import Outcome

NAMES = st.sampled_from(["turnaround", "backdoor", "minor-two-five-one"])
KINDS = st.sampled_from(["name-functions", "name-cadence"])
OUTCOMES = st.lists(
    st.builds(
        outcome,
        after=st.integers(0, 60 * 24 * 30).map(lambda minutes: timedelta(minutes=minutes)),
        unit=NAMES,
        kind=KINDS,
        rung=st.integers(1, 6),
        credit=st.floats(0, 1),
        guess_chance=st.floats(0, 0.5),
        helps=st.lists(st.sampled_from(["again", "slower", "key", "whistle"]), max_size=3).map(tuple),
    ),
    max_size=25,
)


def simulated(seed: int, growth: float, trials: int = 1200) -> Iterator[tuple[float, Outcome]]:
    """A player of the model's own kind but other spreads, who gains `growth` logits with a trial of a unit.

    Yields the true chance and what came of it; 30 random questions a day.
    """
    rng = random.Random(seed)
    player, units = rng.gauss(0, 1), [rng.gauss(0, 0.9) for _ in range(20)]
    kinds, pairs = (
        [rng.gauss(0, 0.5) for _ in range(5)],
        [[rng.gauss(0, 0.5) for _ in range(5)] for _ in range(20)],
    )
    steps = [max(0.05, rng.gauss(0.5, 0.2)) for _ in range(5)]
    for number in range(trials):
        unit, kind, rung = rng.randrange(20), rng.randrange(5), rng.randrange(1, 7)
        guess = RUNG_GUESS[rung]
        logit = 0.5 + player + units[unit] + kinds[kind] + pairs[unit][kind] - sum(steps[: rung - 1])
        true = guess + (1 - guess) / (1 + math.exp(-logit))
        units[unit] += growth
        values = {"unit": f"unit-{unit}", "kind": f"kind-{kind}", "rung": rung, "guess_chance": guess}
        after = timedelta(days=number // 30, seconds=30 * (number % 30))
        yield true, outcome(after, credit=float(rng.random() < true), **values)


def surprise(p: float, credit: float) -> float:
    """Minus the log likelihood of what came, in nats."""
    return -(credit * math.log(max(p, 1e-6)) + (1 - credit) * math.log(max(1 - p, 1e-6)))


@pytest.mark.parametrize(("share", "off", "growth"), [(0.75, 0.03, 0.0), (0.70, 0.04, 0.03)])
def test_it_predicts_a_simulated_player(share: float, off: float, growth: float) -> None:
    """Of what can be known beyond a running mean it finds a share; its percentages come true."""
    # Likelihoods of eight players, each after 150 trials: those of the running mean count as 0,
    # those of the true chances as 1. Between low and high the truth lies as often as they say, or more often.
    modelled = constant = truth = 0.0
    within, count, bins = 0, 0, [[0.0, 0.0] for _ in range(10)]
    for seed in range(8):
        model, total = start(), 0.5
        for number, (true, one) in enumerate(simulated(seed, growth)):
            now = chance(model, one.unit, one.kind, one.rung, one.guess_chance, one.at_utc)
            if number >= 150:
                modelled += surprise(now.p, one.credit)
                constant += surprise(total / (number + 1), one.credit)
                truth += surprise(true, one.credit)
                within += now.low <= true <= now.high
                count += 1
                bins[min(9, int(now.p * 10))][0] += now.p
                bins[min(9, int(now.p * 10))][1] += one.credit
            total += one.credit
            model = updated(model, one)
    assert share <= (constant - modelled) / (constant - truth)
    assert off >= sum(abs(said - came) for said, came in bins) / count
    assert 0.8 <= within / count


def test_partial_credit_moves_between_wrong_and_right() -> None:
    """Two thirds of the credit leave a chance between that after a miss and that after a right answer."""
    ps = [
        chance(updated(start(), outcome(credit=credit)), "major-two-five-one", "name-functions", 3).p
        for credit in (0.0, 1 / 3, 2 / 3, 1.0)
    ]
    assert ps == sorted(set(ps))


def test_a_help_lowers_what_an_answer_proves() -> None:
    """Right with help raises the chance less than right without; wrong with help lowers it more."""

    def after(credit: float, helps: tuple[str, ...]) -> float:
        model = updated(start(), outcome(credit=credit, helps=helps))
        return chance(model, "major-two-five-one", "name-functions", 3).p

    for credit in (0.0, 1.0):
        assert after(credit, ("key", "slower")) < after(credit, ("again",)) < after(credit, ())


def test_a_right_guess_proves_less() -> None:
    """Right among three choices raises the chance less than right without any."""
    among_three = updated(start(), outcome(guess_chance=1 / 3))
    free = updated(start(), outcome(guess_chance=0.0))
    asked = ("major-two-five-one", "name-functions", 3)
    assert chance(start(), *asked).p < chance(among_three, *asked).p < chance(free, *asked).p


def test_what_is_learned_of_one_unit_says_something_of_others() -> None:
    """A right answer raises the chance most for its own unit and drill, and a little for all others."""
    model = updated(start(), outcome())
    own = chance(model, "major-two-five-one", "name-functions", 3).p
    same_unit = chance(model, "major-two-five-one", "name-cadence", 3).p
    same_kind = chance(model, "turnaround", "name-functions", 3).p
    neither = chance(model, "turnaround", "name-cadence", 3).p
    assert own > same_unit > same_kind > neither > chance(start(), "turnaround", "name-cadence", 3).p


def asked_for(days: int) -> Model:
    """A model of a unit asked once a day for so many days, half of the answers right."""
    return grown(
        start(), [outcome(timedelta(days=n - days), credit=float(n % 2), rung=1) for n in range(days)]
    )


def rested(model: Model, days: int) -> Chance:
    """The chance of that unit on rung 1, so many days later, without guessing."""
    now = MONDAY + timedelta(days=days)
    return chance(model, "major-two-five-one", "name-functions", 1, 0.0, now)


def test_bounds_close_with_trials() -> None:
    """The more a unit was asked, the closer the bounds."""
    widths = [rested(asked_for(days), 0).high - rested(asked_for(days), 0).low for days in (0, 4, 16, 64)]
    assert widths == sorted(widths, reverse=True)


def test_rest_lowers_the_chance_and_opens_the_bounds() -> None:
    """The longer a unit rests the lower its chance; what was practised for longer is kept for longer."""
    model = asked_for(40)
    found = [rested(model, days) for days in (0, 3, 10, 60, 400, 4000)]
    assert all(sooner.p > later.p and sooner.low > later.low for sooner, later in pairwise(found))
    assert rested(model, 60).high - rested(model, 60).low > rested(model, 0).high - rested(model, 0).low
    lost = {days: rested(asked_for(days), 0).p - rested(asked_for(days), 30).p for days in (4, 40)}
    assert lost[40] < lost[4]


@given(outcomes=OUTCOMES, unit=NAMES, kind=KINDS, guess=st.floats(0, 0.5), days=st.integers(0, 300))
def test_chances_are_ordered(outcomes: list[Outcome], unit: str, kind: str, guess: float, days: int) -> None:
    """After any trials: never below guessing, within the bounds, and lower with every rung."""
    model = grown(start(), outcomes)
    now = MONDAY + timedelta(days=30 + days)
    found = [chance(model, unit, kind, rung, guess, now) for rung in range(1, 7)]
    assert all(guess <= one.low <= one.p <= one.high <= 1.0 for one in found)
    assert all(easier.p > harder.p for easier, harder in pairwise(found))


def test_no_answers_make_a_higher_rung_easier() -> None:
    """Even where low rungs fail and high ones succeed for months, each rung stays harder than the last."""
    contrary = [
        outcome(timedelta(hours=n), rung=rung, credit=float(rung > 3))
        for n in range(300)
        for rung in range(1, 7)
    ]
    model = grown(start(), contrary)
    found = [chance(model, "major-two-five-one", "name-functions", rung, 0.0).p for rung in range(1, 7)]
    assert all(easier > harder for easier, harder in pairwise(found))


@given(outcomes=OUTCOMES)
def test_growing_at_once_is_growing_step_by_step(outcomes: list[Outcome]) -> None:
    """Many trials at once give the model of one after the other, and writing it loses nothing."""
    model = start()
    for one in outcomes:
        model = read_model(write_model(updated(model, one)))
    assert grown(start(), outcomes) == model
    assert len(outcomes) == model.trials


def test_models_are_values() -> None:
    """A trial makes a new model and leaves the old one as it was."""
    model = start()
    updated(model, outcome())
    assert start() == model


def player_of(level: float, trials: int = 300) -> Model:
    """A model of somebody whose chance on rung r has the logit level - r / 2."""
    rng = random.Random(4)
    model = start()
    for number in range(trials):
        rung = choose_rung(model, "turnaround", "name-functions")
        guess = RUNG_GUESS[rung]
        p = guess + (1 - guess) / (1 + math.exp(rung / 2 - level))
        values = {"unit": "turnaround", "rung": rung, "guess_chance": guess}
        model = updated(model, outcome(timedelta(hours=number), credit=float(rng.random() < p), **values))
    return model


def test_the_rung_follows_the_player() -> None:
    """Who hears more is asked on higher rungs, from the first to the last, near even chances in between."""
    rungs = []
    for level in (-3.0, 0.5, 2.0, 6.0):
        model = player_of(level)
        rungs.append(choose_rung(model, "turnaround", "name-functions"))
    assert rungs == sorted(rungs)
    assert (1, 6) == (rungs[0], rungs[-1])
    model = player_of(2.0)
    rung = choose_rung(model, "turnaround", "name-functions")
    assert 0.35 <= chance(model, "turnaround", "name-functions", rung).p <= 0.65


@given(outcomes=OUTCOMES, unit=NAMES, kind=KINDS)
def test_no_rung_is_jumped(outcomes: list[Outcome], unit: str, kind: str) -> None:
    """The rung is at most one above the last; a unit never met starts on the first."""
    model = grown(start(), outcomes)
    rung = choose_rung(model, unit, kind)
    standing = model.standings.get((unit, kind))
    others = [other.rung for (name, _), other in model.standings.items() if name == unit]
    assert rung <= (standing.rung + 1 if standing else min(others, default=1))


def test_only_open_rungs_are_chosen() -> None:
    """Where the ladder is not open all the way, the choice stays on it."""
    model = player_of(6.0)
    assert 4 == choose_rung(model, "turnaround", "name-functions", range(1, 5))
    assert 2 == choose_rung(start(), "turnaround", "name-functions", (2, 3))
