"""What a student answered, as comma-separated values (RFC 4180) in UTF-8: a row a question; a public contract.

A cell that a spreadsheet might take for a formula, because it begins with = + - @ or a tab, gets an apostrophe
before it, and loses it when it is read (after the advice of OWASP on CSV injection; from memory).
Columns are added at the end, never changed.
"""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from typing import Any

from trainer.errors import KeyfarerError
from trainer.memory.trial import RIGHT, TOP_RUNG, Trial
from trainer.practice.exercise import Exercise
from trainer.records import dataclass

COLUMNS = (
    "student", "exercise", "title", "run", "number", "of", "kind", "type", "key", "rung", "answer", "right_answer",
    "credit", "helps", "seconds", "slip", "answered_at",
)  # fmt: skip

LARGEST_FILE = 16_000_000
MOST_FAULTS = 20
"""Told of one file; the rest are counted."""
LONGEST_CELL = 4_000
LONGEST_NAME = 120

_FORMULA = re.compile(r"'*[=+\-@\t\r\n]")
_ESCAPED = re.compile(r"'+[=+\-@\t\r\n]")


class ResultsError(KeyfarerError):
    """Results that can't be read; each line of the message names file and line."""


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One question of one student."""

    student: str
    exercise: str
    """The exercise's id."""
    title: str
    run: str
    """Tells one time through an exercise from another, and two students of one name apart."""
    number: int
    of: int
    """Questions of the exercise."""
    kind: str
    type: str
    key: str
    rung: int
    answer: str
    """As it was typed; `?` where the question was passed over."""
    right_answer: str
    credit: float
    helps: tuple[str, ...]
    seconds: float
    """From the start of the sound to the answer."""
    slip: bool
    """The student said that it was a slip of the finger."""
    answered_at: str
    """The student's local time."""

    @property
    def right(self) -> bool:
        """Whether all of it was right."""
        return self.credit >= RIGHT


def result_rows(
    exercise: Exercise, run: str, student: str, trials: Mapping[int, Trial], slips: frozenset[int]
) -> tuple[ResultRow, ...]:
    """The rows of a run, by what the log has of it: each answered question's trial by its number."""
    return tuple(
        ResultRow(
            student, exercise.id, exercise.title, run, number, exercise.count, trial.kind, trial.unit,
            trial.key, trial.rung, shown(trial.answer), trial.correct, round(trial.credit, 3), trial.helps,
            round(trial.answer_s, 1), trial.id in slips, _local(trial),
        )
        for number, trial in sorted(trials.items())
    )  # fmt: skip


def shown(text: str) -> str:
    """A text that was typed, without what RFC 4180 has no place for: control characters are question marks."""
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def _local(trial: Trial) -> str:
    from datetime import timedelta, timezone

    zone = timezone(timedelta(minutes=trial.utc_offset_minutes))
    return trial.at_utc.astimezone(zone).isoformat(timespec="seconds")


def results_csv(rows: Sequence[ResultRow]) -> str:
    """The rows as a file's text, a header first, lines ending as RFC 4180 has it."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow(
            [
                safe(text)
                for text in (
                    row.student, row.exercise, row.title, row.run, str(row.number), str(row.of), row.kind, row.type,
                    row.key, str(row.rung), row.answer, row.right_answer, f"{row.credit:g}", " ".join(row.helps),
                    f"{row.seconds:g}", "yes" if row.slip else "no", row.answered_at,
                )
            ]
        )  # fmt: skip
    return out.getvalue()


def safe(text: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{text}" if _FORMULA.match(text) else text


def plain(cell: str) -> str:
    """The text of a cell that `safe` wrote."""
    return cell[1:] if _ESCAPED.match(cell) else cell


def read_results(data: bytes, file: str) -> tuple[ResultRow, ...]:
    """Read a file of results. Raises ResultsError with every fault of it, a line each."""
    if len(data) > LARGEST_FILE:
        raise ResultsError(f"{file}: has {len(data)} bytes; no results are so many.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise ResultsError(f"{file}:{line}: this is no UTF-8; save it as comma-separated values in UTF-8.") from None
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    faults: list[str] = []
    rows: list[ResultRow] = []
    try:
        header = next(reader, [])
        _check_header(header, file)
        for cells in reader:
            if not any(cells):
                continue
            row = _row(dict(zip(header, cells, strict=False)), len(cells) - len(header))
            if isinstance(row, ResultRow):
                rows.append(row)
            else:
                faults += [f"{file}:{reader.line_num}: {fault}" for fault in row]
    except csv.Error as error:
        faults.append(f"{file}:{reader.line_num}: {error}")
    if faults:
        more = [f"{file}: and {len(faults) - MOST_FAULTS} faults more"] if len(faults) > MOST_FAULTS else []
        raise ResultsError("\n".join([*faults[:MOST_FAULTS], *more]))
    return tuple(rows)


def _check_header(header: Sequence[str], file: str) -> None:
    missing = [name for name in COLUMNS if name not in header]
    if not missing:
        return
    if len(header) == 1 and any(sign in header[0] for sign in ";\t"):
        sign = "semicolons" if ";" in header[0] else "tabs"
        raise ResultsError(f"{file}:1: its columns are parted by {sign}; save it with commas between them.")
    if len(missing) == len(COLUMNS):
        raise ResultsError(f"{file}:1: these are no results of an exercise; their first line is {','.join(COLUMNS)}.")
    raise ResultsError(f"{file}:1: {', '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing in the header.")


def _row(cells: Mapping[str, str], more: int) -> ResultRow | list[str]:
    """A row, or what is wrong with it."""
    if more:
        many = f"{abs(more)} cell{'s' if abs(more) > 1 else ''}"
        return [f"the row has {many} too {'many' if more > 0 else 'few'}"]
    faults: list[str] = []
    texts = {name: plain(cells[name]) for name in COLUMNS}
    faults += [f"{name} has {len(text)} letters" for name, text in texts.items() if len(text) > LONGEST_CELL]

    def number(name: str, low: float, high: float, whole: bool) -> Any:
        try:
            value = int(texts[name]) if whole else float(texts[name])
            if low <= value <= high:
                return value
        except ValueError:
            pass
        kind = "a whole number" if whole else "a number"
        faults.append(f"{name} is {texts[name][:24]!r}; expected {kind} from {low:g} to {high:g}")
        return 0

    values = {
        "of": number("of", 1, 100_000, True),
        "number": number("number", 1, 100_000, True),
        "rung": number("rung", 1, TOP_RUNG, True),
        "credit": number("credit", 0, 1, False),
        "seconds": number("seconds", 0, 1e7, False),
    }
    if texts["slip"] not in ("yes", "no"):
        faults.append(f"slip is {texts['slip'][:24]!r}; expected yes or no")
    for name in ("exercise", "run", "kind", "type"):
        if not texts[name].strip():
            faults.append(f"{name} is empty")
    if not faults and values["number"] > values["of"]:
        faults.append(f"number is {values['number']} of {values['of']}")
    if faults:
        return faults
    helps = tuple(texts["helps"].split())
    return ResultRow(**{**texts, **values, "helps": helps, "slip": texts["slip"] == "yes"})


def name_fault(name: str) -> str | None:
    """What is wrong with a student's name; None where it can be written."""
    if not name.strip() or len(name) > LONGEST_NAME or not name.isprintable():
        return f"a name has 1 to {LONGEST_NAME} letters"
    return None
