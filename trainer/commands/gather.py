"""`keyfarer exercise gather`: many students' results in one table, by student, by question, by type."""

import json
from collections.abc import Sequence
from pathlib import Path

import click

from trainer.commands.data_out import ascii_only, put_data
from trainer.commands.options import GatherOptions
from trainer.commands.reports import BAD_INPUT, told_error, told_remark
from trainer.commands.words import counted, joined, width, wrapped
from trainer.practice.gathered import Gathered, GatheredExercise, Tally, gathered, gathered_csv, gathered_json
from trainer.practice.results import LARGEST_FILE, ResultRow, ResultsError, read_results

LEGEND = (
    "right: all of it right; heard: mean of 100, with part credit; helps: taken in all; seconds: the middle time "
    "from the start of the sound to the answer. A slip of the finger counts for nothing."
)
HEADS = ("answered", "right", "heard", "helps", "seconds")
LONGEST = 30
"""Letters of a name or an answer that are shown in a table."""


def run_gather(options: GatherOptions) -> int:
    """Print all results together; 2 where a file has a fault, after the others had their turn."""
    rows: list[ResultRow] = []
    bad = False
    for file in options.files:
        try:
            rows += _read(file)
        except ResultsError as error:
            told_error(error)
            bad = True
    result = gathered(rows)
    if options.form == "json":
        click.echo(json.dumps(gathered_json(result), ensure_ascii=ascii_only()))
    elif options.form == "csv":
        put_data(gathered_csv(result).replace("\r\n", "\n"))
    elif rows:
        click.echo("\n".join(told_gathered(result, width())))
    elif not bad:
        click.echo("These files hold no answers yet.")
    if result.twice:
        told_remark(f"{counted(result.twice, 'row')} came more than once and {_counts(result.twice)} once")
    for name, number in result.contradicted:
        told_remark(f"{_short(name)}: question {number} came again with another answer; the first one counts")
    return BAD_INPUT if bad else 0


def _counts(number: int) -> str:
    return "counts" if number == 1 else "count"


def _read(file: str) -> tuple[ResultRow, ...]:
    try:
        with Path(file).open("rb") as opened:
            data = opened.read(LARGEST_FILE + 1)
    except OSError as error:
        raise ResultsError(f"{file}: can't be read: {error.strerror or error}") from None
    return read_results(data, file)


def told_gathered(result: Gathered, columns: int) -> list[str]:
    """The tables of every exercise, and what their columns mean."""
    lines: list[str] = []
    for one in result.exercises:
        lines += [*_exercise(one, columns), ""]
    return [*lines, *wrapped(LEGEND, columns)]


def _exercise(one: GatheredExercise, columns: int) -> list[str]:
    title = _short(one.title, 60) or f"Exercise {_short(one.id)}"
    lines = [f"{title}: {counted(one.of, 'question')}, {counted(len(one.students), 'student')}", ""]
    lines += _table(
        ("student", *HEADS),
        [(_short(student.name) or "no name", *_cells(student.tally, student.of)) for student in one.students],
    )
    of = len(one.students)
    lines += ["", *_table(
        ("question", *HEADS),
        [(_question(question.number, question.key), *_cells(question.tally, of)) for question in one.questions],
    )]  # fmt: skip
    often = [
        f"{question.number}: it was {_short(question.right_answer)}, often answered {_short(question.often_answered)}"
        for question in one.questions
        if question.often_answered
    ]
    if often:
        lines += ["", *(line for told in often for line in wrapped(told, columns, "  ", "    "))]
    lines += ["", *_table(("type", *HEADS), [(_short(t.type, 38), *_cells(t.tally)) for t in one.types])]
    slips = sum(student.tally.slips for student in one.students)
    if slips:
        names = [_short(student.name) for student in one.students if student.tally.slips]
        lines += ["", *wrapped(f"Told as slips: {slips}, by {joined(names)}.", columns)]
    return lines


def _question(number: int, key: str) -> str:
    return f"{number}, {_short(key, 12)}" if key else str(number)


def _cells(tally: Tally, of: int | None = None) -> tuple[str, ...]:
    answered = tally.answered + tally.slips
    return (
        str(answered) if of is None else f"{answered} of {of}",
        str(tally.right),
        "-" if tally.heard is None else str(round(100 * tally.heard)),
        str(tally.helps),
        "-" if tally.seconds is None else f"{tally.seconds:.1f}",
    )


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Lines under their heads: the first column to the left, numbers to the right."""
    cells = [heads, *rows]
    wide = [max(len(row[n]) for row in cells) for n in range(len(heads))]
    return [
        "  ".join((row[0].ljust(wide[0]), *(cell.rjust(w) for cell, w in zip(row[1:], wide[1:], strict=True))))
        for row in cells
    ]


def _short(text: str, most: int = LONGEST) -> str:
    """A text of somebody else's as it may be shown on a terminal, and no longer than fits."""
    shown = "".join(letter if letter.isprintable() else "?" for letter in " ".join(text.split()))
    return shown if len(shown) <= most else f"{shown[: most - 3]}..."
