"""`keyfarer chart`: checks, tidies and transposes files, and never loses or overwrites what the player made."""

import json
import os
import re
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings

from tests.trainer.charts.chart_strategies import charts
from tests.trainer.commands.commanding import CHART, COMMAND, keyfarer
from trainer.charts.chart import Chart
from trainer.charts.library import exercise_tunes, load
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.commands.chart import moved, tidied
from trainer.harmony.key import parse_key

UNTIDY = """\
# For the long table.
title: Two Lamps
mood: low   # ask Ines
key: Bb
tempo: 120

# First lamp.
[A]
| C-7 | F7 | BbΔ7 | % | {Eb} Ab7 |
| G-7 / C7 / | F9sus4 | # here it waits
| Bb6 | N.C. |]
# Out.
"""
"""A chart with comments everywhere, spellings of its own and bars askew."""


@settings(deadline=None)
@given(charts())
def test_tidying_changes_nothing_that_is_played_and_once_is_enough(chart: Chart) -> None:
    """A tidied chart is played out alike, and tidying it again gives the same text."""
    text = tidied(chart)
    back = read_chart(text)
    assert unfold(chart).spans == unfold(back).spans
    assert (chart, text) == (back, tidied(back))


def test_tidying_keeps_every_word(tmp_path: Path) -> None:
    """Comments, header names nobody knows and pins stay; bars stand under one another in one spelling."""
    (tmp_path / "lamps.chart").write_text(UNTIDY, encoding="utf-8")
    done = keyfarer("chart", "tidy", "lamps.chart", folder=tmp_path)
    assert 0 == done.returncode
    assert UNTIDY == (tmp_path / "lamps.chart").read_text(encoding="utf-8")
    lines = done.stdout.splitlines()
    assert "| Cm7      | F7     | Bbmaj7 | %   |" == lines[lines.index("[A]") + 1]
    for word in (
        "# For the long table.",
        "mood: low",
        "# ask Ines",
        "# First lamp.",
        "# here it waits",
        "# Out.",
        "{Eb}",
    ):
        assert word in done.stdout
    own = keyfarer("chart", "tidy", "lamps.chart", "--own-spelling", folder=tmp_path).stdout
    assert "C-7" in own
    assert "BbΔ7" in own
    assert read_chart(own) == read_chart(UNTIDY)


def test_writing_back_asks_first(tmp_path: Path) -> None:
    """Without an answer nothing is written; with `--yes` it is, once, and with the file's own permissions."""
    path = tmp_path / "lamps.chart"
    path.write_text(UNTIDY, encoding="utf-8")
    path.chmod(0o640)
    done = keyfarer("chart", "tidy", str(path), "--write")
    assert (2, "") == (done.returncode, done.stdout)
    assert "`--yes` writes over it" in done.stderr
    assert UNTIDY == path.read_text(encoding="utf-8")
    printed = keyfarer("chart", "tidy", str(path)).stdout
    assert f"wrote {path}\n" == keyfarer("chart", "tidy", str(path), "--write", "--yes").stdout
    assert printed == path.read_text(encoding="utf-8")
    if os.name != "nt":
        assert 0o640 == stat.S_IMODE(path.stat().st_mode)
    again = keyfarer("chart", "tidy", str(path), "--write")
    assert (0, "") == (again.returncode, again.stdout)
    assert "is tidy already" in again.stderr
    assert [path] == list(tmp_path.iterdir())


@pytest.mark.skipif(sys.platform == "win32", reason="asks at a terminal of Unix")
@pytest.mark.parametrize(("answer", "written"), [("y", True), ("n", False), ("", False)])
def test_at_a_terminal_the_player_is_asked(tmp_path: Path, answer: str, written: bool) -> None:
    """Yes writes over the file; no, or Enter alone, leaves it."""
    import pty

    path = tmp_path / "lamps.chart"
    path.write_text(UNTIDY, encoding="utf-8")
    leader, follower = pty.openpty()
    with subprocess.Popen(
        (*COMMAND, "chart", "tidy", str(path), "--write"),
        stdin=follower,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as running:
        os.close(follower)
        os.write(leader, f"{answer}\n".encode())
        _, told = running.communicate(timeout=60)
    os.close(leader)
    assert b"Write over it?" in told
    assert (0 if written else 2) == running.returncode
    assert written == (UNTIDY != path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("tidy", "coal-barge", "--write"), "an exercise tune stays as it is"),
        (("tidy", "-", "--write"), "came in by a pipe"),
        (("tidy", "lamps.chart", "--write", "--to", "x.chart"), "expected one of them"),
        (("tidy", "lamps.chart", "--to", "gone/x.chart"), "there is no folder gone"),
        (("tidy", "lamps.chart", "--to", "charts"), "found a folder of that name"),
        (("tidy", "charts"), "expected one chart"),
        (("tidy", "broken.chart"), "broken.chart, line 2, column 3: found "),
        (("tidy", "lamps.chart", "--to", "broken.chart"), "`--yes` writes over it"),
        (("transpose", "lamps.chart"), "neither `--by` nor `--key`"),
        (("transpose", "lamps.chart", "--by", "2", "--key", "C"), "`--by` and `--key`; expected one"),
        (
            ("transpose", "lamps.chart", "--by", "q"),
            "expected an interval (`m3`, `P4`, `-M2`, `minor third`, `down a fifth`) or half steps",
        ),
        (("transpose", "lamps.chart", "--key", "H"), "--key H: found 'H'; expected a letter from A to G"),
        (("transpose", "lamps.chart", "--key", "C minor"), "expected a major key, or a note as in `Eb`"),
        (("transpose", "silent.chart", "--key", "C"), "nothing sounds in it"),
    ],
)
def test_what_cannot_be_done_is_told_and_nothing_is_touched(
    tmp_path: Path, arguments: tuple[str, ...], words: str
) -> None:
    """Each refusal says why, gives exit 2, and leaves every file as it was."""
    (tmp_path / "charts").mkdir()
    written = {"lamps.chart": UNTIDY, "broken.chart": "[A]\n| H | C |\n", "silent.chart": "[A]\n| N.C. |\n"}
    for name, text in written.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    done = keyfarer("chart", *arguments, folder=tmp_path, given=CHART.encode())
    assert (2, "") == (done.returncode, done.stdout)
    assert words in done.stderr
    assert {*written, "charts"} == {path.name for path in tmp_path.iterdir()}
    assert all((tmp_path / name).read_text(encoding="utf-8") == text for name, text in written.items())


def test_check_tells_every_fault_of_every_file(tmp_path: Path) -> None:
    """Files without faults are named with their bars; each fault of the others has its line; exit 2 says so."""
    (tmp_path / "a.chart").write_text(CHART, encoding="utf-8")
    (tmp_path / "b.chart").write_text("[A]\n| H | C | Fq |\n", encoding="utf-8")
    (tmp_path / "c.chart").write_text("form: A B\n[A]\n| C |\n", encoding="utf-8")
    done = keyfarer("chart", "check", ".", folder=tmp_path)
    assert 2 == done.returncode
    assert "a.chart: no faults; 4 bars as played\n3 charts, 2 with faults\n" == done.stdout
    assert ["b.chart, line 2", "b.chart, line 2", "c.chart, line 1"] == [
        line.removeprefix("keyfarer: ").partition(", column")[0] for line in done.stderr.splitlines()
    ]
    fine = keyfarer("chart", "check", "a.chart", "coal-barge", folder=tmp_path)
    assert (0, "2 charts, none with faults") == (fine.returncode, fine.stdout.splitlines()[-1])


def test_what_is_printed_can_be_read_again_whatever_the_encoding() -> None:
    """Where the surroundings ask for ASCII, a chart printed into a pipe is UTF-8 nevertheless."""
    given = CHART.replace("Two Lamps", "Zwei Lämpchen für É.").encode()
    ascii_only = {"PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}
    for words in (("tidy", "-"), ("transpose", "-", "--by", "2"), ("convert", "-", "--to", ".chart")):
        done = keyfarer("chart", *words, given=given, surroundings=ascii_only)
        assert "Zwei Lämpchen für É." == read_chart(done.stdout).title


def test_a_tune_is_moved_to_a_key_or_by_an_interval() -> None:
    """The home becomes the key asked for; an interval and its half steps do the same, and there and back is home."""
    for way in (("--key", "Eb"), ("--by", "P4"), ("--by", "5"), ("--by", "-P5"), ("--by", "-7")):
        printed = keyfarer("chart", "transpose", "-", *way, given=CHART.encode()).stdout
        assert "key: Eb\n" in printed
        assert "| Fm7 | Bb7 | Ebmaj7 | % |" in printed
        back = keyfarer("chart", "transpose", "-", "--key", "Bb", given=printed.encode()).stdout
        assert read_chart(back) == read_chart(CHART)


MINOR = "title: Lamp # 2\nkey: Bb\n| Gm | Cm7 | D7 | Gm6 |\n"
"""Printed in the relative major of its home."""


@pytest.mark.parametrize(
    ("way", "key", "first"),
    [
        (("--key", "Eb"), "Eb", "Cm"), (("--key", "c"), "Eb", "Cm"), (("--key", "Eb major"), "Eb", "Cm"),
        (("--key", "C minor"), "Eb", "Cm"), (("--by", "a fourth"), "Eb", "Cm"), (("--by", "down a fifth"), "Eb", "Cm"),
        (("--by", "minor third"), "Db", "Bbm"), (("--by", "-2"), "Ab", "Fm"), (("--key", "G#"), "Ab", "Fm"),
    ],
)  # fmt: skip
def test_a_relative_key_moves_the_printed_one(way: tuple[str, str], key: str, first: str) -> None:
    """A major key moves the printed key of a tune in its relative minor; no key has more than seven signs."""
    printed = keyfarer("chart", "transpose", "-", *way, given=MINOR.encode()).stdout
    assert ["title: Lamp # 2", f"key: {key}"] == printed.splitlines()[:2]
    assert f"| {first} " in printed


def test_no_key_that_is_asked_for_brings_double_accidentals() -> None:
    """Every exercise tune can go to every key that has a name, however far, and is read with single accidentals."""
    for name, _ in exercise_tunes():
        chart = load(name)
        for letter in "ABCDEFG":
            for sign in ("b", "", "#"):
                text = write_chart(moved(chart, None, letter + sign), house_spelling=True)
                bars = [line for line in text.splitlines() if line.startswith("|")]
                assert not any(re.search("[A-G](bb|##)", line) for line in bars), (name, letter + sign)


@pytest.mark.parametrize("name", ["the-courier-turns-back", "coal-barge", "the-lending-stair"])
def test_a_transposed_chart_is_read_as_before(name: str) -> None:
    """Functions, numerals, cadences and interruptions stay; the home and every center are moved."""
    before = json.loads(keyfarer("analyze", name, "--json").stdout)
    for by in (3, -2, 6):
        printed = keyfarer("chart", "transpose", name, "--by", str(by)).stdout
        after = json.loads(keyfarer("analyze", "-", "--json", given=printed.encode()).stdout)
        for what in ("numeral", "function"):
            assert [chord[what] for chord in before["chords"]] == [chord[what] for chord in after["chords"]]
        assert [found["type"] for found in before["cadences"]] == [found["type"] for found in after["cadences"]]
        assert [one["shape"] for one in before["interruptions"]] == [one["shape"] for one in after["interruptions"]]
        for one, other in zip(before["chords"], after["chords"], strict=True):
            if one["center"] is not None:
                key, moved_to = (parse_key(f"{c['tonic']} {c['mode']}") for c in (one["center"], other["center"]))
                assert ((key.tonic.pitch_class + by) % 12, key.mode) == (moved_to.tonic.pitch_class, moved_to.mode)


@pytest.mark.parametrize("name", [name for name, _ in exercise_tunes()])
def test_transposed_tunes_are_tidy_and_read_back(name: str) -> None:
    """An exercise tune in any key is written so that it reads back, with all its comments."""
    chart = load(name)
    for by in range(1, 12):
        result = moved(chart, str(by), None)
        assert result == read_chart(tidied(result))
        assert [words for _, words in chart.comments] == [words for _, words in result.comments]
