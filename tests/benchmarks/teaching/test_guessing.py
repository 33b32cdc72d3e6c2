"""Guessing does not pay: who hears nothing, or only with help, never has a unit counted as known."""

from collections import deque
from collections.abc import Callable
from datetime import timedelta
from random import Random

import pytest

from tests.benchmarks.teaching.players import GUESS
from tests.benchmarks.teaching.teaching import FIRST, MINUTES
from trainer.memory.chance import HELP_EASE, chance, start
from trainer.memory.growing import grown
from trainer.memory.plan import Asked, next_item, todays_plan
from trainer.memory.schedule import Review, rated, reviewed
from trainer.memory.trial import TOP_RUNG, Outcome
from trainer.memory.unit import KEY_WINDOW, KNOWN_FROM, known, told_apart
from trainer.practice.course import shipped_course, units

TONICS = "C F Bb Eb Ab Db F# B E A D G".split()
COMMONEST = "major-two-five-one"

Answers = Callable[[str, int, Random], tuple[bool, str | None, tuple[str, ...]]]
"""From unit, rung and chance to whether it is right, what it is taken for, and the helps taken."""


def at_random(unit: str, rung: int, rng: Random) -> tuple[bool, str | None, tuple[str, ...]]:
    """Somebody who answers anything."""
    right = rng.random() < GUESS[rung]
    return right, None if right else rng.choice(ORDER), ()


def always_the_commonest(unit: str, rung: int, rng: Random) -> tuple[bool, str | None, tuple[str, ...]]:
    """Somebody who has one answer."""
    return unit == COMMONEST, None if unit == COMMONEST else COMMONEST, ()


def with_every_help(unit: str, rung: int, rng: Random) -> tuple[bool, str | None, tuple[str, ...]]:
    """Somebody who is nearly always right, after every help there is."""
    return rng.random() < 0.95, None, tuple(HELP_EASE)


COURSE = units()
ORDER = tuple(name for name in shipped_course().order if name in COURSE)


def known_in(answers: Answers, sessions: int, seed: int) -> set[str]:
    """The units that ever counted as known in so many sessions of one player, a day each."""
    rng, model, reviews = Random(seed), start(), dict[str, Review]()
    on_top: dict[str, dict[str, deque[Outcome]]] = {}
    rights, named_wrongly = dict[str, int](), dict[str, int]()
    ever: set[str] = set()
    for number in range(sessions):
        now = FIRST + timedelta(days=number)
        plan = todays_plan(COURSE, model, reviews, ORDER, now.date(), MINUTES, Random(number), at_utc=now)
        asked, told, second = list[Asked](), dict[str, list[Outcome]](), 0.0
        while (item := next_item(plan, asked, MINUTES * 60 - second)) is not None:
            right, other, helps = answers(item.unit, item.rung, rng)
            one = Outcome(
                at_utc=now + timedelta(seconds=second), utc_offset_minutes=0, unit=item.unit, kind=item.kind,
                rung=item.rung, key=f"{rng.choice(TONICS)} major", credit=float(right),
                guess_chance=GUESS[item.rung], helps=helps, answer_s=12.0, sound_s=8.0, taken_for=other,
            )  # fmt: skip
            told.setdefault(item.unit, []).append(one)
            asked.append(Asked(item.unit, item.kind, right))
            rights[item.unit] = rights.get(item.unit, 0) + right
            if other is not None:
                named_wrongly[other] = named_wrongly.get(other, 0) + 1
            if item.rung == TOP_RUNG:
                kept = on_top.setdefault(item.unit, {}).setdefault(item.kind, deque(maxlen=KEY_WINDOW))
                kept.appendleft(one)
            second += item.seconds
        model = grown(model, [one for outcomes in told.values() for one in outcomes])
        for unit, outcomes in told.items():
            reviews[unit] = reviewed(reviews.get(unit), unit, now.date(), rated(outcomes))
        for unit, by_kind in on_top.items():
            kinds = COURSE[unit].kinds
            if chance(model, unit, kinds[0], TOP_RUNG, 0.0, now).p < KNOWN_FROM:
                continue
            apart = told_apart(rights.get(unit, 0), named_wrongly.get(unit, 0))
            newest = {kind: tuple(outcomes) for kind, outcomes in by_kind.items()}
            if apart and known(model, unit, kinds, newest, now):
                ever.add(unit)
    return ever


PLAYERS = pytest.mark.parametrize("answers", [at_random, always_the_commonest, with_every_help])


@PLAYERS
def test_who_guesses_knows_nothing(answers: Answers) -> None:
    """In two players' thirty sessions each nothing counts as known."""
    assert set() == known_in(answers, 30, 1) | known_in(answers, 30, 2)


@pytest.mark.long
@PLAYERS
def test_who_guesses_for_long_knows_nothing(answers: Answers) -> None:
    """In ten thousand sessions, of players who go on for a hundred each, nothing ever counts as known."""
    assert set() == set().union(*(known_in(answers, 100, seed) for seed in range(100)))


def test_a_player_who_hears_is_known_to() -> None:
    """The same count finds what a player knows who is right nineteen times in twenty without help."""
    assert known_in(lambda unit, rung, rng: (rng.random() < 0.97, None, ()), 60, 1)
