"""The first minute in plain lines: sound first, a digit answers, and what is typed beside it helps."""

from collections.abc import Iterator
from random import Random

import pytest

from tests.trainer.practice.practising import Remembering
from trainer.commands.first_lines import run_first_lines
from trainer.practice.first_steps import first_steps
from trainer.practice.listening_level import STEP_DB


def run(*typed: str, seed: int = 4) -> tuple[bool, list[str], Remembering, list[float]]:
    """What came of some lines: whether to go on, what was said, what sounded, how the level was turned."""
    sound, said, turned = Remembering(), [], []

    def level(by_db: float) -> float:
        turned.append(by_db)
        return -12.0

    def lines() -> Iterator[str]:
        yield from typed

    went_on = run_first_lines(sound, lines(), said.append, level, Random(seed))
    return went_on, said, sound, turned


@pytest.mark.parametrize("seed", range(6))
def test_two_digits_lead_through(seed: int) -> None:
    """Each step is played before it is asked; the right digits are told right and go on."""
    steps = first_steps(Random(seed))
    went_on, said, sound, _ = run(*(f"{step.right}" for step in steps), seed=seed)
    assert went_on
    assert [step.performance for step in steps] == sound.played
    assert [step.told for step in steps] == [line for line in said if line.startswith("Right")]


def test_the_other_digit_is_told_and_it_sounds_again() -> None:
    """A wrong digit is said to be the other one, and what was asked sounds once more."""
    step = first_steps(Random(4))[0]
    _, said, sound, _ = run(f"{3 - step.right}")
    assert step.other in said
    assert [step.performance] * 2 == sound.played


def test_words_help() -> None:
    """Again repeats, louder turns the sound, pass goes to the questions, stop and the end of the lines end it."""
    went_on, said, sound, turned = run("again", "louder", "what", "pass")
    assert went_on
    assert 3 == len(sound.played)
    assert [STEP_DB] == turned
    assert "Level -12 decibels, of 0 at the most." in said
    assert "Type a digit from 1 to 2, or again, louder, softer, pass." in said
    assert not run("stop")[0]
    assert not run()[0]
