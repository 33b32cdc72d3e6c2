"""`keyfarer analyze` through the real command: what it reads, what it refuses, what it leaves alone."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.trainer.commands.commanding import CHART, COMMAND, keyfarer


def bad_files(folder: Path) -> dict[str, str]:
    """Every kind of bad input, and a word that its message must hold."""
    written = {
        "wrong-chord.chart": (CHART.replace("F7", "F7x9").encode(), "F7x9"),
        "unclosed.chart": (b"title: Open\n[A]\n|: C | F |\n", "|:"),
        "empty.chart": (b"", "empty"),
        "binary.chart": (bytes(range(256)), "binary"),
        "huge.chart": (b"| C " * (50 * 2**18), "more than 1024 KiB"),
    }
    for name, (content, _) in written.items():
        (folder / name).write_bytes(content)
    (folder / "hollow").mkdir()
    return {**{name: word for name, (_, word) in written.items()}, "gone.chart": "no such file", "hollow": "folder"}


@pytest.mark.parametrize(
    "name", ["wrong-chord.chart", "unclosed.chart", "empty.chart", "binary.chart", "huge.chart", "gone.chart", "hollow"]
)
def test_bad_input_is_told_and_the_others_are_done(tmp_path: Path, name: str) -> None:
    """A bad file gives exit 2 and a line that names it; the good files before and behind it are read all the same."""
    word = bad_files(tmp_path)[name]
    (tmp_path / "good.chart").write_text(CHART, encoding="utf-8")
    done = keyfarer("analyze", "good.chart", name, "foundry-shift", "--json", folder=tmp_path)
    assert 2 == done.returncode
    assert ["Two Lamps", "Foundry Shift"] == [json.loads(line)["title"] for line in done.stdout.splitlines()]
    assert all(line.startswith(f"keyfarer: {name}") for line in done.stderr.splitlines())
    assert word in done.stderr


def test_all_faults_of_a_file_are_told_with_their_places(tmp_path: Path) -> None:
    """Two wrong chords are two lines, each with line and column, what was found and what is expected."""
    (tmp_path / "two.chart").write_text("[A]\n| H7 | C | Fq |\n", encoding="utf-8")
    done = keyfarer("analyze", "two.chart", folder=tmp_path)
    assert (2, "") == (done.returncode, done.stdout)
    first, second = done.stderr.splitlines()
    assert first.startswith("keyfarer: two.chart, line 2, column 3: found ")
    assert second.startswith("keyfarer: two.chart, line 2, column 13: found ")
    assert "; expected " in first


def test_a_folder_is_read_in_order(tmp_path: Path) -> None:
    """A folder gives one line of JSON for each chart below it, by path."""
    for number in (2, 1, 3):
        (tmp_path / f"{number}.chart").write_text(CHART.replace("Lamps", f"Lamps {number}"), encoding="utf-8")
    done = keyfarer("analyze", str(tmp_path), "--json")
    titles = [json.loads(line)["title"] for line in done.stdout.splitlines()]
    assert (0, "") == (done.returncode, done.stderr)
    assert ["Two Lamps 1", "Two Lamps 2", "Two Lamps 3"] == titles


def test_standard_input_is_a_chart() -> None:
    """`-` reads the chart that is piped in."""
    done = keyfarer("analyze", "-", given=CHART.encode())
    assert 0 == done.returncode
    assert done.stdout.startswith("Two Lamps\n4 bars of 4/4 at 120, written in Bb major.\n\nHome: Bb major\n")


def test_a_pin_is_the_players_word() -> None:
    """`--pin` moves the key center of its bar and says so, and a pin that can't be read is refused before any work."""
    pinned = keyfarer("analyze", "-", "--pin", "3=Eb", "--json", given=CHART.encode())
    third = json.loads(pinned.stdout)["chords"][2]
    assert ({"tonic": "Eb", "mode": "major"}, "Vmaj7", True) == (third["center"], third["numeral"], third["pinned"])
    refused = keyfarer("analyze", "-", "--pin", "3=H", given=CHART.encode())
    assert (2, "") == (refused.returncode, refused.stdout)
    assert "--pin 3=H" in refused.stderr


def test_a_remark_goes_to_standard_error() -> None:
    """A header name that nobody knows is remarked on and does no harm to the data."""
    done = keyfarer("analyze", "-", "--json", given=b"mood: blue\n" + CHART.encode())
    assert 0 == done.returncode
    assert 1 == len(done.stdout.splitlines())
    assert done.stderr.startswith("keyfarer: -, line 1: ")
    assert "mood" in done.stderr


def test_a_reader_that_leaves_is_no_fault() -> None:
    """When whoever reads the pipe goes, the command ends without a word."""
    command = (*COMMAND, "analyze", *["foundry-shift"] * 40, "--json")
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.read(10)
        running.stdout.close()
        assert b"" == running.stderr.read()
        assert 1 == running.wait(60)


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc for the moment to send the signal")
def test_ctrl_c_ends_with_130() -> None:
    """Ctrl-C while the command waits for its input ends it with exit 130 and no traceback."""
    with subprocess.Popen(
        (*COMMAND, "analyze", "-"), stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stderr is not None
        began = time.monotonic()
        while "trainer" not in Path(f"/proc/{running.pid}/cmdline").read_text() and time.monotonic() - began < 10:
            time.sleep(0.05)
        time.sleep(1.0)  # until it reads
        running.send_signal(signal.SIGINT)
        assert b"Traceback" not in running.stderr.read()
        assert 130 == running.wait(60)


def test_a_file_name_that_is_no_text_is_written_out(tmp_path: Path) -> None:
    """A name with bytes that are no UTF-8 is told with the bytes written out."""
    if sys.platform != "linux":
        pytest.skip("only Linux takes any byte in a file's name")
    name = os.fsdecode(b"tune-\xff.chart")
    (tmp_path / name).write_text("[A]\n| H |\n", encoding="utf-8")
    done = keyfarer("analyze", str(tmp_path))
    assert 2 == done.returncode
    assert "tune-\\udcff.chart" in done.stderr


def test_a_terminal_without_unicode_gets_json_all_the_same() -> None:
    """Where output is ASCII, JSON escapes what ASCII has not, and stays JSON."""
    chart = CHART.replace("Lamps", "Lämps ♭").encode()
    ascii_only = {"PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}
    done = keyfarer("analyze", "-", "--json", given=chart, surroundings=ascii_only)
    assert "Two Lämps ♭" == json.loads(done.stdout)["title"]
    assert done.stdout.isascii()
