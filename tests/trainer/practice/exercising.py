"""Exercises for tests: made of any questions, and files forged with a true print of what is in them."""

import json
from collections.abc import Callable
from typing import Any

from trainer.drills.question import Question
from trainer.practice.exercise import Exercise
from trainer.practice.exercise_file import (
    exercise_id,
    exercise_of,
    exercise_text,
    packed_text,
    read_exercise,
    unpacked_text,
)

Change = Callable[[dict[str, Any]], None]


def bytes_of(exercise: Exercise) -> bytes:
    """The bytes of an exercise's file."""
    return exercise_text(exercise).encode()


def forged(exercise: Exercise, change: Change | None = None, whole: Change | None = None) -> bytes:
    """A file whose first question's values, or whose own values, were changed, with a print that fits all the same."""
    values = json.loads(exercise_text(exercise))
    if change is not None:
        first = values["questions"][0]
        inside = json.loads(unpacked_text(first["packed"], 1, ""))
        change(inside)
        first["packed"] = packed_text(json.dumps(inside))
    if whole is not None:
        whole(values)
    rows = values["questions"]
    texts = [unpacked_text(row["packed"], 1, "") for row in rows]
    values["id"] = exercise_id(values["title"], values["note"], [row["sounds"] for row in rows], texts)
    return json.dumps(values).encode()


def read(data: bytes) -> Exercise:
    """The exercise in some bytes."""
    return read_exercise(data, "week.exercise")


def made(*questions: Question, title: str = "Week three", note: str = "Sing the tonic first.") -> Exercise:
    """An exercise of some questions."""
    return exercise_of(questions, title, note)
