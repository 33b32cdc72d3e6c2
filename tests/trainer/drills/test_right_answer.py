"""The right answer as a sentence has it: what an answer of several parts says is named part by part."""

import re

from hypothesis import given

from tests.trainer.drills.drilling import questions
from trainer.drills.kinds import build, right_answer
from trainer.drills.question import Question


@given(questions())
def test_it_says_what_is_accepted(question: Question) -> None:
    """Every part of the house's answer stands in the sentence."""
    said = right_answer(question)
    for part in question.accepted[0]:
        assert part in said
    assert question.kind in ("catch-interruption", "tell-apart") or said == question.correct


def test_an_interruption_is_told_in_words() -> None:
    """Whether there is one, on which chord and how far; where there is none, just that."""
    asked = [build("catch-interruption", "interrupted-after-two-five-and-again", 3, seed) for seed in range(12)]
    said = {right_answer(question) for question in asked}
    assert "no" in said
    assert all(re.fullmatch(r"yes, on chord \d+, (up|down|a) .* from the awaited key.*", one) for one in said - {"no"})
    assert len(said) > 1


def test_two_stretches_are_told_in_words() -> None:
    """Which of the two, and where they differ when that is asked too."""
    asked = [build("tell-apart", "backdoor", rung, seed) for rung in (1, 4) for seed in range(6)]
    for question in asked:
        pattern = r"the (first|second)(; they differ on chords? [\d, and]+)?|both|neither"
        assert re.fullmatch(pattern, right_answer(question)), right_answer(question)
    assert any("differ" in right_answer(question) for question in asked if question.rung == 4)
