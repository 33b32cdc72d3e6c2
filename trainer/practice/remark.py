"""Marks computed again from raw trials, where other marking rules had given them.

Kind, unit, rung, seed, key and material make the question again. Only where it is still the one that the log has,
chords, choices and accepted answers, is its answer marked by today's rules; else the mark of its day stays.
"""

import json
from collections.abc import Callable, Sequence
from typing import Any

from trainer.drills.answer import AnswerError
from trainer.drills.kinds import build, find_kind, read_answer
from trainer.drills.mark import RULES_VERSION, Mark, parts_json
from trainer.drills.material import TuneMaterial
from trainer.drills.question import TABLE, Question, question_json
from trainer.errors import KeyfarerError
from trainer.harmony.key import parse_key
from trainer.memory.merge import Remark
from trainer.memory.store import Store
from trainer.memory.trial import Trial
from trainer.practice.session import SKIPPED, nothing_heard
from trainer.records import dataclass

Tunes = Callable[[], Sequence[TuneMaterial]]


@dataclass(frozen=True, slots=True)
class Remarked:
    """What marking again has come to."""

    marks: tuple[tuple[int, Remark], ...]
    """By the trial's id."""
    left: int
    """Trials whose question can't be made alike any more."""


def remarked(store: Store, tunes: Tunes, rules_version: int = RULES_VERSION) -> Remarked:
    """Mark every trial again that other rules have marked. Refresh the store first."""
    marks, left = [], 0
    for trial in store.marked_otherwise(rules_version):
        mark = mark_again(trial, tunes)
        if mark is None:
            left += 1
        else:
            marks.append((trial.id, _remark(mark)))
    return Remarked(tuple(marks), left)


def mark_again(trial: Trial, tunes: Tunes) -> Mark | None:
    """The mark of a raw trial by today's rules; None where its question or answer can't be had again."""
    try:
        question = question_again(trial, tunes)
        if question is None:
            return None
        if trial.answer == SKIPPED:
            return nothing_heard(question, trial.answer_s, trial.sound_s, trial.helps)
        answer = read_answer(question, trial.answer)
        mark = find_kind(question.kind).mark
        return mark(question, answer, answer_s=trial.answer_s, sound_s=trial.sound_s, helps=trial.helps)
    except (AnswerError, KeyfarerError):
        return None


def question_again(trial: Trial, tunes: Tunes) -> Question | None:
    """The question of a raw trial, made anew; None where it is no longer the same. Raises KeyfarerError."""
    tune = None
    if trial.material != TABLE:
        tune = next((one for one in tunes() if f"tune:{one.id}" == trial.material), None)
        if tune is None:
            return None
    logged = _logged(trial)
    against = logged.get("against")
    question = build(trial.kind, trial.unit, trial.rung, trial.seed, tune, parse_key(trial.key), against)
    return question if _decisive(logged) == _decisive(question_json(question)) else None


def _logged(trial: Trial) -> dict[str, Any]:
    """The question as the log has it; empty where that can't be read."""
    try:
        values = json.loads(trial.question)
    except ValueError:
        return {}
    return values if isinstance(values, dict) else {}


def _decisive(question: dict[str, Any]) -> tuple[object, ...]:
    """What decides a mark, of a question as plain values."""
    chords = [chord.get("symbol") for chord in question.get("chords", ())]
    return question.get("key"), chords, question.get("choices"), question.get("accepted")


def _remark(mark: Mark) -> Remark:
    parts = json.dumps(parts_json(mark), ensure_ascii=False)
    return Remark(mark.credit, mark.guess_chance, mark.taken_for, parts, mark.rules_version)
