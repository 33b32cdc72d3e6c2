"""Questions that the reading agrees with: drawn again until it does, and a second answer where it never does."""

from collections.abc import Callable
from dataclasses import replace

from trainer.drills.holds import Holding, holds
from trainer.drills.question import Question
from trainer.drills.read_off import as_heard
from trainer.drills.rungs import find_rung
from trainer.voicing.styles import Style

TRIES = 40
"""Questions that are drawn for one at most."""

Agrees = Callable[[Question, Holding], bool]


def first_held(draw: Callable[[], Question], agrees: Agrees) -> tuple[Question, Holding]:
    """The first question whose reading agrees with it, from its symbols and from its notes, and that reading.

    Where the notes alone don't, one whose symbols do; where none does, the last one.
    """
    held: tuple[Question, Holding] | None = None
    for _ in range(TRIES):
        question = draw()
        holding = holds(question)
        if not agrees(question, holding):
            continue
        if (sure := surely_heard(question, agrees)) is not None:
            return sure, holding
        held = held or (question, holding)
    return held or (question, holding)


def surely_heard(question: Question, agrees: Agrees) -> Question | None:
    """A question that its symbols hold: over a bass, and plainly voiced, where its notes alone aren't read so.

    None where that doesn't help.
    """
    plain: Style = "close" if "close" in find_rung(question.rung).styles else "shells"
    over_bass = replace(question, with_bass=True)
    for one in (question, over_bass, replace(over_bass, style=plain)):
        heard = as_heard(one)
        if heard is not None and agrees(one, holds(heard)):
            return one
    return None


def all_held(question: Question, holding: Holding) -> bool:
    """Whether every asked thing is read."""
    return holding.functions and holding.type
