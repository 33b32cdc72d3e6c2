"""What a question asks is there to be found: its chords, read without the answer, say so."""

from functools import cache

import pytest

from tests.trainer.drills.drilling import CATCHING, NAMING
from trainer.drills import kinds
from trainer.drills.holds import Holding, holds, timeline_of

ARGUED = {
    "applied-five": "V7/x and x alone after one chord of home are read as a key of their own",
    "applied-two-five": "the same",
    "applied-tritone": "the same",
    "two-five-chain": "counted in one key where one is given, read as several",
    "tonic-turns-minor": "counted in one key here, read as two",
    "major-third-cycle": "counted in one key here, read as three",
}
"""Types that a reading counts from other centers than the given one, or where none is given accepts both ways of
counting; `test_fair_questions.py` holds those to the letter."""

SEEDS = 8


@cache
def read(unit: str) -> list[Holding]:
    """How some questions of a unit are read, alone with the key given, alone without, and in a phrase."""
    kind = "catch-interruption" if unit in CATCHING else "name-functions"
    return [holds(kinds.build(kind, unit, rung, seed)) for rung in (2, 4, 5) for seed in range(SEEDS)]


@pytest.mark.parametrize("unit", [unit for unit in NAMING if unit not in ARGUED])
def test_functions_are_read_as_they_are_asked(unit: str) -> None:
    """In every question the reading gives the asked chords the asked degrees of the asked key."""
    assert all(one.functions for one in read(unit))


@pytest.mark.parametrize("unit", CATCHING)
def test_interruptions_are_read_as_they_are_asked(unit: str) -> None:
    """In every question the reading finds the interruption where there is one, and none where not."""
    assert all(one.type and one.details for one in read(unit))


def test_a_question_as_a_tune_has_its_chords_and_beats() -> None:
    """The timeline that is read holds the question's chords, each for its beats, after the given home."""
    question = kinds.build("name-functions", "backdoor", 2, 3)
    timeline = timeline_of(question)
    struck = [span.symbol for span in timeline.spans if not span.continues]
    assert list(question.chords) == struck[1:]
    assert sum(question.beats) + 8 == sum(span.beats for span in timeline.spans)
    assert len(timeline.bars) == timeline.bars[-1].number
