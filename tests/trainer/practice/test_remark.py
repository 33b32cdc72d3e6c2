"""Marks computed again from raw trials: today's rules on the same question, or the mark of its day stays."""

import json
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from tests.trainer.memory.made import MONDAY, rows_of, trial
from trainer.drills import mark as marks
from trainer.drills.answer import AnswerError
from trainer.drills.kinds import KINDS, draw, mark_answer, read_answer
from trainer.drills.mark import RULES_VERSION, parts_json
from trainer.drills.question import Question, question_json, sound_s
from trainer.memory.store import open_store
from trainer.memory.trial import Trial
from trainer.practice.materials import exercise_material
from trainer.practice.remark import mark_again, question_again, remarked
from trainer.practice.session import SKIPPED


def logged(question: Question, answer: str, **other: object) -> Trial:
    """The raw trial of an answer as a session logs it."""
    mark = mark_answer(question, read_answer(question, answer), 9.0) if answer != SKIPPED else None
    values = {
        "at_utc": MONDAY, "unit": question.unit, "kind": question.kind, "rung": question.rung,
        "key": question.key.name, "seed": question.seed, "material": question.material,
        "question": json.dumps(question_json(question), ensure_ascii=False), "answer": answer,
        "correct": question.correct, "credit": mark.credit if mark else 0.0,
        "parts": json.dumps(parts_json(mark)) if mark else "[]",
        "guess_chance": question.guess_chance, "answer_s": 9.0, "sound_s": sound_s(question),
        "taken_for": mark.taken_for if mark else None, "rules_version": RULES_VERSION,
    }  # fmt: skip
    return trial(**{**values, **other})


def questions(count: int) -> list[Question]:
    """Questions of both kinds on all rungs, some from tunes."""
    rng = Random(17)
    tunes = exercise_material()
    pairs = [(kind.id, unit) for kind in KINDS.values() for unit in kind.units]
    found = []
    for number in range(count):
        kind, unit = rng.choice(pairs)
        found.append(draw(kind, unit, 1 + number % 6, rng, None, tunes)[0])
    return found


def answers_of(question: Question) -> list[str]:
    """A right answer, another where there are choices, and none."""
    if question.choices is not None:
        return [str(number + 1) for number in range(len(question.choices))] + [SKIPPED]
    return [question.correct, SKIPPED]


def test_the_same_rules_give_the_same_mark() -> None:
    """Made again from what the log holds alone, each question is the same and its answers are worth the same."""
    marked = 0
    for question in questions(24):
        for answer in answers_of(question):
            try:
                one = logged(question, answer)
            except AnswerError:
                continue  # this kind has a form of its own for the house's right answer
            again = mark_again(one, exercise_material)
            assert again is not None, (question.kind, question.unit, answer)
            assert (one.credit, one.guess_chance, one.taken_for) == (
                again.credit, again.guess_chance, again.taken_for
            )  # fmt: skip
            marked += 1
    assert marked > 40


def test_what_a_type_was_set_against_is_logged() -> None:
    """A question drawn to set two types against each other is made again alike, and its answer is marked alike."""
    wanted = {"major-two-five-one": "minor-two-five-one", "backdoor": "major-two-five-one"}
    for seed, (unit, other) in enumerate(wanted.items()):
        question = draw("tell-apart", unit, 4, Random(seed), against=other)[0]
        assert question.two is not None
        one = logged(question, SKIPPED)
        assert other == json.loads(one.question)["against"]
        assert question == question_again(one, tuple)
        assert mark_again(one, tuple) is not None


@pytest.mark.parametrize(
    "other",
    [
        {"seed": 1}, {"key": "no key"}, {"kind": "no-such-drill"}, {"unit": "no-such-unit"}, {"material": "tune:gone"},
        {"question": "{}"}, {"question": "no JSON"}, {"answer": "what was that?"},
    ],
    ids=str,
)  # fmt: skip
def test_what_cant_be_had_again_is_left(other: dict[str, object]) -> None:
    """Where the question would be another one, or its answer can't be read, there is no new mark."""
    question = draw("name-functions", "major-two-five-one", 1, Random(3))[0]
    assert question_again(logged(question, "1"), tuple) == question
    values = {name: getattr(logged(question, "1"), name) for name in Trial.__dataclass_fields__ if name != "id"}
    assert mark_again(Trial(**{**values, **other}), tuple) is None


def test_other_rules_mark_again_and_the_log_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After the rules have changed, a rebuild marks old answers by the new ones, and no logged row changes."""
    question = draw("name-functions", "major-two-five-one", 1, Random(3))[0]
    assert question.choices is not None
    wrong = next(n for n, row in enumerate(question.choices) if row not in question.accepted)
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([logged(question, str(wrong + 1)), logged(question, "1", seed=question.seed + 1)])
        store.refresh()
        assert () == remarked(store, tuple).marks
        before, credit = rows_of(store.path, ("trials",)), store.recent("major-two-five-one")[-1].credit
        monkeypatch.setattr(marks, "WRONG_PICK", 0.0)
        monkeypatch.setattr(marks, "RULES_VERSION", RULES_VERSION + 1)
        found = remarked(store, tuple, RULES_VERSION + 1)
        assert ((1,), 1) == (tuple(id for id, _ in found.marks), found.left)
        store.rebuild(found.marks)
        assert before == rows_of(store.path, ("trials",))
        assert 0.0 == min(one.credit for one in store.recent("major-two-five-one")) < credit
        assert datetime(2027, 3, 1, 18, tzinfo=UTC) == store.newest_at()
