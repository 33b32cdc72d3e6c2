"""All faults of a text at once, in order, each with its place; files that are no charts; random text."""

import os
import string
import time
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.amounts import amount
from tests.trainer.charts.asked import faults_of, places_of, read_or_faults
from tests.trainer.charts.chart_strategies import charts
from trainer.charts.chart import Chart
from trainer.charts.library import exercise_tunes
from trainer.charts.reader import read_chart, read_chart_file
from trainer.charts.text_file import MAX_CHART_BYTES
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.errors import TextError

MANY = """\
tempo: soon
key: H
form: A C
stray words
[A]
| Cm7 #11 | Hm7 | C D E | | % F7 |
|: {Qb} C | D |
[B
no bars here
| C coda | D
"""


def test_all_faults_come_at_once() -> None:
    """Header, lines, bars, chords, pins, sections and order are all judged before anything is told."""
    expected = [
        (1, 8), (2, 6), (3, 9), (4, 1), (6, 7), (6, 13), (6, 19), (6, 27), (6, 29), (7, 1), (7, 5),
        (8, 1), (8, 1), (9, 1), (10, 5), (10, 5), (10, 13),
    ]  # fmt: skip
    assert expected == places_of(MANY)


def test_faults_are_told_with_file_line_and_column() -> None:
    """Each fault is a line of its own that a player can act on."""
    with pytest.raises(TextError) as caught:
        read_chart(MANY, "weir.chart")
    lines = str(caught.value).splitlines()
    assert len(lines) == len(caught.value.faults)
    assert all(line.startswith("weir.chart, line ") for line in lines)
    assert all(": found " in line and "; expected " in line for line in lines)


@pytest.mark.parametrize("text", ["", " \n\t\n", "\ufeff", "\r\n\r\n"])
def test_empty_text_is_a_fault(text: str) -> None:
    """An empty text is told as one."""
    assert ["an empty text"] == [fault.found for fault in faults_of(text)]


@pytest.mark.parametrize("text", ["title: Weir\n", "# only a comment\n", "title: Weir\nkey: C\n\n"])
def test_text_without_bars_is_a_fault(text: str) -> None:
    """A header alone is no chart."""
    assert ["no bars"] == [fault.found for fault in faults_of(text)]


def test_zero_byte_in_text_is_a_fault() -> None:
    """A text from elsewhere with a zero byte is refused at its place."""
    assert (2, 3) in places_of("| C |\n| \0 |")


def test_words_before_and_behind_bars_are_faults() -> None:
    """Lyrics and remarks want a `#`."""
    assert [(1, 2), (3, 1)] == places_of(" hello there\n| C |\nla la la\n")


# Files


def written(folder: Path, data: bytes) -> Path:
    """A file with these bytes."""
    path = folder / "weir.chart"
    path.write_bytes(data)
    return path


def fault_of_file(path: Path | str) -> str:
    """What is told of a file that can't be read."""
    with pytest.raises(TextError) as caught:
        read_chart_file(path)
    assert 1 == len(caught.value.faults)
    assert str(path) == caught.value.file
    return str(caught.value)


def test_file_is_read_with_its_name(tmp_path: Path) -> None:
    """The chart knows which file it came from; a byte order mark and CRLF are no matter."""
    path = written(tmp_path, b"\xef\xbb\xbftitle: F\xc3\xb6hr\r\n| C\xe2\x99\xad |\r\n")
    chart = read_chart_file(path)
    assert ("Föhr", str(path)) == (chart.title, chart.file)
    assert chart == read_chart_file(str(path))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", ["empty"]),
        (b"| C |\n| \xe9 |\n", ["line 2, column 3", "0xE9", "UTF-8"]),
        (b"\xef\xbb\xbf| \xe9 |\n", ["line 1, column 3", "0xE9"]),
        (b"| C |\r\n| D | \xff |\n", ["line 2, column 7", "0xFF"]),
        ("| é | x |".encode("utf-16"), ["UTF-16", "UTF-8"]),
        (b"| C |\n\0\0\0\0", ["line 2, column 1", "binary"]),
        (b"MThd\0\0\0\x06\0\x01", ["binary"]),
    ],
)
def test_file_of_another_kind_is_told(tmp_path: Path, data: bytes, words: list[str]) -> None:
    """Bytes that are no UTF-8 text are told with their place and the mend."""
    told = fault_of_file(written(tmp_path, data))
    for word in words:
        assert word in told


def test_missing_file_folder_and_odd_name_are_told(tmp_path: Path) -> None:
    """What isn't a file that can be read is told in plain words."""
    assert "no such file" in fault_of_file(tmp_path / "none.chart")
    assert "a folder" in fault_of_file(tmp_path)
    assert "can't be read" in fault_of_file("weir\0.chart")
    assert "can't be read" in fault_of_file("w" * 5000)


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="everything may be read here")
def test_file_without_permission_is_told(tmp_path: Path) -> None:
    """A file that may not be read is told as that."""
    path = written(tmp_path, b"| C |")
    path.chmod(0)
    assert "may not read" in fault_of_file(path)


def test_permission_is_told_even_to_root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the system refuses is told as that, whoever asks."""

    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = written(tmp_path, b"| C |")
    monkeypatch.setattr(Path, "open", refused)
    assert "may not read" in fault_of_file(path)


def test_large_file_is_refused_without_being_read(tmp_path: Path) -> None:
    """A file of many gigabytes is answered at once."""
    path = tmp_path / "huge.chart"
    with path.open("wb") as stream:
        stream.truncate(5 * 1024**3)  # a hole: takes no room on the disk
    start = time.perf_counter()
    assert "1024 KiB" in fault_of_file(path)
    assert time.perf_counter() - start < 1


def test_limit_is_the_last_size_that_is_read(tmp_path: Path) -> None:
    """A chart padded to the limit is read, one byte more is not."""
    chart = b"| C |\n#" + b" " * (MAX_CHART_BYTES - 7)
    assert 1 == len(read_chart_file(written(tmp_path, chart)).sections)
    assert "more than" in fault_of_file(written(tmp_path, chart + b" "))
    with pytest.raises(TextError, match="more than"):
        read_chart("| C |\n#" + " " * MAX_CHART_BYTES)


# Anything at all

SIGNS = [
    "|", "||", "|]", "|:", ":|", ":|:", ":| x3", "x3", "[1.]", "[1,3.]", "[A]", "[", "]", "{Bb}", "{", "}",
    "{}", "{g: V7}", "Cm7", "C7(b9, #11)", "(", ")", "/", "%", "N.C.", "#", "#11", "# c", "segno", "to coda",
    "coda", "fine", "D.C.", "D.S. al coda", "D.C. al fine", "\n", "\r\n", "\n| ", " |\n", "title: x",
    "form: A A", "meter: 3/4", "meter: ", "key: g", "pickup: 1", "tempo: 9", "feel: 2:1", ":", " ", "\t", "\0",
    "\ufeff", "é",
]  # fmt: skip

any_text = st.one_of(
    st.text(max_size=200),
    st.text("|:[]{}()/%#xABCm79b.,\n ", max_size=200),
    st.lists(st.sampled_from(SIGNS), max_size=60).map(" ".join),
    st.lists(st.sampled_from(SIGNS), max_size=60).map("".join),
)


def read_or_refused(text: str) -> None:
    """Read, unfold and write a text back, or have it refused with faults that can be told."""
    read = read_or_faults(text)
    if isinstance(read, Chart):
        unfold(read)
        assert read == read_chart(write_chart(read))
        return
    assert read
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for fault in read:
        assert fault.found
        assert fault.expected
        assert "\n" not in fault.told("x")
        assert 0 <= fault.line <= len(lines)
        assert 0 <= fault.column <= (len(lines[fault.line - 1]) + 1 if fault.line else 0)


@given(any_text)
@example("[1.]\u2028|")
@example("|\x1c|")
@example("| {:} |")
@example("title:\ud800\n| C |")
def test_any_text_is_read_or_refused(text: str) -> None:
    """Whatever stands in a text, nothing but a TextError with faults in their places comes of it."""
    read_or_refused(text)


@pytest.mark.parametrize("value", ["# 0", "#", "# a # b", "#9 in it", "## two"])
def test_a_value_that_begins_like_a_comment_comes_back(value: str) -> None:
    """Right behind the colon no comment begins, so such a value is written there and read back as it was."""
    for name in ("mood", "source", "composer"):
        chart = read_chart(f"title: Two Lamps\n{name}:{value}\n\n| C |\n")
        told = chart.extra[0][1] if name == "mood" else getattr(chart, name)
        assert value.partition(" # ")[0] == told
        again = read_chart(write_chart(chart))
        assert chart == again
        assert [text for _, text in chart.comments] == [text for _, text in again.comments]


@given(charts(), st.data())
def test_spoiled_chart_is_read_or_refused(chart: Chart, data: st.DataObject) -> None:
    """A chart with pieces cut out, doubled or put in is read or refused, and what is read plays."""
    text = write_chart(chart)
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        until = data.draw(st.integers(start, min(len(text), start + 12)))
        piece = data.draw(st.one_of(st.just(""), st.sampled_from(SIGNS), st.sampled_from(list(string.printable))))
        text = text[:start] + piece + text[until:]
    read_or_refused(text)


@pytest.mark.parametrize(
    "piece",
    [
        "|", "| ", "{", "{}", "{|", "[", "[]", "[|", "(", "C(", "(C ", ":", ": ", ":|", "|:", "a", "a ", " ",
        "#", " # ", "C ", "C/", "/ ", "% ", "[A]\n", "| C |\n", "|: C :|\n", "a: b\n", "meter: 3/4\n", "[1.] ",
        "x3 ", "D.C. ", "D.C. al ", "to ", "{Bb} C ", "\n", "\r", "H ",
    ],
)  # fmt: skip
def test_monotonous_text_takes_no_long_time(piece: str) -> None:
    """A text of nothing but one sign, an eighth of the size limit or as much as CI has time for, is soon answered."""
    part = amount(8, 32)
    start = time.perf_counter()
    for opening in ("", "form: A\n[A]\n| C |\n|: C "):
        assert read_or_faults(opening + piece * (MAX_CHART_BYTES // part // len(piece)))
    assert time.perf_counter() - start < 160 / part


def test_exercise_tunes_are_without_fault() -> None:
    """What ships with the program is read without a remark."""
    tunes = exercise_tunes()
    assert tunes
    for _, place in tunes:
        assert () == read_chart(place.read_text("utf-8")).remarks
