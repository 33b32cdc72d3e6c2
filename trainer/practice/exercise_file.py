"""Exercises as files: one JSON object, schema keyfarer/exercise/1, a public contract.

    {"schema": "keyfarer/exercise/1", "about": "...", "id": "...", "title": "...", "note": "...", "count": 10,
     "questions": [{"sounds": "...", "packed": "..."}, ...]}

`packed` is the question's values (`drills/question_values.py`) as JSON, deflated (RFC 1950) and in base64 (RFC
4648), so that nobody reads an answer by accident; that is no secret. `sounds` is a print of its notes. `id` is
a print of title, note and questions, so a damaged file is found out. Fields are added, never changed.
"""

import base64
import binascii
import hashlib
import json
import zlib
from collections.abc import Sequence
from typing import Any

from trainer.drills.question import Question
from trainer.drills.question_values import NewerError, ValuesError, question_of, question_values
from trainer.practice.exercise import (
    MOST_QUESTIONS,
    PRINT_LETTERS,
    Exercise,
    ExerciseError,
    check_askable,
    sound_print,
    title_fault,
)
from trainer.practice.written import EXERCISE_SUFFIX

SCHEMA = "keyfarer/exercise/1"
ABOUT = (
    "Questions for the ear. Open with: keyfarer exercise open FILE. Answers are packed so that nobody reads them "
    "by accident; that is no secret."
)
LARGEST_FILE = 16_000_000
LARGEST_QUESTION = 400_000
"""Bytes of one question unpacked; more are refused before they are made."""

UPDATE = "Update keyfarer, or ask your teacher for one that this keyfarer can ask."
AGAIN = "Ask your teacher for the file again."


def exercise_of(questions: Sequence[Question], title: str, note: str) -> Exercise:
    """An exercise of some questions. Raises ExerciseError for a title, a note or a number of them that can't be."""
    if fault := title_fault(title, note):
        raise ExerciseError(f"{fault}.")
    if not 0 < len(questions) <= MOST_QUESTIONS:
        raise ExerciseError(f"an exercise has 1 to {MOST_QUESTIONS} questions, not {len(questions)}.")
    sounds = tuple(sound_print(question) for question in questions)
    texts = [_text(question) for question in questions]
    return Exercise(exercise_id(title, note, sounds, texts), title, note, tuple(questions), sounds)


def exercise_text(exercise: Exercise) -> str:
    """The text of the file."""
    pairs = zip(exercise.questions, exercise.sounds, strict=True)
    values = {
        "schema": SCHEMA,
        "about": ABOUT,
        "id": exercise.id,
        "title": exercise.title,
        "note": exercise.note,
        "count": exercise.count,
        "questions": [{"sounds": sound, "packed": packed_text(_text(question))} for question, sound in pairs],
    }
    return json.dumps(values, ensure_ascii=False, indent=1) + "\n"


def read_exercise(data: bytes, file: str) -> Exercise:
    """Read an exercise from a file's bytes. Raises ExerciseError for anything that isn't a whole one."""
    values = _values(data, file)
    title, note, rows = values.get("title"), values.get("note"), values.get("questions")
    if not isinstance(title, str) or not isinstance(note, str) or not isinstance(rows, list):
        raise ExerciseError(f"{file}: title, note or questions are missing. {AGAIN}")
    if not 0 < len(rows) <= MOST_QUESTIONS or values.get("count") != len(rows):
        raise ExerciseError(f"{file}: the number of its questions is not as it says. {AGAIN}")
    if not all(
        isinstance(row, dict) and all(isinstance(row.get(n), str) for n in ("sounds", "packed")) for row in rows
    ):
        raise ExerciseError(f"{file}: holds something else in a question's place. {AGAIN}")
    sounds = tuple(row["sounds"] for row in rows)
    texts = [unpacked_text(row["packed"], number, file) for number, row in enumerate(rows, 1)]
    if values.get("id") != exercise_id(title, note, sounds, texts):
        raise ExerciseError(f"{file}: was changed or damaged since it was written. {AGAIN}")
    if fault := title_fault(title, note):
        raise ExerciseError(f"{file}: {fault}.")
    questions = tuple(_question(text, number, file) for number, text in enumerate(texts, 1))
    return Exercise(str(values["id"]), title, note, questions, sounds)


def _values(data: bytes, file: str) -> dict[str, Any]:
    if len(data) > LARGEST_FILE:
        raise ExerciseError(f"{file}: has {len(data)} bytes; no exercise is so large.")
    try:
        values = json.loads(data.decode("utf-8"))
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise ExerciseError(f"{file}: this is no exercise, or half of one. {AGAIN}") from None
    schema = values.get("schema") if isinstance(values, dict) else None
    if schema == SCHEMA:
        assert isinstance(values, dict)
        return values
    if isinstance(schema, str) and schema.startswith(SCHEMA.rpartition("/")[0] + "/"):
        raise ExerciseError(f"{file}: is an exercise of another version ({schema}). {UPDATE}")
    if isinstance(schema, str) and schema.startswith("keyfarer/") and schema.isprintable():
        raise ExerciseError(
            f"{file}: this is no exercise but {schema[:60]}; name the file that ends in {EXERCISE_SUFFIX}."
        )
    raise ExerciseError(f"{file}: this is no exercise of keyfarer.")


def _question(text: str, number: int, file: str) -> Question:
    try:
        question = question_of(json.loads(text))
        check_askable(number, question)
    except NewerError as error:
        raise ExerciseError(f"{file}: question {number} is of a newer keyfarer ({error}). {UPDATE}") from None
    except (ValuesError, ValueError, RecursionError) as error:
        raise ExerciseError(f"{file}: question {number} holds no question ({error}). {AGAIN}") from None
    except ExerciseError as error:
        raise ExerciseError(f"{file}: {error}. {UPDATE}") from error
    return question


def _text(question: Question) -> str:
    return json.dumps(question_values(question), ensure_ascii=False, separators=(",", ":"))


def packed_text(text: str) -> str:
    """A question's text as it stands in a file."""
    return base64.b64encode(zlib.compress(text.encode(), 9)).decode("ascii")


def unpacked_text(packed: str, number: int, file: str) -> str:
    """The text of a question in a file. Raises ExerciseError."""
    try:
        unpacker = zlib.decompressobj()
        data = unpacker.decompress(base64.b64decode(packed, validate=True), LARGEST_QUESTION)
        if unpacker.eof:
            return data.decode("utf-8")
    except (binascii.Error, zlib.error, ValueError):
        pass
    raise ExerciseError(f"{file}: question {number} can't be unpacked. {AGAIN}")


def exercise_id(title: str, note: str, sounds: Sequence[str], texts: Sequence[str]) -> str:
    """The print of all that is in an exercise; `texts` are its questions, unpacked."""
    told = json.dumps([title, note, list(zip(sounds, texts, strict=True))])
    return hashlib.sha256(told.encode()).hexdigest()[:PRINT_LETTERS]
