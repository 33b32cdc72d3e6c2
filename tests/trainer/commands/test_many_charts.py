"""`keyfarer analyze` over folders: the same through any number of processes, in order, to the end or to Ctrl-C."""

import csv
import io
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.trainer.commands.commanding import CHART, COMMAND, keyfarer
from tests.trainer.commands.many import folder_of
from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.commands.chord_rows import COLUMNS
from trainer.reading.analysis import analyze
from trainer.reading.json_form import analysis_json, analysis_text

linux = pytest.mark.skipif(sys.platform != "linux", reason="looks for processes in /proc")


def test_any_number_of_processes_prints_the_same(tmp_path: Path, rng: random.Random) -> None:
    """200 charts, some at fault, give byte for byte the same through one and through two processes."""
    folder = str(folder_of(rng, tmp_path / "charts", 200, faults=7))
    one = keyfarer("analyze", folder, "--json", "--processes", "1")
    two = keyfarer("analyze", folder, "--json", "--processes", "2")
    assert (2, one.stdout, one.stderr) == (two.returncode, two.stdout, two.stderr)
    assert (193, 7) == (len(one.stdout.splitlines()), len(one.stderr.splitlines()))


def test_many_are_what_each_is_by_itself(tmp_path: Path, rng: random.Random) -> None:
    """Each line is the reading of its chart alone, in the order of the paths; faults are told and left out."""
    folder = folder_of(rng, tmp_path / "charts", 24, faults=3)
    done = keyfarer("analyze", str(folder), "--json", "--processes", "2")
    good = [path for path in sorted(folder.iterdir()) if "Broken" not in path.read_text(encoding="utf-8")]
    assert 21 == len(good)
    assert [analysis_text(analyze(unfold(load(path)))) for path in good] == done.stdout.splitlines()
    assert all(", line 3, column 9: found `H7`; expected " in line for line in done.stderr.splitlines())


def test_standard_input_and_exercises_keep_their_place(tmp_path: Path, rng: random.Random) -> None:
    """What only this process can read stands between the others where it was named."""
    folder = folder_of(rng, tmp_path / "charts", 9)
    names = (str(folder), "-", "gone.chart", "foundry-shift", str(folder))
    done = keyfarer("analyze", *names, "--json", "--processes", "2", given=CHART.encode())
    titles = [json.loads(line)["title"] for line in done.stdout.splitlines()]
    tunes = [f"Lantern {number}" for number in range(9)]
    assert [*tunes, "Two Lamps", "Foundry Shift", *tunes] == titles
    assert (2, 1) == (done.returncode, len(done.stderr.splitlines()))


def test_a_folder_is_told_a_line_a_tune(tmp_path: Path, rng: random.Random) -> None:
    """A folder gives a table of at most 80 columns, whose cells are those of the readings."""
    folder = folder_of(rng, tmp_path / "charts", 12)
    (folder / "zz.chart").write_text(CHART.replace("Two Lamps", "月" * 30 + "\x1b[2J"), encoding="utf-8")
    done = keyfarer("analyze", str(folder))
    head, *lines = done.stdout.splitlines()
    assert (0, "", 13) == (done.returncode, done.stderr, len(lines))
    assert ["tune", "home", "bars", "centers", "cadences", "breaks", "hardest"] == head.split()
    assert {80} == {len(line) for line in (head, *lines[:-1])}
    assert lines[-1].startswith("月" * 12 + "…")
    assert "\x1b" not in done.stdout
    for path, line in zip(sorted(folder.iterdir()), lines, strict=False):
        reading = analysis_json(analyze(unfold(load(path))))
        stretch = reading["hardest"]
        hardest = "-" if stretch is None else f"{stretch['from']['bar']}-{stretch['until']['bar'] - 1}"
        centers = {(step["center"]["tonic"], step["center"]["mode"]) for step in reading["route"]}
        home = f"{reading['home']['tonic']} {reading['home']['mode']}"
        bars = reading["sections"][-1]["until"]["bar"] - 1
        counts = [len(centers), len(reading["cadences"]), len(reading["interruptions"])]
        assert line.endswith(f"  {home:8}  {bars:4}  {counts[0]:7}  {counts[1]:8}  {counts[2]:6}  {hardest:>10}")


def test_files_are_told_in_full_and_as_a_table_where_asked(tmp_path: Path) -> None:
    """Files named one by one are told in full, with `--table` in lines; a folder with `--why` in full."""
    (tmp_path / "two-lamps.chart").write_text(CHART, encoding="utf-8")
    assert "Home: Bb major" in keyfarer("analyze", "two-lamps.chart", folder=tmp_path).stdout
    table = keyfarer("analyze", "two-lamps.chart", "--table", folder=tmp_path).stdout
    assert table == keyfarer("analyze", ".", folder=tmp_path).stdout
    assert 2 == len(table.splitlines())
    assert "Home: Bb major" in keyfarer("analyze", ".", "--why", folder=tmp_path).stdout


@pytest.mark.parametrize("processes", ["1", "2"])
def test_rows_of_values_have_a_chord_each(tmp_path: Path, rng: random.Random, processes: str) -> None:
    """`--csv` gives one header and a row for each chord of each tune, with what the JSON says of it."""
    folder = folder_of(rng, tmp_path / "charts", 20, faults=2)
    (folder / "comma.chart").write_text(CHART.replace("Two Lamps", 'Lämp, "one"').replace("| F7", "| N.C."), "utf-8")
    command = (*COMMAND, "analyze", str(folder), "--csv", "--processes", processes)
    done = subprocess.run(command, capture_output=True, timeout=300, check=False)
    assert 2 == done.returncode
    assert done.stdout.count(b"\r\n") == done.stdout.count(b"\n")
    rows = list(csv.reader(io.StringIO(done.stdout.decode("utf-8"), newline="")))
    assert list(COLUMNS) == rows[0]
    assert {len(COLUMNS)} == set(map(len, rows))
    found = [dict(zip(COLUMNS, row, strict=True)) for row in rows[1:]]
    readings = map(json.loads, keyfarer("analyze", str(folder), "--json").stdout.splitlines())
    chords = [(reading, chord) for reading in readings for chord in reading["chords"]]
    assert len(chords) == len(found)
    for row, (reading, chord) in zip(found, chords, strict=True):
        same = ("numeral", "function", "symbol", "leads_to", "root", "section", "applied_to")
        assert [chord[name] or "" for name in same] == [row[name] for name in same]
        center = chord["center"] or {"tonic": "", "mode": ""}
        assert (center["tonic"], center["mode"]) == (row["center_tonic"], row["center_mode"])
        assert (reading["title"], str(chord["bar"]), str(chord["beat"])) == (row["title"], row["bar"], row["beat"])
        assert ("true" if chord["continues"] else "false", " ".join(chord["why"])) == (row["continues"], row["why"])


def test_the_last_form_asked_for_is_given() -> None:
    """Of two forms the one that stands last counts, as with any switch."""
    assert keyfarer("analyze", "coal-barge", "--csv", "--json").stdout.startswith('{"schema"')


@pytest.mark.parametrize("processes", ["1", "2"])
def test_a_reader_that_has_enough_ends_it(tmp_path: Path, rng: random.Random, processes: str) -> None:
    """Who takes one line and goes, as `head` does, ends the command and its processes without a word."""
    folder = folder_of(rng, tmp_path / "charts", 400)
    command = (*COMMAND, "analyze", str(folder), "--json", "--processes", processes)
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        assert json.loads(running.stdout.readline())["title"] == "Lantern 0"
        running.stdout.close()
        assert b"" == running.stderr.read()
        assert 1 == running.wait(60)
    until(lambda: not alive(running.pid))


def alive(group: int) -> bool:
    """Whether any process of a group is left."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


def children(pid: int) -> list[int]:
    """The processes that a process has started and that are themselves at work on charts."""
    listed = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
    return [int(one) for one in listed if b"spawn_main" in Path(f"/proc/{one}/cmdline").read_bytes()]


def until(holds: Callable[[], bool], within_s: float = 60.0) -> None:
    """Wait until something holds."""
    end = time.monotonic() + within_s
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


@linux
@pytest.mark.parametrize("after_lines", [0, 3])
def test_ctrl_c_ends_all_processes(tmp_path: Path, rng: random.Random, after_lines: int) -> None:
    """Ctrl-C, which a terminal sends to all of them, gives exit 130, no traceback and leaves none behind."""
    folder = folder_of(rng, tmp_path / "charts", 1000)
    command = (*COMMAND, "analyze", str(folder), "--json", "--processes", "2")
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        until(lambda: len(children(running.pid)) == 2)
        for _ in range(after_lines):
            assert running.stdout.readline()
        os.killpg(running.pid, signal.SIGINT)
        running.stdout.read()
        assert b"" == running.stderr.read().strip()
        assert 130 == running.wait(60)
    until(lambda: not alive(running.pid))


@linux
def test_a_process_that_is_killed_costs_nothing(tmp_path: Path, rng: random.Random) -> None:
    """When a process is killed from outside, its charts are read by another one: the output is whole."""
    folder = folder_of(rng, tmp_path / "charts", 200)
    expected = keyfarer("analyze", str(folder), "--json", "--processes", "1")
    command = (*COMMAND, "analyze", str(folder), "--json", "--processes", "2")
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        first = running.stdout.readline()
        os.kill(children(running.pid)[0], signal.SIGKILL)
        assert running.stderr is not None
        rest, said = running.stdout.read(), running.stderr.read()
        running.wait(60)
    assert (0, b"", expected.stdout) == (running.returncode, said, (first + rest).decode("utf-8"))


@linux
def test_processes_go_with_their_parent(tmp_path: Path, rng: random.Random) -> None:
    """When the command itself is killed, the processes it has started end as well."""
    folder = folder_of(rng, tmp_path / "charts", 1000)
    command = (*COMMAND, "analyze", str(folder), "--json", "--processes", "2")
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True) as running:
        assert running.stdout is not None
        assert running.stdout.readline()
        running.kill()
        running.stdout.read()
    until(lambda: not alive(running.pid))


def test_exercises_are_told_in_a_table_as_well() -> None:
    """All exercise tunes fit into a table at 60 columns."""
    names = [name for name, _ in exercise_tunes()]
    done = keyfarer("analyze", *names, "--table", surroundings={"COLUMNS": "60"})
    lines = done.stdout.splitlines()
    assert (0, "", len(names) + 1) == (done.returncode, done.stderr, len(lines))
    assert {60} == set(map(len, lines))
