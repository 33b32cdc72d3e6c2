"""The questions of an exercise as a session's items: these and no others, in their order, from where the log ends."""

from collections.abc import Sequence

from trainer.drills.question import Question
from trainer.memory.plan import Asked, PlannedItem
from trainer.memory.trial import Trial
from trainer.practice.exercise import SESSION, Exercise
from trainer.records import dataclass

WHY = "your teacher chose it"


@dataclass(frozen=True, slots=True)
class Given:
    """Questions that are asked as they are."""

    exercise: Exercise
    run: str
    """Names this run through the exercise."""
    numbers: tuple[int, ...]
    """Which questions are still to be asked, from 1, in order."""

    @property
    def count(self) -> int:
        """How many questions the exercise has."""
        return self.exercise.count

    @property
    def session(self) -> str:
        """The log's name for it."""
        return self.exercise.session_of(self.run)

    def number(self, asked: int) -> int:
        """The number of the question that comes after so many in this session."""
        return self.numbers[asked]

    def question(self, asked: int) -> Question:
        """The question that comes after so many in this session."""
        return self.exercise.questions[self.numbers[asked] - 1]

    def next(self, asked: Sequence[Asked], seconds_left: float | None) -> PlannedItem | None:
        """The next question's unit, kind and rung; None when all are asked."""
        if len(asked) >= len(self.numbers):
            return None
        question = self.question(len(asked))
        return PlannedItem(question.unit, question.kind, question.rung, WHY, 0.0)


def answered(exercise: Exercise, trials: Sequence[Trial]) -> dict[int, Trial]:
    """The trial of each question that was answered, by number; the first one where two programs asked it."""
    waiting: dict[tuple[object, ...], list[int]] = {}
    for number, question in reversed(list(enumerate(exercise.questions, 1))):
        asked = (question.kind, question.unit, question.rung, question.seed, question.key.name)
        waiting.setdefault(asked, []).append(number)
    found: dict[int, Trial] = {}
    for trial in trials:
        if numbers := waiting.get((trial.kind, trial.unit, trial.rung, trial.seed, trial.key)):
            found[numbers.pop()] = trial
    return dict(sorted(found.items()))


def run_of(trials: Sequence[Trial]) -> str | None:
    """Which run through an exercise some trials of one session are."""
    words = trials[0].session.split(" ") if trials else []
    return words[2] if len(words) == 3 and words[0] == SESSION else None


def given(exercise: Exercise, run: str, done: Sequence[int]) -> Given:
    """What is left of a run after the questions that are done."""
    return Given(exercise, run, tuple(number for number in range(1, exercise.count + 1) if number not in done))
