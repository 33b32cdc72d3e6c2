"""Many students' results together: counts by student, question and type, against a count by hand."""

import csv
import io
import json
from dataclasses import replace
from statistics import fmean, median

from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.practice.test_results import row, rows
from trainer.practice.gathered import CSV_COLUMNS, Tally, gathered, gathered_csv, gathered_json
from trainer.practice.results import ResultRow

ADA = [
    row(run="a", number=1, credit=1.0, helps=(), seconds=4.0),
    row(run="a", number=2, type="plagal", credit=0.5, helps=("again", "bass"), seconds=9.0, answer="5 1"),
    row(run="a", number=3, credit=0.0, slip=True, seconds=1.0, answer="x"),
]
BEN = [
    row(student="Ben", run="b", number=1, credit=0.0, helps=("key",), seconds=6.0, answer="?"),
    row(student="Ben", run="b", number=2, type="plagal", credit=0.5, seconds=7.0, answer="5  1", helps=()),
]


def test_counts_by_hand() -> None:
    """Two students, three questions, two types: every figure as counted on paper; the slip counts nowhere."""
    (one,) = gathered([*ADA, *BEN]).exercises
    assert ("0a", "Week three", 4) == (one.id, one.title, one.of)
    assert [("Ada", "a", Tally(2, 1, 0.75, 2, 1, 6.5)), ("Ben", "b", Tally(2, 0, 0.25, 1, 0, 6.5))] == [
        (student.name, student.run, student.tally) for student in one.students
    ]
    assert [(1, "", Tally(2, 1, 0.5, 1, 0, 5.0)), (2, "5 1", Tally(2, 0, 0.5, 2, 0, 8.0)),
            (3, "", Tally(0, 0, None, 0, 1, None))] == [
        (question.number, question.often_answered, question.tally) for question in one.questions
    ]  # fmt: skip
    assert [("backdoor", Tally(2, 1, 0.5, 1, 1, 5.0)), ("plagal", Tally(2, 0, 0.5, 2, 0, 8.0))] == [
        (type.type, type.tally) for type in one.types
    ]


def test_a_file_that_grew_counts_once() -> None:
    """Half of the results and later all of them are one student's; a changed row is told and the first counts."""
    result = gathered([*ADA[:1], *ADA])
    assert (1, ()) == (result.twice, result.contradicted)
    assert gathered(ADA).exercises == result.exercises
    changed = gathered([*ADA, replace(ADA[0], credit=0.0, answer="1 1 1")])
    assert (1, (("Ada", 1),)) == (changed.twice, changed.contradicted)
    assert gathered(ADA).exercises == changed.exercises


def test_two_students_of_one_name_are_two() -> None:
    """The run tells them apart, and two times of one student as well; exercises stand apart too."""
    result = gathered(
        [*ADA, *(replace(one, run="c") for one in ADA), replace(BEN[0], exercise="0b", title="Week four")]
    )
    assert [2, 1] == [len(one.students) for one in result.exercises]
    assert ["Week three", "Week four"] == [one.title for one in result.exercises]


@given(st.lists(rows(), max_size=12), st.randoms(use_true_random=False))
def test_every_answer_is_counted_once_in_each_table(given_rows: list[ResultRow], chance: object) -> None:
    """Whatever comes, students, questions and types each add up to all rows, whichever way they are shuffled."""
    unique = {(one.exercise, one.run, one.number): one for one in reversed(given_rows)}
    result = gathered(given_rows)
    assert len(given_rows) - len(unique) == result.twice
    for one in result.exercises:
        mine = [row for row in unique.values() if row.exercise == one.id]
        counted = [row for row in mine if not row.slip]
        for table in (one.students, one.questions, one.types):
            tallies = [entry.tally for entry in table]
            assert len(counted) == sum(tally.answered for tally in tallies)
            assert len(mine) - len(counted) == sum(tally.slips for tally in tallies)
            assert sum(row.right for row in counted) == sum(tally.right for tally in tallies)
            assert sum(len(row.helps) for row in counted) == sum(tally.helps for tally in tallies)
        for question in one.questions:
            credits = [row.credit for row in counted if row.number == question.number]
            seconds = [row.seconds for row in counted if row.number == question.number]
            assert question.tally.heard == (round(fmean(credits), 4) if credits else None)
            assert question.tally.seconds == (round(median(seconds), 2) if seconds else None)


@given(st.lists(rows(), max_size=8))
def test_the_data_say_the_same_twice(given_rows: list[ResultRow]) -> None:
    """JSON and CSV hold as many entries as there are students, questions and types, with safe cells."""
    result = gathered(given_rows)
    values = json.loads(json.dumps(gathered_json(result)))
    assert "keyfarer/gathered/1" == values["schema"]
    entries = sum(len(one[name]) for one in values["exercises"] for name in ("students", "questions", "types"))
    table = list(csv.DictReader(io.StringIO(gathered_csv(result), newline="")))
    assert entries == len(table)
    assert not table or list(CSV_COLUMNS) == list(table[0])
    for line in table:
        assert all((cell or "")[:1] not in ("=", "+", "-", "@", "\t", "\r", "\n") for cell in line.values())
        assert line["by"] in ("student", "question", "type")
