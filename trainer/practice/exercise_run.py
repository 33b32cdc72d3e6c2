"""One run of a student through an exercise: what is left by the log, and the results as they grow.

The log is what counts: results are made from it anew after each answer, so what was broken off goes on, and
results that got lost are written again.
"""

from collections.abc import Callable
from dataclasses import field

from trainer.memory.store import Store
from trainer.memory.trial import RIGHT, Trial
from trainer.practice.exercise import SESSION, Exercise, ExerciseError
from trainer.practice.given import Given, answered, given, run_of
from trainer.practice.results import ResultRow, result_rows, results_csv
from trainer.records import dataclass


def newest_run(exercise: Exercise, store: Store) -> tuple[str | None, dict[int, Trial]]:
    """The newest run through an exercise that the log has, and the trials of its questions by number."""
    trials = store.newest_exercise(f"{SESSION} {exercise.id} ")
    return run_of(trials), answered(exercise, trials)


@dataclass(slots=True)
class ExerciseRun:
    """A run; `keep` is handed the results' text whenever an answer has been logged."""

    exercise: Exercise
    run: str
    student: str
    keep: Callable[[str], None] | None = None
    faults: list[str] = field(default_factory=list)
    """Why results could not be kept; the answers are in the log all the same."""

    def done(self, store: Store) -> dict[int, Trial]:
        """The trials of the questions that were answered, by number."""
        return answered(self.exercise, store.newest_exercise(self.exercise.session_of(self.run)))

    def items(self, store: Store) -> Given:
        """What is left to be asked. Raises ExerciseError where nothing is."""
        left = given(self.exercise, self.run, list(self.done(store)))
        if not left.numbers:
            raise ExerciseError(f"All {self.exercise.count} questions of this exercise are answered.")
        return left

    def rows(self, store: Store) -> tuple[ResultRow, ...]:
        """The results so far."""
        return result_rows(self.exercise, self.run, self.student, self.done(store), store.slips())

    def logged(self, store: Store) -> None:
        """Keep the results as they are now; what goes wrong there stops no session."""
        if self.keep is None:
            return
        try:
            self.keep(results_csv(self.rows(store)))
        except Exception as error:
            fault = str(error) or type(error).__name__
            if fault not in self.faults:
                self.faults.append(fault)
        else:
            self.faults.clear()


def came_to(done: dict[int, Trial], slips: frozenset[int]) -> tuple[int, float]:
    """How many answers are right, and the mean credit; slips are left out."""
    counted = [trial for trial in done.values() if trial.id not in slips]
    credits = [trial.credit for trial in counted]
    return sum(credit >= RIGHT for credit in credits), sum(credits) / len(credits) if credits else 0.0
