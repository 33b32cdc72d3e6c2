"""Questions that the reading agrees with: drawn again until it does, and a second answer where it never does."""

from collections.abc import Callable

from trainer.drills.holds import Holding, holds
from trainer.drills.question import Question

TRIES = 40
"""Questions that are drawn for one at most."""


def first_held(draw: Callable[[], Question], agrees: Callable[[Question, Holding], bool]) -> tuple[Question, Holding]:
    """The first question whose reading agrees with it, and that reading; the last one where none does."""
    for _ in range(TRIES):
        question = draw()
        holding = holds(question)
        if agrees(question, holding):
            break
    return question, holding
