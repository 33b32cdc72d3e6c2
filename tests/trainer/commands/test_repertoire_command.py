"""`keyfarer repertoire`: its counts against those of each reading, its forms, and what the memory says of it."""

import csv
import io
import json
import random
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.trainer.commands.commanding import CHART, keyfarer
from tests.trainer.commands.many import folder_of
from tests.trainer.memory.made import KEYS, trial
from trainer.commands.repertoire_data import COLUMNS
from trainer.commands.standing import NEW
from trainer.harmony.cadence import CADENCE
from trainer.memory.store import open_store
from trainer.places import memory_file

Json = dict[str, Any]


@pytest.fixture
def folder(tmp_path: Path, rng: random.Random) -> Path:
    """Thirty tunes."""
    return folder_of(rng, tmp_path / "charts", 30)


def tunes_with(readings: list[Json], name: str, of: Any) -> tuple[Counter[Any], Counter[Any]]:
    """How often things are met in readings, and in how many of them."""
    met = [[of(one) for one in reading[name]] for reading in readings]
    return Counter(thing for row in met for thing in row), Counter(thing for row in met for thing in set(row))


def test_the_counts_are_those_of_the_readings(folder: Path) -> None:
    """What is counted over all tunes is what their JSON holds, counted one by one; shares are of all tunes."""
    readings = [json.loads(line) for line in keyfarer("analyze", str(folder), "--json").stdout.splitlines()]
    found = json.loads(keyfarer("repertoire", str(folder), "--json").stdout)
    assert ("keyfarer/repertoire/1", 30) == (found["schema"], found["tunes"])
    assert sum(reading["sections"][-1]["until"]["bar"] - 1 for reading in readings) == found["bars"]
    times, tunes = tunes_with(readings, "cadences", lambda one: one["type"])
    assert times == {row["type"]: row["times"] for row in found["cadences"]}
    assert tunes == {row["type"]: row["tunes"] for row in found["cadences"]}
    assert [round(row["tunes"] / 30, 4) for row in found["cadences"]] == [row["share"] for row in found["cadences"]]
    times, tunes = tunes_with(readings, "interruptions", lambda one: one["shape"])
    assert times.total() == sum(row["times"] for row in found["interruptions"])
    moves = Counter(
        tuple(step["move"][name] for name in ("semitones", "mode_from", "mode_to"))
        for reading in readings
        for step in reading["route"]
        if step["move"]
    )
    assert moves == {(row["semitones"], row["mode_from"], row["mode_to"]): row["times"] for row in found["moves"]}
    homes = Counter(reading["home"]["mode"] for reading in readings)
    assert homes["major"] == sum(row["tunes"] for row in found["homes"] if row["home"]["mode"] == "major")
    assert sorted((row["tunes"] for row in found["cadences"]), reverse=True) == [r["tunes"] for r in found["cadences"]]


def test_any_number_of_processes_counts_the_same(folder: Path) -> None:
    """Through one and through two processes it is byte for byte the same."""
    one, two = (keyfarer("repertoire", str(folder), "--json", "--processes", count) for count in ("1", "2"))
    assert (0, "", one.stdout) == (two.returncode, two.stderr, two.stdout)


def test_charts_at_fault_are_told_and_not_counted(folder: Path) -> None:
    """A bad chart gives exit 2 and its line on standard error; the others are counted."""
    (folder / "bad.chart").write_text("[A]\n| H |\n", encoding="utf-8")
    done = keyfarer("repertoire", str(folder), "--json")
    assert (2, 30, 1) == (done.returncode, json.loads(done.stdout)["tunes"], len(done.stderr.splitlines()))
    nothing = keyfarer("repertoire", str(folder / "bad.chart"))
    assert (2, "") == (nothing.returncode, nothing.stdout)
    empty = json.loads(keyfarer("repertoire", str(folder / "bad.chart"), "--json").stdout)
    assert (0, 0, [], []) == (empty["tunes"], empty["bars"], empty["cadences"], empty["learn_next"])
    assert 1 == len(keyfarer("repertoire", str(folder / "bad.chart"), "--csv").stdout.splitlines())


@pytest.mark.parametrize("columns", ["60", "80"])
def test_the_words_fit(folder: Path, columns: str) -> None:
    """Every line fits the terminal, and every kind of thing has its heading."""
    done = keyfarer("repertoire", str(folder), surroundings={"COLUMNS": columns})
    lines = done.stdout.splitlines()
    assert (0, "") == (done.returncode, done.stderr)
    assert max(map(len, lines)) <= int(columns)
    assert "30 tunes, 360 bars" == lines[0]
    headings = {"Cadence types", "Homes", "Key centers", "Moves of the center", "Most key centers", "Learn next"}
    assert headings <= set(lines)


def test_rows_of_values(folder: Path) -> None:
    """`--csv` has a row for each tune and each thing counted, with the numbers of the JSON."""
    found = json.loads(keyfarer("repertoire", str(folder), "--json").stdout)
    rows = list(csv.DictReader(io.StringIO(keyfarer("repertoire", str(folder), "--csv").stdout, newline="")))
    assert list(COLUMNS) == list(rows[0])
    kinds = Counter(row["kind"] for row in rows)
    expected = {
        "tune": 30, "home": len(found["homes"]), "center": len(found["centers"]), "move": len(found["moves"]),
        "cadence": len(found["cadences"]), "interruption": len(found["interruptions"]),
        "next": len(found["learn_next"]),
    }  # fmt: skip
    assert {kind: count for kind, count in expected.items() if count} == kinds
    cadences = [(row["what"], row["times"], row["tunes"]) for row in rows if row["kind"] == "cadence"]
    assert [(row["type"], str(row["times"]), str(row["tunes"])) for row in found["cadences"]] == cadences


def test_the_memory_says_what_is_learned(tmp_path: Path) -> None:
    """What is known by ear is neither missing nor to be learned next; what was only met is being learned."""
    chart = tmp_path / "two-lamps.chart"
    chart.write_text(CHART, encoding="utf-8")
    before = json.loads(keyfarer("repertoire", str(chart), "--json").stdout)
    wanted = {"major-two-five-one", *CADENCE["major-two-five-one"].after}
    assert [NEW] == [row["status"] for row in before["cadences"]]
    assert wanted == set(before["learn_next"][0]["types"])
    assert ["Two Lamps"] == [tune["title"] for tune in before["learn_next"][0]["tunes"]]
    learn(*wanted)
    after = json.loads(keyfarer("repertoire", str(chart), "--json").stdout)
    assert after["cadences"][0]["status"] in ("known by ear", "resting")
    assert ([], []) == (after["not_learned"], after["learn_next"])
    assert "You have learned every cadence type of these tunes." in keyfarer("repertoire", str(chart)).stdout


def learn(*types: str) -> None:
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
