"""A session over an exercise: just these questions in order, gone on with by the log, with results as it goes."""

from pathlib import Path
from random import Random

import pytest

from tests.trainer.practice.exercising import made
from tests.trainer.practice.practising import HandClock, Remembering, no_tunes
from trainer.drills import kinds
from trainer.memory.store import Store, open_store
from trainer.practice.exercise import Exercise, ExerciseError
from trainer.practice.exercise_run import ExerciseRun, came_to, newest_run
from trainer.practice.results import read_results
from trainer.practice.session import Asking, Done, Session, Told


def five() -> Exercise:
    """An exercise of five questions, two of them of one unit."""
    asked = [("name-functions", "backdoor", 3), ("name-functions", "plagal", 2), ("name-functions", "backdoor", 5),
             ("catch-interruption", "interrupted-after-two", 4), ("name-functions", "plagal", 6)]  # fmt: skip
    return made(*(kinds.build(kind, unit, rung, seed) for seed, (kind, unit, rung) in enumerate(asked)))


def begun(run: ExerciseRun, store: Store) -> tuple[Session, HandClock, Remembering]:
    """A session over what is left of a run."""
    clock, sound = HandClock(), Remembering()
    session = Session(store, run.items(store), sound, clock, Random(1), no_tunes, logged=lambda: run.logged(store))
    session.begin()
    return session, clock, sound


def asking(session: Session) -> Asking:
    """The question that waits."""
    assert isinstance(session.state, Asking)
    return session.state


def answer(session: Session, text: str | None = None) -> Told:
    """Answer the question that waits, right if nothing is given, and go on."""
    told = session.answer(asking(session).question.correct if text is None else text)
    session.prepare()
    session.go_on()
    return told


def test_just_these_questions_are_asked_in_their_order(tmp_path: Path) -> None:
    """Each question is the exercise's own, sounds as it does, and all of them are in the log under the exercise."""
    exercise = five()
    with open_store(tmp_path / "memory.db") as store:
        session, _, sound = begun(ExerciseRun(exercise, "one", ""), store)
        for number, question in enumerate(exercise.questions, 1):
            assert (number, 5, question) == (asking(session).number, asking(session).of, asking(session).question)
            assert question.performance().score == sound.played[-1].score
            assert answer(session).mark.exact
        assert isinstance(session.state, Done)
        trials = tuple(store.trials())
        assert {f"exercise {exercise.id} one"} == {trial.session for trial in trials}
        assert [q.unit for q in exercise.questions] == [trial.unit for trial in trials]
        assert [q.rung for q in exercise.questions] == [trial.rung for trial in trials]
        store.refresh()
        assert {"backdoor", "plagal", "interrupted-after-two"} == set(store.reviews())


@pytest.mark.parametrize("first", range(1, 5))
def test_what_was_broken_off_goes_on(tmp_path: Path, first: int) -> None:
    """Opened again after some answers it asks the others, by their own numbers; other sessions between don't matter."""
    exercise = five()
    with open_store(tmp_path / "memory.db") as store:
        session, _, _ = begun(ExerciseRun(exercise, "one", ""), store)
        for _ in range(first):
            answer(session)
    with open_store(tmp_path / "memory.db") as store:
        other = made(kinds.build("name-functions", "backdoor", 3, 99))
        answer(begun(ExerciseRun(other, "two", ""), store)[0])
        run, done = newest_run(exercise, store)
        assert ("one", list(range(1, first + 1))) == (run, list(done))
        mine = ExerciseRun(exercise, "one", "")
        session, _, _ = begun(mine, store)
        for number in range(first + 1, 6):
            assert (number, 5, exercise.questions[number - 1]) == (
                asking(session).number, asking(session).of, asking(session).question,
            )  # fmt: skip
            answer(session)
        assert "that was all for now" == session.state.why if isinstance(session.state, Done) else False
        with pytest.raises(ExerciseError, match="All 5 questions"):
            mine.items(store)


def test_a_new_run_begins_anew(tmp_path: Path) -> None:
    """A second time through an exercise has all its questions and its own results; the newest one is found."""
    exercise = five()
    with open_store(tmp_path / "memory.db") as store:
        for run in ("one", "two"):
            session, _, _ = begun(ExerciseRun(exercise, run, ""), store)
            assert (1, 5) == (asking(session).number, asking(session).of)
            answer(session)
        assert "two" == newest_run(exercise, store)[0]
        assert 1 == len(ExerciseRun(exercise, "one", "").rows(store))


def test_an_exercise_nobody_opened_has_no_run(tmp_path: Path) -> None:
    """Ordinary practice of the same types is no run of an exercise."""
    with open_store(tmp_path / "memory.db") as store:
        assert (None, {}) == newest_run(five(), store)


def test_results_are_kept_after_every_answer_and_every_slip(tmp_path: Path) -> None:
    """After each answer the results have one row more: credit, helps, seconds as marked; a slip is told in its row."""
    exercise = five()
    kept: list[str] = []
    with open_store(tmp_path / "memory.db") as store:
        run = ExerciseRun(exercise, "one", "Ada", kept.append)
        session, clock, _ = begun(run, store)
        session.hear("slower")
        session.hear("again")
        clock.passes(12.5)
        told = session.answer(asking(session).question.correct)
        rows = read_results(kept[-1].encode(), "results.csv")
        assert [(1, 1.0, ("slower", "again"), 12.5, False, "Ada", told.trial.answer)] == [
            (row.number, row.credit, row.helps, row.seconds, row.slip, row.student, row.answer) for row in rows
        ]
        session.go_on()
        session.skip()
        assert 2 == len(kept)
        session.slip()
        rows = read_results(kept[-1].encode(), "results.csv")
        assert [(False, "?", 0.0), (True, "?", 0.0)] == [(row.slip, "?", 0.0) for row in rows]
        assert (1, 1.0) == came_to(run.done(store), store.slips())


def test_results_that_cant_be_kept_stop_no_session(tmp_path: Path) -> None:
    """A full disk under the results is remembered to be told; the answer is in the log, and the next try heals it."""
    full = [True]

    def keep(text: str) -> None:
        if full[0]:
            raise OSError(28, "No space left on device")

    with open_store(tmp_path / "memory.db") as store:
        run = ExerciseRun(five(), "one", "Ada", keep)
        session, _, _ = begun(run, store)
        answer(session)
        assert ["[Errno 28] No space left on device"] == run.faults
        assert 1 == len(run.rows(store))
        full[0] = False
        answer(session)
        assert [] == run.faults


def test_two_programs_on_one_exercise(tmp_path: Path) -> None:
    """Where the same question is answered in two windows, the first answer is the result and both are in the log."""
    exercise = five()
    with open_store(tmp_path / "memory.db") as store, open_store(tmp_path / "memory.db") as beside:
        run = ExerciseRun(exercise, "one", "")
        one, _, _ = begun(run, store)
        other, _, _ = begun(run, beside)
        right = answer(one)
        other.skip()
        assert right.trial.id == run.done(store)[1].id
        assert 2 == sum(1 for _ in store.trials())
        assert [2, 3, 4, 5] == list(run.items(store).numbers)
