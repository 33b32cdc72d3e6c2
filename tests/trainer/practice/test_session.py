"""The session: its states, what it logs and what it refuses."""

import json
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tests.doubles.sound import SoundTwin
from tests.trainer.practice.practising import session_in
from trainer.drills.answer import AnswerError
from trainer.drills.rungs import DrillError
from trainer.harmony.symbol import parse_chord
from trainer.memory.chance import start
from trainer.memory.plan import Asked, PlannedItem
from trainer.practice.items import fixed
from trainer.practice.session import Asking, Done, SessionError, Told
from trainer.practice.sounding import Loudspeaker
from trainer.voicing.performance import perform_progression


def test_a_right_answer_is_marked_logged_and_leads_on(tmp_path: Path) -> None:
    """The right row has full credit, is in the log with all its circumstances, and the next question follows."""
    session, store, clock, sound = session_in(tmp_path)
    asking = session.begin()
    assert isinstance(asking, Asking)
    clock.passes(4.5)
    told = session.answer(" ".join(asking.question.accepted[0]))
    assert (1.0, True) == (told.mark.credit, told.mark.exact)
    (trial,) = store.trials()
    assert trial == told.trial
    assert ("major-two-five-one", "name-functions", 3) == (trial.unit, trial.kind, trial.rung)
    assert "a session" == trial.session
    assert 4.5 == trial.answer_s
    assert asking.question.key.name == trial.key
    assert "keyfarer/question/1" == json.loads(trial.question)["schema"]
    following = session.go_on()
    assert isinstance(following, Asking)
    assert 2 == following.number
    assert 2 == len(sound.played)


def test_the_session_ends_after_its_count(tmp_path: Path) -> None:
    """After the last answer comes Done, and nothing can be answered any more."""
    session, store, _, _ = session_in(tmp_path, count=2)
    session.begin()
    for _ in range(2):
        session.answer("2 5 1")
        session.go_on()
    assert isinstance(session.state, Done)
    assert 2 == len(list(store.trials()))
    with pytest.raises(SessionError, match="no question waits"):
        session.answer("2 5 1")


def test_helps_are_heard_counted_and_logged(tmp_path: Path) -> None:
    """Each help plays, stands in the log in order, and leaves what a right answer proves below 1."""
    session, store, _, sound = session_in(tmp_path)
    asking = session.begin()
    assert isinstance(asking, Asking)
    session.hear("again")
    session.hear("bass")
    told = session.answer(" ".join(asking.question.accepted[0]))
    assert 3 == len(sound.played)
    assert {"bass"} == {note.part for note in sound.played[2].score.notes if note.role == "question"}
    assert ("again", "bass") == next(store.trials()).helps
    assert told.mark.exact
    assert told.mark.proves < 1.0


def test_an_answer_that_cant_be_read_counts_as_nothing(tmp_path: Path) -> None:
    """Nonsense is refused with what is accepted, and the question still waits."""
    session, store, _, _ = session_in(tmp_path)
    session.begin()
    with pytest.raises(AnswerError, match="degree"):
        session.answer("purple")
    assert isinstance(session.state, Asking)
    assert [] == list(store.trials())


def test_passing_over_counts_as_not_heard(tmp_path: Path) -> None:
    """A question that is passed over is logged without credit, so that nothing is evaded."""
    session, store, _, _ = session_in(tmp_path)
    session.begin()
    told = session.skip()
    assert (0.0, None, "?") == (told.mark.credit, told.answer, next(store.trials()).answer)
    with pytest.raises(SessionError, match="none to be heard"):
        session.hear_mine()


def test_no_time_counts_in_a_pause(tmp_path: Path) -> None:
    """A pause stops the sound, the answer's clock and the session's; going on sounds again and counts as again."""
    session, _, clock, sound = session_in(tmp_path, seconds=60.0)
    session.begin()
    clock.passes(3)
    assert session.pause().paused
    stopped = sound.stopped
    clock.passes(600)
    assert 3.0 == session.seconds_spent
    going_on = session.pause()
    assert (False, ("again",), 2) == (going_on.paused, going_on.helps, len(sound.played))
    clock.passes(4)
    told = session.answer("2 5 1")
    assert (7.0, ("again",), 7.0) == (told.trial.answer_s, told.trial.helps, session.seconds_spent)
    assert 1 <= stopped


@pytest.mark.parametrize("how", ["answer", "skip", "help"])
def test_whatever_is_done_ends_a_pause(how: str, tmp_path: Path) -> None:
    """An answer, passing over or a help goes on by itself, and the pause still counts for nothing."""
    session, _, clock, _ = session_in(tmp_path)
    session.begin()
    clock.passes(2)
    session.pause()
    clock.passes(100)
    if how == "help":
        assert not session.hear("bass").paused
    told = session.skip() if how == "skip" else session.answer("2 5 1")
    assert 2.0 == told.trial.answer_s
    with pytest.raises(SessionError):
        session.pause()


def test_a_slip_is_a_record_of_its_own(tmp_path: Path) -> None:
    """A slip leaves the log's row alone and takes the trial out of what is computed."""
    session, store, _, _ = session_in(tmp_path)
    session.begin()
    told = session.answer("1 1 1")
    slipped = session.slip()
    assert slipped.slip
    assert frozenset({told.trial.id}) == store.slips()
    assert told.trial == next(store.trials())
    session.stop()
    assert {} == store.reviews()


def test_both_readings_can_be_compared_by_ear(tmp_path: Path) -> None:
    """After a wrong answer the question and the stretch as answered sound differently."""
    session, _, _, sound = session_in(tmp_path)
    session.begin()
    session.answer("2 5 6")
    session.hear_right()
    session.hear_mine()
    right, mine = sound.played[-2:]
    assert [note.midi for note in right.score.notes] != [note.midi for note in mine.score.notes]
    assert "answer" in {chord.role for chord in mine.chords}


def test_stopping_makes_the_days_review(tmp_path: Path) -> None:
    """A session that is stopped has made the review of what was answered."""
    session, store, _, _ = session_in(tmp_path)
    asking = session.begin()
    assert isinstance(asking, Asking)
    session.answer(" ".join(asking.question.accepted[0]))
    session.stop()
    assert {"major-two-five-one"} == set(store.reviews())


def test_a_broken_session_loses_nothing(tmp_path: Path) -> None:
    """Without any ending, the next opening makes the review from the log."""
    session, store, _, _ = session_in(tmp_path)
    session.begin()
    session.answer("2 5 1")
    store.close()
    from trainer.memory.store import open_store

    with open_store(tmp_path / "memory.db") as again:
        assert 1 == len(list(again.trials()))
        assert again.refresh()
        assert {"major-two-five-one"} == set(again.reviews())


def test_keys_go_round_before_one_comes_back(tmp_path: Path) -> None:
    """Over two sessions of six questions each, all twelve keys are asked once."""
    keys = []
    for _ in range(2):
        session, store, _, _ = session_in(tmp_path, count=6)
        session.begin()
        while isinstance(session.state, Asking):
            keys.append(session.state.question.key.tonic.pitch_class)
            told = session.answer("2 5 1")
            assert isinstance(told, Told)
            session.go_on()
        store.close()
    assert list(range(12)) == sorted(keys)


def test_the_time_is_up(tmp_path: Path) -> None:
    """A session with a limit ends when its plan's questions no longer fit."""
    from datetime import date

    from trainer.memory.plan import Plan, PlannedItem
    from trainer.practice.items import FromPlan

    item = PlannedItem("plagal", "name-functions", 3, "a test", 30.0)
    other = PlannedItem("half", "name-functions", 3, "a test", 30.0)
    plan = Plan(date(2026, 3, 14), (item, other, item))
    session, _, clock, _ = session_in(tmp_path, items=FromPlan(plan), seconds=70.0)
    session.begin()
    clock.passes(50.0)
    session.skip()
    session.go_on()
    assert Done("the time is up") == session.state


def test_what_is_fixed_is_checked() -> None:
    """A type that a kind can't train is refused and the kinds that can are named."""
    from random import Random

    with pytest.raises(DrillError, match="name-functions"):
        fixed(("plagal",), ("catch-interruption",), 3, 1, start(), Random(1))


def test_the_same_seed_asks_the_same_questions(tmp_path: Path) -> None:
    """Two sessions of one seed ask the same, whatever was answered."""
    seen = []
    for name, answer in (("a", "2 5 1"), ("b", "1 1 1")):
        folder = tmp_path / name
        folder.mkdir()
        session, _, _, _ = session_in(folder)
        session.begin()
        while isinstance(session.state, Asking):
            seen.append((name, session.state.question))
            session.answer(answer)
            session.go_on()
    assert [q for name, q in seen if name == "a"] == [q for name, q in seen if name == "b"]


def test_the_next_question_is_made_while_an_answer_is_read(tmp_path: Path) -> None:
    """What was prepared is what is then asked and played, once; with or without it the questions are the same."""
    questions = []
    for prepares in (True, False):
        (tmp_path / str(prepares)).mkdir()
        session, _, _, sound = session_in(tmp_path / str(prepares), count=4)
        session.prepare()  # before there is an answer it does nothing
        asked = [session.begin()]
        for _ in range(3):
            session.prepare()
            session.answer("2 5 1")
            if prepares:
                session.prepare()
                session.prepare()
            asked.append(session.go_on())
        assert (3 if prepares else 0) == len(sound.prepared)
        if prepares:
            assert all(made is played for made, played in zip(sound.prepared, sound.played[1:], strict=True))
        questions.append([state.question for state in asked if isinstance(state, Asking)])
    assert questions[0] == questions[1]
    assert 4 == len(questions[0])


def test_a_prepared_question_is_dropped_when_the_time_is_up(tmp_path: Path) -> None:
    """What is prepared is asked only if it still is what comes next."""
    session, _, clock, sound = session_in(tmp_path, count=9, items=Timed(), seconds=60.0)
    session.begin()
    session.answer("2 5 1")
    session.prepare()
    clock.passes(61.0)
    assert isinstance(session.go_on(), Done)
    assert 1 == len(sound.prepared)
    assert 1 == len(sound.played)


class Timed:
    """Always the same, until the time is up."""

    count = 9

    def next(self, asked: Sequence[Asked], seconds_left: float | None) -> PlannedItem | None:
        """One type while there is time."""
        late = seconds_left is None or seconds_left <= 0
        return None if late else PlannedItem("major-two-five-one", "name-functions", 3, "a test", 0.0)


def test_a_prepared_sound_is_played_as_it_was_made() -> None:
    """The loudspeaker plays what it prepared without making it anew, and makes whatever else is asked."""
    twin = SoundTwin()
    speaker = Loudspeaker(lambda: twin)
    first, second = (perform_progression([parse_chord(name)], [Fraction(4)], 96) for name in ("C6", "F6"))
    speaker.prepare(first)
    speaker.play(first)
    speaker.play(second)
    speaker.play(first)
    assert np.array_equal(twin.played[0].samples, twin.played[2].samples)
    assert not np.array_equal(twin.played[0].samples, twin.played[1].samples)
