"""`keyfarer tunes` through the real command: keeping, showing, learning and asking from the player's own tunes."""

import csv
import io
import json
import os
import random
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from music21 import harmony, metadata, meter, stream

from tests.trainer.commands.commanding import COMMAND, keyfarer
from tests.trainer.commands.many import folder_of
from tests.trainer.memory.made import KEYS, trial
from tests.trainer.practice.repertoire import LAMPS, LANTERNS
from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.commands.tunes_data import LIST_COLUMNS, TUNE_COLUMNS
from trainer.memory.store import open_store
from trainer.places import memory_file

Json = dict[str, Any]
OTHER = LAMPS.replace("Bbmaj7 | %", "Bbmaj7 | G7")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A fresh home of the player's, and two charts in the folder that commands run in."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    Path("lamps.chart").write_text(LAMPS, encoding="utf-8")
    Path("lanterns.chart").write_text(LANTERNS, encoding="utf-8")
    return tmp_path / "home"


def hear(*types: str) -> None:
    """Fill the memory with right answers on the top rung, in every key, up to today."""
    now = datetime.now(UTC)
    with open_store(memory_file()) as store:
        store.append_all(
            [
                trial(unit=type, rung=6, key=KEYS[number % 12], at_utc=now - timedelta(days=40 - number / 1.6))
                for number in range(60)
                for type in types
            ]
        )
        store.refresh()


def shown(id: str) -> Json:
    """What a tune is made of, as data."""
    done = keyfarer("tunes", "show", id, "--json")
    assert (0, "") == (done.returncode, done.stderr)
    values: Json = json.loads(done.stdout)
    return values


def test_charts_are_kept_and_listed_before_the_exercise_tunes(home: Path) -> None:
    """Two files become two tunes with ids from their titles; the list has them first, then every exercise tune."""
    done = keyfarer("tunes", "add", "lamps.chart", "lanterns.chart")
    assert (0, "") == (done.returncode, done.stderr)
    kept = ["two-lamps: kept (lamps.chart, 4 bars)", "lanterns-on-the-ice: kept (lanterns.chart, 16 bars)"]
    assert kept == done.stdout.splitlines()
    assert LAMPS == (home / "tunes" / "two-lamps.chart").read_text(encoding="utf-8")
    listed = keyfarer("tunes").stdout.splitlines()
    starts = [line for line in listed if not line.startswith(" ")]
    assert ["two-lamps", "lanterns-on-the-ice", *(id for id, _ in exercise_tunes())] == starts
    assert "  Two Lamps: Bb major, 4/4, at 120" == listed[1]
    assert "  yours; 0 of 1 cadence type heard; learn next: major-five-one" == listed[2]


def test_the_same_is_not_doubled_and_a_changed_one_asks_for_replace(home: Path) -> None:
    """Added again a chart is told to be there; a changed one is told and left, and replaced with `--replace`."""
    keyfarer("tunes", "add", "lamps.chart")
    assert "two-lamps: kept already (lamps.chart)\n" == keyfarer("tunes", "add", "lamps.chart").stdout
    Path("lamps.chart").write_text(OTHER, encoding="utf-8")
    done = keyfarer("tunes", "add", "lamps.chart", "lanterns.chart")
    assert (2, "lanterns-on-the-ice: kept (lanterns.chart, 16 bars)\n") == (done.returncode, done.stdout)
    assert "lamps.chart: two-lamps is kept already, with another chart; `--replace`" in done.stderr
    assert LAMPS == (home / "tunes" / "two-lamps.chart").read_text(encoding="utf-8")
    done = keyfarer("tunes", "add", "lamps.chart", "--replace")
    assert (0, "two-lamps: replaced (lamps.chart, 4 bars)\n", "") == (done.returncode, done.stdout, done.stderr)
    assert OTHER == (home / "tunes" / "two-lamps.chart").read_text(encoding="utf-8")


def test_faults_are_told_and_the_others_are_kept(home: Path, rng: random.Random) -> None:
    """A folder with charts at fault, a file that isn't there and an exercise tune: the rest is kept, exit 2."""
    folder_of(rng, Path("charts"), 8, faults=2)
    done = keyfarer("tunes", "add", "charts", "none.chart", "coal-barge", "lamps.chart")
    assert 2 == done.returncode
    assert 7 == len(done.stdout.splitlines())
    assert 2 == done.stderr.count("line 3")
    assert "none.chart: found no such file" in done.stderr
    assert "coal-barge: an exercise tune is there already" in done.stderr
    assert 7 == len(list((home / "tunes").glob("*.chart")))
    assert 7 + len(exercise_tunes()) == len(json.loads(keyfarer("tunes", "--json").stdout)["tunes"])


@pytest.mark.usefixtures("home")
def test_a_lead_sheet_of_another_program_is_kept_with_its_chords() -> None:
    """A MusicXML file written by music21 becomes a chart whose chords music21 hears alike; what is lost is told."""
    symbols = ["Dm7", "G7", "Cmaj7", "C6", "Fm7", "B-7", "E-maj7", "E-maj7"]
    part = stream.Part()
    for number, symbol in enumerate(symbols, 1):
        bar = stream.Measure(number=number)
        if number == 1:
            bar.append(meter.TimeSignature("4/4"))
        bar.insert(0, harmony.ChordSymbol(symbol))
        part.append(bar)
    score = stream.Score([part])
    score.insert(0, metadata.Metadata(title="Salt on the Stair", composer="Ada Quay"))
    score.write("musicxml", "stair.musicxml")
    done = keyfarer("tunes", "add", "stair.musicxml")
    assert 0 == done.returncode
    assert "salt-on-the-stair: kept" in done.stdout
    assert "made into a chart from MusicXML" in done.stderr
    spans = [span.symbol for span in unfold(load("home/tunes/salt-on-the-stair.chart")).spans]
    heard = [{pitch.pitchClass for pitch in harmony.ChordSymbol(symbol).pitches} for symbol in symbols]
    assert heard == [set(symbol.pitch_classes) for symbol in spans if symbol is not None]


@pytest.mark.usefixtures("home")
def test_a_midi_file_and_standard_input_are_kept() -> None:
    """A tune that comes as MIDI or by a pipe is kept as chart text; what chords are unsure is told."""
    assert 0 == keyfarer("chart", "convert", "lanterns.chart", "--to", "ice.mid").returncode
    done = keyfarer("tunes", "add", "ice.mid")
    assert (0, True) == (done.returncode, "made into a chart from a MIDI file" in done.stderr)
    assert {"major-two-five-one", "minor-two-five-one"} <= {
        row["unit"] for row in shown(done.stdout.split(":")[0])["units"]
    }
    done = keyfarer("tunes", "add", "-", given=LAMPS.encode())
    assert (0, "two-lamps: kept (-, 4 bars)\n", "") == (done.returncode, done.stdout, done.stderr)
    assert "two-lamps: kept already (-)\n" == keyfarer("tunes", "add", "-", given=LAMPS.encode()).stdout


@pytest.mark.usefixtures("home")
def test_show_tells_what_a_tune_is_made_of_and_what_of_it_is_heard() -> None:
    """Types and moves with the bars of the reading; after practice the heard ones, their share, and what is left."""
    keyfarer("tunes", "add", "lanterns.chart")
    reading = json.loads(keyfarer("analyze", "lanterns.chart", "--json").stdout)
    before = shown("lanterns-on-the-ice")
    cadences = {row["unit"]: row for row in before["units"] if row["sort"] == "cadence"}
    assert {one["type"] for one in reading["cadences"]} == set(cadences)
    assert len(reading["cadences"]) == before["cadences"] == sum(row["times"] for row in cadences.values())
    starts = sorted([one["type"], one["from"]["bar"]] for one in reading["cadences"])
    assert starts == sorted([unit, bars[0]] for unit, row in cadences.items() for bars in row["bars"])
    moves = [row for row in before["units"] if row["sort"] == "move"]
    steps = [step for step in reading["route"] if step["move"]]
    assert len(steps) == sum(row["times"] for row in moves)
    assert {step["move"]["name"].replace(",", "") for step in steps} == {row["name"] for row in moves}
    assert (0, 0.0) == (before["cadence_types_heard"], before["share"])
    assert "major-five-one" == before["learn_next"][0]["unit"]
    assert [True] == [one["ready"] for one in before["learn_next"][:1]]

    hear("major-five-one", "major-two-five-one")
    after = shown("lanterns-on-the-ice")
    times = cadences["major-two-five-one"]["times"]
    assert (1, times) == (after["cadence_types_heard"], after["cadences_heard"])
    assert round(times / after["cadences"], 4) == after["share"]
    left = [one["unit"] for one in after["learn_next"]]
    assert not {"major-five-one", "major-two-five-one"} & set(left)
    assert "minor-two-five-one" in left
    told = keyfarer("tunes", "show", "lanterns-on-the-ice").stdout
    assert f"By ear: 1 of {len(cadences)} cadence types heard, {times / after['cadences']:.0%} of its cadences." in told
    assert "Learn next to hear this tune" in told


@pytest.mark.usefixtures("home")
def test_the_list_and_a_tune_as_rows() -> None:
    """Both tables have their columns, a row a tune and a row a unit, and say what the JSON says."""
    keyfarer("tunes", "add", "lamps.chart", "--learn")
    rows = list(csv.DictReader(io.StringIO(keyfarer("tunes", "--csv").stdout)))
    values = json.loads(keyfarer("tunes", "--json").stdout)
    assert "keyfarer/tunes/1" == values["schema"]
    assert list(LIST_COLUMNS) == list(rows[0]) == list(values["tunes"][0])
    assert [one["id"] for one in values["tunes"]] == [row["id"] for row in rows]
    assert ("two-lamps", "true", "true") == tuple(rows[0][name] for name in ("id", "own", "learning"))
    assert {"false"} == {row["own"] for row in rows[1:]}
    assert values["tunes"][0]["learn_next"] == rows[0]["learn_next"].split()
    rows = list(csv.DictReader(io.StringIO(keyfarer("tunes", "show", "two-lamps", "--csv").stdout)))
    one = shown("two-lamps")
    assert "keyfarer/tune/1" == one["schema"]
    assert list(TUNE_COLUMNS) == list(rows[0])
    assert [row["unit"] for row in one["units"]] == [row["unit"] for row in rows if row["times"] != "0"]
    coming = sorted((row for row in rows if row["learn_next"]), key=lambda row: int(row["learn_next"]))
    assert [row["unit"] for row in one["learn_next"]] == [row["unit"] for row in coming]


@pytest.mark.usefixtures("home")
def test_an_exercise_tune_can_be_shown_and_learned() -> None:
    """Exercise tunes have the same facts, and can be marked to learn and be let rest."""
    assert "an exercise tune" in keyfarer("tunes", "show", "the-courier-turns-back").stdout
    assert "its route is practised" in keyfarer("tunes", "learn", "the-courier-turns-back").stdout
    keyfarer("tunes", "add", "lamps.chart")
    assert "two-lamps: to learn; it stays in one key" in keyfarer("tunes", "learn", "two-lamps").stdout
    assert "The Courier Turns Back: Bb major, 4/4, at 132, to learn" in keyfarer("tunes").stdout
    assert shown("the-courier-turns-back")["learning"]
    assert "the-courier-turns-back: rests\n" == keyfarer("tunes", "rest", "the-courier-turns-back").stdout
    assert not shown("the-courier-turns-back")["learning"]


def test_a_removed_tune_is_put_aside(home: Path) -> None:
    """A removed tune is no longer listed, and its chart lies where it is told; an exercise tune stays."""
    keyfarer("tunes", "add", "lamps.chart")
    done = keyfarer("tunes", "remove", "two-lamps")
    assert (0, "") == (done.returncode, done.stderr)
    aside = home / "tunes" / "removed" / "two-lamps.chart"
    assert f"two-lamps: kept no longer\nPut aside: {aside}\n" == done.stdout
    assert LAMPS == aside.read_text(encoding="utf-8")
    assert "two-lamps" not in keyfarer("tunes").stdout
    assert "coal-barge is an exercise tune" in keyfarer("tunes", "remove", "coal-barge").stderr


def test_ids_are_completed_and_understood_in_place_of_files(home: Path) -> None:
    """Ids of kept tunes complete for every command that takes a tune, and other commands read them by their id."""
    keyfarer("tunes", "add", "lamps.chart")
    for words in ("tunes show two", "tunes remove two", "tunes learn two", "drill --tune two", "play two"):
        line = f"keyfarer {words}"
        asked = {"_KEYFARER_COMPLETE": "bash_complete", "COMP_WORDS": line, "COMP_CWORD": str(line.count(" "))}
        assert "plain,two-lamps" in keyfarer(surroundings=asked).stdout.splitlines()
    assert "Two Lamps" in keyfarer("analyze", "two-lamps").stdout
    assert (home / "tunes" / "two-lamps.chart").is_file()
    done = keyfarer("tunes", "show", "tow-lamps")
    assert (2, True) == (done.returncode, "there is no tune 'tow-lamps'; did you mean two-lamps" in done.stderr)
    (home / "tunes" / "by-hand.chart").write_text(OTHER, encoding="utf-8")
    assert "its chart lies in your folder of tunes and is not kept" in keyfarer("tunes", "show", "by-hand").stderr
    assert "belongs behind the command: show --json" in keyfarer("tunes", "--json", "show", "two-lamps").stderr


@pytest.mark.usefixtures("home")
def test_a_drill_asks_from_one_tune() -> None:
    """Every written question comes from the tune that is named; the same seed writes the same whatever else is kept."""
    keyfarer("tunes", "add", "lanterns.chart")
    done = keyfarer("drill", "--to", "q", "--tune", "lanterns-on-the-ice", "--kind", "name-functions", "--count", "4",
                    "--seed", "3")  # fmt: skip
    assert (0, "") == (done.returncode, done.stderr)
    questions = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(Path("q").glob("*.json"))]
    assert 4 == len(questions)
    assert {"major-two-five-one", "minor-two-five-one"} >= {question["unit"] for question in questions}
    assert all(question["rung"] >= 5 for question in questions)
    assert "tunes lanterns-on-the-ice" in Path("q/answers.txt").read_text(encoding="utf-8")
    first = Path("q/questions.txt").read_bytes(), Path("q/004.mid").read_bytes()
    keyfarer("tunes", "add", "lamps.chart")
    done = keyfarer("drill", "--to", "r", "--tune", "lanterns-on-the-ice", "--kind", "name-functions", "--count", "4",
                    "--seed", "3")  # fmt: skip
    assert first == (Path("r/questions.txt").read_bytes(), Path("r/004.mid").read_bytes())


@pytest.mark.usefixtures("home")
def test_without_their_name_own_tunes_change_no_seeds_questions() -> None:
    """`--seed` writes the same questions before and after a tune was kept."""
    asked = ("--kind", "name-functions", "--rung", "5", "--count", "3", "--seed", "5")
    keyfarer("drill", "--to", "before", *asked)
    keyfarer("tunes", "add", "lanterns.chart", "lamps.chart")
    keyfarer("drill", "--to", "after", *asked)
    for number in (1, 2, 3):
        assert Path(f"before/00{number}.json").read_bytes() == Path(f"after/00{number}.json").read_bytes()


@pytest.mark.usefixtures("home")
def test_a_session_in_lines_of_text_asks_from_one_tune() -> None:
    """The plain session takes `--tune`, and refuses what the tune can't give."""
    keyfarer("tunes", "add", "lamps.chart")
    asked = ("drill", "--plain", "--tune", "two-lamps", "--kind", "name-functions", "--count", "1", "--seed", "2")
    done = keyfarer(*asked, given=b"2 5 1\nstop\n")
    assert (0, "") == (done.returncode, done.stderr)
    assert done.stdout.startswith("1 question that you chose.")
    done = keyfarer(*asked, "--rung", "2")
    assert (2, True) == (done.returncode, "rung 2 asks a cadence alone" in done.stderr)
    done = keyfarer("drill", "--plain", "--tune", "two-lamps", "--type", "backdoor", "--count", "1")
    assert (2, True) == (done.returncode, "there is nothing of backdoor in it to ask" in done.stderr)


@pytest.mark.usefixtures("home")
def test_the_days_plan_goes_by_the_tunes() -> None:
    """After a tune was kept the printed plan brings what it is made of, and not without the setting."""
    tune = "title: Slack Water\n[A]\n" + "| Ebm6 | Bbmaj7 | Ebm6 | Bb6 |\n" * 4
    Path("slack.chart").write_text(tune, encoding="utf-8")
    plain = keyfarer().stdout
    keyfarer("tunes", "add", "slack.chart")
    (row,) = [row for row in shown("slack-water")["units"] if row["sort"] == "cadence"]
    assert row["name"] not in plain
    assert row["name"] in keyfarer().stdout
    Path("home/settings.toml").write_text("tunes_first = false\n", encoding="utf-8")
    assert plain == keyfarer().stdout


def test_a_chart_deleted_by_hand_is_told(home: Path) -> None:
    """The list tells the missing chart and exits 2, practice goes on, and the tune can be removed or added anew."""
    keyfarer("tunes", "add", "lamps.chart", "lanterns.chart")
    (home / "tunes" / "two-lamps.chart").unlink()
    done = keyfarer("tunes")
    assert (2, True) == (done.returncode, "lanterns-on-the-ice" in done.stdout)
    assert "two-lamps.chart: this chart of yours is gone" in done.stderr
    drilled = keyfarer("drill", "--plain", "--count", "1", given=b"stop\n")
    assert (0, True) == (drilled.returncode, "this chart of yours is gone" in drilled.stderr)
    assert 0 == keyfarer().returncode
    assert "two-lamps: is there again (lamps.chart, 4 bars)\n" == keyfarer("tunes", "add", "lamps.chart").stdout
    (home / "tunes" / "two-lamps.chart").unlink()
    done = keyfarer("tunes", "remove", "two-lamps")
    assert (0, "two-lamps: kept no longer\n", "") == (done.returncode, done.stdout, done.stderr)
    assert 0 == keyfarer("tunes").returncode


def test_a_broken_index_is_told_and_mended_as_told(home: Path) -> None:
    """Every command that needs the index tells where it is broken and changes nothing; the told way mends it."""
    Path("gone.chart").write_text(LAMPS.replace("Two", "No"), encoding="utf-8")
    keyfarer("tunes", "add", "lamps.chart", "lanterns.chart", "gone.chart")
    keyfarer("tunes", "remove", "no-lamps")
    index = home / "tunes" / "index.json"
    broken = index.read_text(encoding="utf-8")[:-20]
    index.write_text(broken, encoding="utf-8")
    for words in (("tunes",), ("tunes", "add", "lamps.chart"), ("tunes", "show", "two-lamps"), ("tunes", "remove", "x"),
                  ("tunes", "learn", "two-lamps"), ("drill", "--plain", "--count", "1"), ()):  # fmt: skip
        done = keyfarer(*words)
        assert (2, "") == (done.returncode, done.stdout)
        assert f"{index}: this list of your tunes can't be read" in done.stderr
        assert f"`keyfarer tunes add {home / 'tunes'}`" in done.stderr
    assert broken == index.read_text(encoding="utf-8")
    index.unlink()
    done = keyfarer("tunes", "add", str(home / "tunes"))
    assert 0 == done.returncode
    assert ["lanterns-on-the-ice.chart", "two-lamps.chart"] == sorted(
        path.name for path in (home / "tunes").glob("*.chart")
    )
    assert 2 == keyfarer("tunes").stdout.count("yours;"), "what was removed stays removed"
    aside = str(home / "tunes" / "removed" / "no-lamps.chart")
    assert f"no-lamps: kept ({aside}, 4 bars)\n" == keyfarer("tunes", "add", aside).stdout


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="leave to write is another thing there")
def test_a_folder_that_takes_nothing_is_told(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing can be written the command says where and what to do; what can only be read is still listed."""
    keyfarer("tunes", "add", "lamps.chart")
    if os.geteuid() == 0:
        monkeypatch.setenv("KEYFARER_HOME", "/proc/self")  # nobody may make files there
        where = "/proc/self/tunes"
    else:
        (home / "tunes").chmod(0o555)
        where = str(home / "tunes")
    done = keyfarer("tunes", "add", "lanterns.chart")
    (home / "tunes").chmod(0o755)
    assert (2, "") == (done.returncode, done.stdout)
    assert where in done.stderr
    assert "your tunes can't be kept here" in done.stderr
    assert 0 == keyfarer("tunes").returncode
    monkeypatch.setenv("KEYFARER_HOME", str(home.parent / "lamps.chart"))
    assert "can't be kept here (Not a directory)" in keyfarer("tunes", "add", "lanterns.chart").stderr


def test_two_programs_add_at_once(home: Path, rng: random.Random) -> None:
    """Four programs that add ten tunes each at the same time keep all forty, and the index names each once."""
    for number in range(4):
        folder = folder_of(rng, Path(f"charts{number}"), 10)
        for path in folder.glob("*.chart"):
            text = path.read_text(encoding="utf-8").replace("Lantern", f"Set {number} Lantern")
            path.write_text(text, encoding="utf-8")
    commands = [(*COMMAND, "tunes", "add", f"charts{number}") for number in range(4)]
    started = [subprocess.Popen(command, stdout=subprocess.DEVNULL) for command in commands]
    assert [0] * 4 == [one.wait(timeout=120) for one in started]
    tunes = json.loads(keyfarer("tunes", "--json").stdout)["tunes"]
    ids = [tune["id"] for tune in tunes if tune["own"]]
    assert sorted(f"set-{set}-lantern-{number}" for set in range(4) for number in range(10)) == sorted(ids)
    assert 40 == len(list((home / "tunes").glob("*.chart")))


def test_many_tunes_are_kept_by_several_processes(home: Path, rng: random.Random) -> None:
    """A folder large enough for several processes is kept whole and in order, its faults told one by one."""
    folder_of(rng, Path("charts"), 260, faults=3)
    done = keyfarer("tunes", "add", "charts")
    assert 2 == done.returncode
    assert 3 == done.stderr.count("charts/")
    names = [line.split("(")[1].split(",")[0] for line in done.stdout.splitlines()]
    assert names == sorted(names)
    assert 257 == len(names) == len(list((home / "tunes").glob("*.chart")))


def test_a_kill_between_charts_leaves_a_folder_that_mends(home: Path) -> None:
    """Killed after the chart was written and before the index was, the next adding takes the chart in where it lies."""
    code = (
        "import os, signal\n"
        "from trainer.practice import kept_tunes\n"
        "kept_tunes.put_whole = lambda path, data: os.kill(os.getpid(), signal.SIGKILL)\n"
        "from trainer.cli import run\n"
        "run(['tunes', 'add', 'lamps.chart'])\n"
    )
    done = subprocess.run((sys.executable, "-c", code), capture_output=True, check=False, timeout=120)
    assert 0 != done.returncode
    assert LAMPS == (home / "tunes" / "two-lamps.chart").read_text(encoding="utf-8")
    assert not (home / "tunes" / "index.json").exists()
    assert "two-lamps: kept (lamps.chart, 4 bars)\n" == keyfarer("tunes", "add", "lamps.chart").stdout
    assert ["two-lamps.chart"] == [path.name for path in (home / "tunes").glob("*.chart")]
