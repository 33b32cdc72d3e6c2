"""A question with its answer for the ear: what sounds, a pause to answer in, what it was.

For who listens away from a screen. The answer gives the key by its cadence. Where functions were asked,
each asked chord then comes after two notes, the tonic and the chord's own root above it, so that its degree
is heard as an interval; where a key breaks in, the two notes are the awaited tonic and the other one, with
the other key's chords after them, and then comes the passage as it would have gone on. Last is the question
once more, now that one knows. Where no key breaks in, nothing stands between the key and that.
"""

from dataclasses import replace

from trainer.drills.answer import Answer
from trainer.drills.compare import heard_answer
from trainer.drills.interrupted import distance_between
from trainer.drills.question import Question, perform
from trainer.harmony.key import Key
from trainer.voicing.performance import Performance, joined
from trainer.voicing.pointed import Pointed, perform_pointed

ROLE = "answer"
THINK_S = 4.0
"""What a pause lasts beside the time in which one plays the question through in one's head."""
BREATH_S = 0.8
"""Between the parts of an answer, at least."""

HOW = (
    "First the key by its cadence. Name the functions: each chord that was asked comes after two single notes,"
    " the tonic and the chord's root above it. Catch the interruption: where another key breaks in, two single"
    " notes, the awaited tonic and the other one, then the other key's chords, then the passage as it would have"
    " gone on without them; where none breaks in, nothing of this. At the end the question once more."
)
"""The answer's sound in a player's words."""


def with_answer(question: Question, pause_s: float | None = None) -> Performance:
    """The question, a pause of so many seconds or up to a bar more, and the answer; None is a fitting pause."""
    asked = question.performance()
    return joined(asked, answer_by_ear(question), fitting_pause_s(question) if pause_s is None else pause_s)


def fitting_pause_s(question: Question) -> float:
    """How long one needs: to hear the question through again inside, and to name it (common practice, no source)."""
    return THINK_S + _again(question).score.duration_s


def answer_by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    parts = [perform_pointed(_groups(question), _key(question), question.style, True, seed=question.seed)]
    if question.broken is not None and question.broken.breaks_in:
        parts.append(heard_answer(replace(question, confirm=False), Answer("no")))
    told = parts[0]
    for part in (*parts[1:], _again(question)):
        told = joined(told, part, BREATH_S)
    return told


def _again(question: Question) -> Performance:
    """The question without its key."""
    return perform(replace(question, confirm=False), question.chords, question.beats, (), ROLE)


def _key(question: Question) -> Key:
    return question.key if question.broken is None else question.broken.awaited


def _groups(question: Question) -> tuple[Pointed, ...]:
    broken = question.broken
    if broken is None:
        tonic = question.key.tonic.pitch_class
        asked = [question.chords[index] for index in question.blanks]
        return tuple(Pointed((0, (chord.root.pitch_class - tonic) % 12), (chord,)) for chord in asked)
    if not broken.breaks_in or broken.foreign is None:
        return ()
    far = distance_between(broken.awaited, broken.foreign)
    return (Pointed((0, far), tuple(question.chords[index] for index in broken.chords)),)
