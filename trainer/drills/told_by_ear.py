"""What it was, for the ear: the key by its cadence, what was asked pointed to, and the question once more.

For who listens away from a screen. Single notes point to what was asked; each kind of drill says what they
are (its HOW) and builds its answer of the parts made here. Last is the question once more, now that one knows.
"""

from collections.abc import Sequence
from dataclasses import replace

from trainer.drills.question import Question, as_it_was
from trainer.harmony.key import Key
from trainer.voicing.performance import Performance, joined
from trainer.voicing.pointed import Pointed, perform_pointed

ROLE = "answer"
THINK_S = 4.0
"""What a pause lasts beside the time in which one plays the question through in one's head."""
BREATH_S = 0.8
"""Between the parts of an answer, at least."""


def fitting_pause_s(question: Question) -> float:
    """How long one needs: to hear the question through again inside, and to name it (common practice, no source)."""
    return THINK_S + once_more(question).score.duration_s


def pointed_answer(
    question: Question, key: Key, groups: Sequence[Pointed], *more: Performance
) -> Performance:
    """A key by its cadence, chords that single notes point to, whatever else belongs here, the question once more."""
    told = perform_pointed(tuple(groups), key, question.style, True, seed=question.seed)
    for part in (*more, once_more(question)):
        told = joined(told, part, BREATH_S)
    return told


def once_more(question: Question) -> Performance:
    """The question without its key, with its ending where it stops short of one."""
    return as_it_was(replace(question, confirm=False), (), ROLE)


def degrees_pointed(question: Question) -> tuple[Pointed, ...]:
    """Each asked chord after two notes, the tonic and its root above."""
    tonic = question.key.tonic.pitch_class
    asked = [question.chords[index] for index in question.blanks or question.stretch]
    return tuple(Pointed((0, (chord.root.pitch_class - tonic) % 12), (chord,)) for chord in asked)
