"""Lines, comments, barlines and words of chart text, against DESIGN.md's rules of the project."""

import pytest

from tests.trainer.charts.asked import faults_of, slots_of, the_fault_of
from trainer.charts.lexer import BARLINES, lines_of, split_comment, tokens_of
from trainer.charts.reader import read_chart


@pytest.mark.parametrize(
    ("line", "rest", "comment"),
    [
        ("# all of it", "", "all of it"),
        ("   # indented", "   ", "indented"),
        ("#close", "", "close"),
        ("  #close", "  ", "close"),
        ("| C | # behind", "| C | ", "behind"),
        ("| C |\t#\ttabs", "| C |\t", "tabs"),
        ("| C | #", "| C | ", ""),
        ("key: F# minor", "key: F# minor", None),
        ("| C7#11 | C7 #11 |", "| C7#11 | C7 #11 |", None),
        ("| C# | D |", "| C# | D |", None),
        ("| F# # a comment", "| F# ", "a comment"),
        ("| C | ## x", "| C | ## x", None),
    ],
)
def test_comment_is_told_from_a_sharp(line: str, rest: str, comment: str | None) -> None:
    """A comment begins a line, or stands between white spaces."""
    assert (rest, comment) == split_comment(line)


def test_title_has_no_comments() -> None:
    """A title keeps a `#` that stands alone, as no other header value does."""
    chart = read_chart("title: Etude # 9\ncomposer: Ilse Tarn # who else\n| C |")
    assert "Etude # 9" == chart.title
    assert "Ilse Tarn" == chart.composer


def test_loose_tension_is_to_be_joined() -> None:
    """` #11` standing alone is a fault whose hint joins it to its chord."""
    fault = the_fault_of("| Cm7 | F7 #11 |")
    assert (1, 12) == (fault.line, fault.column)
    assert "`#11`" in fault.found
    assert "joined to its chord: `F7#11`" in fault.expected


@pytest.mark.parametrize("loose", ["b9", "(b9)", "♯11", "sus4", "add9", "alt"])
def test_other_loose_tensions_are_to_be_joined(loose: str) -> None:
    """Every tension that stands alone gets the same hint."""
    assert f"`F7{loose}`" in the_fault_of(f"| F7 {loose} |").expected


def test_tensions_in_parentheses_may_hold_spaces() -> None:
    """`C7(b9, #11)` is one chord."""
    assert slots_of("C7(b9,#11)") == slots_of("C7(b9, #11)")


def test_lines_end_in_every_way() -> None:
    """LF, CRLF and CR end lines, and a byte order mark is no part of the first."""
    assert ["a", "b", "c", "", "d"] == lines_of("\ufeffa\nb\r\nc\r\rd")


def test_text_of_other_systems_reads_the_same() -> None:
    """A byte order mark and CRLF change nothing, columns included."""
    plain = "title: Lock Gate\n| Cm7 | F7 |\n"
    assert read_chart(plain) == read_chart("\ufeff" + plain.replace("\n", "\r\n"))
    bad = "| Cm7 | Hm7 |\n"
    assert faults_of(bad) == faults_of("\ufeff" + bad.replace("\n", "\r\n"))


@pytest.mark.parametrize("barline", BARLINES)
def test_each_barline_is_one_token(barline: str) -> None:
    """The seven barlines are known, glued to a chord or not."""
    assert ["C", barline, "D"] == [token.text for token in tokens_of(f"C{barline}D", 1)[0]]
    assert not tokens_of(f"C {barline} D", 1)[1]


@pytest.mark.parametrize(("text", "times"), [(":| x3", 3), (":|x2", 2), (":|   X12", 12), (":|", 0), (":| x3 |:", 3)])
def test_repeat_sign_takes_its_count(text: str, times: int) -> None:
    """A count behind `:|` belongs to it."""
    assert times == tokens_of(text, 1)[0][0].times


@pytest.mark.parametrize("barline", ["||:", ":||", "|||", ":", "::", ":||:", "|:|", ":|]", "|]:"])
def test_unknown_barline_is_a_fault(barline: str) -> None:
    """Any other sign of strokes and dots is refused at its place, with those that are known."""
    fault = next(fault for fault in faults_of(f"| C {barline} D |") if fault.column == 5)
    assert f"`{barline}`" == fault.found
    assert "`:| x3`" in fault.expected


@pytest.mark.parametrize("count", ["x0", "x1", "x1000", "x" + "9" * 500])
def test_count_out_of_range_is_a_fault(count: str) -> None:
    """A passage is repeated 2 to 999 times in all."""
    fault = the_fault_of(f"|: C :| {count}")
    assert (1, 9) == (fault.line, fault.column)


@pytest.mark.parametrize("text", ["| C x3 |", "| x3 C |", "| C || x3 D |"])
def test_count_elsewhere_is_a_fault(text: str) -> None:
    """A count stands behind `:|` only."""
    assert any("`x3`" in fault.found for fault in faults_of(text))


@pytest.mark.parametrize(
    ("text", "column"), [("| {Bb C | D |", 3), ("| C7(b9 | D |", 5), ("| [1. C | D |", 3), ("| C } D |", 5)]
)
def test_what_is_opened_is_closed(text: str, column: int) -> None:
    """Braces, brackets and parentheses close before the next barline."""
    assert (1, column) in [(fault.line, fault.column) for fault in faults_of(text)]
