"""Results as comma-separated values: RFC 4180, safe in a spreadsheet, and read back or told with file and line.

Source: RFC 4180, section 2, with its grammar; letters beyond ASCII are read as text (RFC 6532 does the same).
"""

import csv
import io
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.practice.results import (
    COLUMNS,
    MOST_FAULTS,
    ResultRow,
    ResultsError,
    plain,
    read_results,
    results_csv,
    safe,
    shown,
)

texts = st.text(st.characters(blacklist_categories=["Cs"], blacklist_characters="\0"), max_size=20)
words = st.text("abc-=+@'#b7", min_size=1, max_size=12)
numbers = st.integers(1, 40)


@st.composite
def rows(draw: st.DrawFn) -> ResultRow:
    """Any row there may be."""
    number = draw(numbers)
    return ResultRow(
        draw(texts), draw(words), draw(texts), draw(words), number, number + draw(st.integers(0, 9)), draw(words),
        draw(words), draw(texts), draw(st.integers(1, 6)), draw(texts), draw(texts),
        draw(st.integers(0, 1000)) / 1000, tuple(draw(st.lists(st.sampled_from(["again", "key"]), max_size=3))),
        draw(st.integers(0, 9999)) / 10, draw(st.booleans()), draw(texts),
    )  # fmt: skip


def row(**changes: object) -> ResultRow:
    """A row, with some values changed."""
    values: dict[str, object] = {
        "student": "Ada", "exercise": "0a", "title": "Week three", "run": "r1", "number": 1, "of": 4,
        "kind": "name-functions", "type": "backdoor", "key": "Bb major", "rung": 3, "answer": "4 b7 1",
        "right_answer": "iv7 bVII7 Imaj7", "credit": 1.0, "helps": ("again",), "seconds": 6.5, "slip": False,
        "answered_at": "2026-03-14T19:00:00+01:00",
    }  # fmt: skip
    return ResultRow(**{**values, **changes})  # type: ignore[arg-type]


@given(st.lists(rows(), max_size=5))
def test_what_is_written_reads_back(given_rows: list[ResultRow]) -> None:
    """Any rows come back as they were, commas, quotes, line ends, formulas and all, also with a mark in front."""
    text = results_csv(given_rows)
    assert tuple(given_rows) == read_results(text.encode(), "r.csv")
    assert tuple(given_rows) == read_results(b"\xef\xbb\xbf" + text.encode(), "r.csv")


TEXT = r"[\x20-\x21\x23-\x2B\x2D-\x7E\x80-\U0010FFFF]"
FIELD = rf'(?:"(?:{TEXT}|,|\r|\n|"")*"|{TEXT}*)'
RECORD = rf"{FIELD}(?:,{FIELD})*"
FILE = re.compile(rf"{RECORD}(?:\r\n{RECORD})*(?:\r\n)?")
"""The grammar of RFC 4180, section 2, line by line."""


@given(st.lists(rows(), max_size=3), st.text(max_size=20))
def test_the_file_is_of_the_standards_grammar(given_rows: list[ResultRow], typed: str) -> None:
    """Whatever is typed, names and titles being such as can be shown, the file is what RFC 4180 describes."""
    told = [
        replace(
            one, student=shown(one.student), title=shown(one.title), key=shown(one.key), answer=shown(typed),
            right_answer=shown(one.right_answer), answered_at=shown(one.answered_at),
        )
        for one in given_rows
    ]  # fmt: skip
    assert FILE.fullmatch(results_csv(told))


@pytest.mark.parametrize(
    ("text", "fits"),
    [("aaa,bbb\r\nzzz,yyy\r\n", True), ('"aaa","b\r\nbb"\r\nzzz,yyy', True), ('"aaa","b""bb"', True),
     ('aa"a,b', False), ('"aaa', False), ("aaa\nbbb", False)],
)  # fmt: skip
def test_the_grammar_is_that_of_the_standards_examples(text: str, fits: bool) -> None:
    """The examples of RFC 4180, section 2, points 1, 2, 6 and 7, and what is against them."""
    assert fits == bool(FILE.fullmatch(text))


@given(st.lists(rows(), max_size=5))
def test_every_line_ends_and_every_row_has_its_cells(given_rows: list[ResultRow]) -> None:
    """As RFC 4180 has it: CRLF at each row's end, a header, as many cells in each row as in the header."""
    text = results_csv(given_rows)
    assert text.startswith(",".join(COLUMNS) + "\r\n")
    assert text.endswith("\r\n")
    read = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert 1 + len(given_rows) == len(read)
    assert {len(COLUMNS)} == {len(cells) for cells in read}


@given(rows())
def test_no_cell_begins_as_a_formula_does(one: ResultRow) -> None:
    """Whatever a student types, no cell begins with what makes a spreadsheet count, and no text is lost by that."""
    for cell in list(csv.reader(io.StringIO(results_csv([one]), newline="")))[1]:
        assert cell[:1] not in ("=", "+", "-", "@", "\t", "\r", "\n")


@pytest.mark.parametrize(
    ("text", "cell"),
    [("=1+1", "'=1+1"), ("+4 -b7", "'+4 -b7"), ("-3", "'-3"), ("@name", "'@name"), ("'=x", "''=x"), ("''-", "'''-"),
     ("'t Hoen", "'t Hoen"), ("2 5 1", "2 5 1"), ("", ""), ("\tx", "'\tx")],
)  # fmt: skip
def test_an_apostrophe_goes_before_and_comes_off_again(text: str, cell: str) -> None:
    """Only what might be counted gets one, and a text that had one already keeps it."""
    assert cell == safe(text)
    assert text == plain(cell)


@given(texts)
def test_safe_and_plain_are_a_pair(text: str) -> None:
    """Any text comes back from its cell."""
    assert text == plain(safe(text))


def test_the_columns_are_these() -> None:
    """A public contract: teachers' spreadsheets and scripts name these columns; new ones stand behind them."""
    header = results_csv([]).splitlines()[0]
    assert header.startswith(
        "student,exercise,title,run,number,of,kind,type,key,rung,answer,right_answer,credit,helps,seconds,slip,answered_at"
    )


def changed(line: int, **cells: str) -> bytes:
    """Three rows as a file, one line of it (2 is the first row) with other cells."""
    table = list(csv.reader(io.StringIO(results_csv([row(number=n) for n in (1, 2, 3)]), newline="")))
    for name, cell in cells.items():
        table[line - 1][COLUMNS.index(name)] = cell
    out = io.StringIO()
    csv.writer(out).writerows(table)
    return out.getvalue().encode()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (changed(3, credit="1.5"), r"r\.csv:3: credit is '1.5'; expected a number from 0 to 1"),
        (changed(3, credit="nan"), r"r\.csv:3: credit is 'nan'"),
        (changed(2, number="0"), r"r\.csv:2: number is '0'"),
        (changed(4, number="9"), r"r\.csv:4: number is 9 of 4"),
        (changed(4, rung="two"), r"r\.csv:4: rung is 'two'; expected a whole number from 1 to 6"),
        (changed(4, slip="maybe"), r"r\.csv:4: slip is 'maybe'; expected yes or no"),
        (changed(2, type=" "), r"r\.csv:2: type is empty"),
        (changed(2, seconds="-1"), r"r\.csv:2: seconds is '-1'"),
        (changed(2, answer="x" * 5000), r"r\.csv:2: answer has 5000 letters"),
        (results_csv([row()]).replace(",", ";").encode(), r"r\.csv:1: its columns are parted by semicolons"),
        (results_csv([row()]).replace(",", "\t").encode(), r"r\.csv:1: its columns are parted by tabs"),
        (results_csv([row()]).replace("credit,", "", 1).encode(), r"r\.csv:1: credit is missing in the header"),
        (results_csv([row()]).encode() + b"Ada,0a\r\n", r"r\.csv:3: the row has 15 cells too few"),
        (results_csv([row()]).encode()[:-2] + b",more\r\n", r"r\.csv:2: the row has 1 cell too many"),
        (results_csv([row()]).encode() + b'"Ada', r"r\.csv:3: "),
        (results_csv([row()]).encode() + b"\xff,", r"r\.csv:3: this is no UTF-8"),
        (b"when,what\r\n1,2\r\n", r"r\.csv:1: these are no results of an exercise"),
        (b"", r"r\.csv:1: these are no results of an exercise"),
    ],
)
def test_faults_are_told_with_file_and_line(data: bytes, words: str) -> None:
    """Each kind of fault names the file, the line, and what was expected."""
    with pytest.raises(ResultsError, match=words):
        read_results(data, "r.csv")


def test_all_faults_come_at_once_up_to_a_number() -> None:
    """A file of many faults tells the first ones and how many more there are."""
    data = results_csv([row(number=n) for n in range(1, 4)] * 10).replace("Bb major,3", "Bb major,8").encode()
    with pytest.raises(ResultsError) as told:
        read_results(data, "r.csv")
    lines = str(told.value).splitlines()
    assert MOST_FAULTS + 1 == len(lines)
    assert lines[-1].endswith("and 10 faults more")


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_no_bytes_break_the_reader(data: bytes) -> None:
    """Any bytes are results or told, behind a header too."""
    for start in (b"", results_csv([]).encode()):
        try:
            read_results(start + data, "r.csv")
        except ResultsError as error:
            assert str(error).startswith("r.csv:")


def test_columns_in_another_order_and_more_of_them_are_read() -> None:
    """A teacher may sort columns or add one; what the row says stays."""
    names = [*reversed(COLUMNS), "grade"]
    first = dict(zip(COLUMNS, list(csv.reader(io.StringIO(results_csv([row()]))))[1], strict=True))
    out = io.StringIO()
    csv.writer(out).writerows([names, [first.get(name, "A") for name in names]])
    assert (row(),) == read_results(out.getvalue().encode(), "r.csv")
