"""Many students' results together, exercise by exercise: by student, by question, by type; keyfarer/gathered/1.

Slips are told and counted for nothing. Rows that come twice, because a file was handed in again or grew, count once.
"""

import csv
import io
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from statistics import fmean, median
from typing import Any, TypeVar

from trainer.practice.results import ResultRow, safe
from trainer.records import dataclass

SCHEMA = "keyfarer/gathered/1"
_Key = TypeVar("_Key")
CSV_COLUMNS = (
    "exercise", "title", "by", "what", "kind", "type", "key", "of", "answered", "right", "heard", "helps", "slips",
    "seconds", "often_answered",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tally:
    """What some answers came to."""

    answered: int
    """Slips left out."""
    right: int
    heard: float | None
    """Mean credit, 0 to 1; None where nothing was answered."""
    helps: int
    slips: int
    seconds: float | None
    """The middle time from the start of the sound to the answer."""


@dataclass(frozen=True, slots=True)
class ByStudent:
    """One time of one student through an exercise."""

    name: str
    run: str
    of: int
    tally: Tally


@dataclass(frozen=True, slots=True)
class ByQuestion:
    """One question over all students."""

    number: int
    kind: str
    type: str
    key: str
    right_answer: str
    often_answered: str
    """The wrong answer that most students gave, at least two of them; empty where there is none."""
    tally: Tally


@dataclass(frozen=True, slots=True)
class ByType:
    """All questions of one type."""

    type: str
    tally: Tally


@dataclass(frozen=True, slots=True)
class GatheredExercise:
    """All results of one exercise."""

    id: str
    title: str
    of: int
    students: tuple[ByStudent, ...]
    questions: tuple[ByQuestion, ...]
    types: tuple[ByType, ...]


@dataclass(frozen=True, slots=True)
class Gathered:
    """All results, exercise by exercise, in the order they came."""

    exercises: tuple[GatheredExercise, ...]
    twice: int
    """Rows that came more than once and count once."""
    contradicted: tuple[tuple[str, int], ...]
    """Student and number of rows that came again with another answer; the first one counts."""


def gathered(rows: Iterable[ResultRow]) -> Gathered:
    """Put results together."""
    kept: dict[tuple[str, str, int], ResultRow] = {}
    twice = 0
    contradicted: list[tuple[str, int]] = []
    for row in rows:
        place = (row.exercise, row.run, row.number)
        if (before := kept.get(place)) is None:
            kept[place] = row
        else:
            twice += 1
            told = (row.student, row.number)
            if (before.answer, before.credit) != (row.answer, row.credit) and told not in contradicted:
                contradicted.append(told)
    exercises = dict.fromkeys(row.exercise for row in kept.values())
    return Gathered(
        tuple(_exercise([row for row in kept.values() if row.exercise == id]) for id in exercises),
        twice,
        tuple(contradicted),
    )


def _exercise(rows: Sequence[ResultRow]) -> GatheredExercise:
    runs = _by(rows, lambda row: row.run)
    students = [ByStudent(mine[0].student, run, mine[0].of, _tally(mine)) for run, mine in runs.items()]
    numbers = _by(sorted(rows, key=lambda row: row.number), lambda row: row.number)
    questions = [
        ByQuestion(number, mine[0].kind, mine[0].type, mine[0].key, mine[0].right_answer, _often(mine), _tally(mine))
        for number, mine in numbers.items()
    ]
    types = [ByType(type, _tally(mine)) for type, mine in sorted(_by(rows, lambda row: row.type).items())]
    return GatheredExercise(
        rows[0].exercise,
        rows[0].title,
        max(row.of for row in rows),
        tuple(sorted(students, key=lambda one: (one.name.casefold(), one.run))),
        tuple(questions),
        tuple(types),
    )


def _by(rows: Iterable[ResultRow], key: Callable[[ResultRow], _Key]) -> dict[_Key, list[ResultRow]]:
    groups: dict[_Key, list[ResultRow]] = {}
    for row in rows:
        groups.setdefault(key(row), []).append(row)
    return groups


def _tally(rows: Sequence[ResultRow]) -> Tally:
    counted = [row for row in rows if not row.slip]
    return Tally(
        len(counted),
        sum(row.right for row in counted),
        round(fmean(row.credit for row in counted), 4) if counted else None,
        sum(len(row.helps) for row in counted),
        len(rows) - len(counted),
        round(median(row.seconds for row in counted), 2) if counted else None,
    )


def _often(rows: Sequence[ResultRow]) -> str:
    wrong = Counter(" ".join(row.answer.split()) for row in rows if not row.slip and not row.right)
    if not wrong:
        return ""
    answer, times = min(wrong.items(), key=lambda one: (-one[1], one[0]))
    return answer if times > 1 else ""


def gathered_json(result: Gathered) -> dict[str, Any]:
    """All of it as plain values."""
    return {
        "schema": SCHEMA,
        "exercises": [
            {
                "exercise": one.id,
                "title": one.title,
                "of": one.of,
                "students": [
                    {"student": student.name, "run": student.run, "of": student.of, **_plain(student.tally)}
                    for student in one.students
                ],
                "questions": [
                    {
                        "number": question.number,
                        "kind": question.kind,
                        "type": question.type,
                        "key": question.key,
                        "right_answer": question.right_answer,
                        "often_answered": question.often_answered or None,
                        **_plain(question.tally),
                    }
                    for question in one.questions
                ],
                "types": [{"type": type.type, **_plain(type.tally)} for type in one.types],
            }
            for one in result.exercises
        ],
        "twice": result.twice,
        "contradicted": [{"student": name, "number": number} for name, number in result.contradicted],
    }


def gathered_csv(result: Gathered) -> str:
    """All of it as rows: `by` says of what (student, question, type), `what` of which."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(CSV_COLUMNS)
    for one in result.exercises:
        rows: list[tuple[str, str, str, str, str, int, Tally, str]] = [
            *(("student", student.name, "", "", "", student.of, student.tally, "") for student in one.students),
            *(
                (
                    "question", str(question.number), question.kind, question.type, question.key, len(one.students),
                    question.tally, question.often_answered,
                )
                for question in one.questions
            ),
            *(("type", type.type, "", type.type, "", 0, type.tally, "") for type in one.types),
        ]  # fmt: skip
        for by, what, kind, type_id, key, of, tally, often in rows:
            numbers = [str(value if value is not None else "") for value in _plain(tally).values()]
            cells = [one.id, one.title, by, what, kind, type_id, key, str(of or ""), *numbers, often]
            writer.writerow([safe(cell) for cell in cells])
    return out.getvalue()


def _plain(tally: Tally) -> dict[str, int | float | None]:
    return {
        "answered": tally.answered,
        "right": tally.right,
        "heard": tally.heard,
        "helps": tally.helps,
        "slips": tally.slips,
        "seconds": tally.seconds,
    }
