"""`analyze --compare`: where two readings differ, and nothing else."""

from pathlib import Path

import pytest

from tests.trainer.commands.commanding import CHART, keyfarer

IN_C = "title: Ropes in C\nkey: C\n[A]\n| Cmaj7 | Am7 | Dm7 | G7 |\n| Em7b5 | A7b9 | Dm7 G7 | C6 |\n"
IN_EB = "title: Ropes in Eb\nkey: Eb\n[A]\n| Ebmaj7 | Cm7 | Fm7 | Bb7 |\n| Gm7b5 | C7b9 | Fm7 E7 | Eb6 |\n"


def compared(*arguments: str, given: bytes = b"") -> str:
    """What the comparison prints, which must succeed in silence."""
    done = keyfarer("analyze", *arguments, "--compare", given=given)
    assert (0, "") == (done.returncode, done.stderr)
    return done.stdout


def test_pins_against_the_reading_as_it_stands() -> None:
    """Bars that the pin changes are told twice, all others in a line."""
    told = compared("the-courier-turns-back", "--pin", "11=D")
    assert "22 of 24 bars alike." in told
    assert "Bars 1-10: alike\n\nBars 11-12\n  11 Cm7\n    As it stands: ii7, predominant, in Bb major" in told
    assert "    Pinned: bvii7," in told
    assert "Interruption only as it stands: bars 11-12." in told
    assert told.rstrip().count("alike") == 3


def test_a_pin_that_says_what_is_read_changes_no_center() -> None:
    """Pinning the center that is read anyway leaves every bar alike."""
    assert "All 4 bars are alike." in compared("-", "--pin", "1=Bb", given=CHART.encode())


def test_two_versions_in_two_keys(tmp_path: Path) -> None:
    """The second chart is moved to the first one's key, and the one bar that differs is told chord by chord."""
    one, other = tmp_path / "one.chart", tmp_path / "other.chart"
    one.write_text(IN_C, encoding="utf-8")
    other.write_text(IN_EB, encoding="utf-8")
    told = compared(str(one), str(other))
    assert "The second is in Eb major and was moved to C major to compare them." in told
    assert "7 of 8 bars alike." in told
    assert "Bar 7\n  First: 7 Dm7:" in told
    assert "\n  Second: 7.3 Db7: bII7, dominant, in C major" in told
    assert "written for an instrument" not in told.lower()


def test_a_bar_more_shifts_the_others(tmp_path: Path) -> None:
    """A bar that only one version has is told alone, and those behind it are found again."""
    one, other = tmp_path / "one.chart", tmp_path / "other.chart"
    one.write_text(IN_C, encoding="utf-8")
    other.write_text(IN_C.replace("| G7 |", "| Abm7 | G7 |"), encoding="utf-8")
    told = compared(str(one), str(other))
    assert "of 8 in the first and 9 in the second." in told
    assert "Bar 4, only in the second\n  Second: 4 Abm7:" in told
    assert "Bars 4-8 of the first, bars 5-9 of the second: alike" in told


def test_a_chart_is_like_itself_in_another_spelling(tmp_path: Path) -> None:
    """Spellings of one sound are no difference."""
    one, other = tmp_path / "one.chart", tmp_path / "other.chart"
    one.write_text("[A]\n| F#maj7 | G#m7 | C#7 | F#6 |\n", encoding="utf-8")
    other.write_text("[A]\n| GbΔ7 | Ab-7 | Db7 | Gb6 |\n", encoding="utf-8")
    assert "All 4 bars are alike." in compared(str(one), str(other))


def test_for_an_instrument_both_sides_are_transposed() -> None:
    """`--for` moves what is printed and not what is compared."""
    concert, written = compared("the-courier-turns-back", "--pin", "11=D"), compared(
        "the-courier-turns-back", "--pin", "11=D", "--for", "Bb"
    )  # fmt: skip
    assert "22 of 24 bars alike." in written
    assert concert.count("As it stands: ") == written.count("As it stands: ") > 0
    assert "  11 Dm7\n    As it stands: ii7, predominant, in C major" in written


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("coal-barge",), "found one chart and no pin"),
        (("coal-barge", "foundry-shift", "--pin", "1=C"), "found 2 charts and one pin"),
        (("coal-barge", "foundry-shift", "ropewalk-morning"), "found 3 charts and no pin"),
        (("coal-barge", "foundry-shift", "--explain", "3"), "expected one of them"),
    ],
)
def test_anything_but_two_readings_is_refused(arguments: tuple[str, ...], words: str) -> None:
    """One chart wants a pin, two charts want none, and a stretch can't be explained beside."""
    done = keyfarer("analyze", *arguments, "--compare")
    assert (2, "") == (done.returncode, done.stdout)
    assert words in done.stderr
