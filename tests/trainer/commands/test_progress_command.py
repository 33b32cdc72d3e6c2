"""`keyfarer progress` and the bare command: what is due and why, what was confused, and what a broken memory says."""

import csv
import io
import json
import sqlite3
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.trainer.commands.commanding import keyfarer
from tests.trainer.memory.made import KEYS, MONDAY, trial
from trainer.commands.progress import run_progress, told_progress, why_today
from trainer.memory.chance import Chance
from trainer.memory.progress import COLUMNS, UnitProgress
from trainer.memory.store import open_store
from trainer.memory.unit import Status

WEDNESDAY = MONDAY + timedelta(days=2)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for all that is the player's."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path))
    return tmp_path


def practised(home: Path) -> None:
    """A store with two types, one of them taken for the other more often than chance would have it."""
    wrong = {"unit": "backdoor", "credit": 0.0, "taken_for": "minor-plagal"}
    with open_store(home / "memory.db") as store:
        store.append_all(
            [trial(timedelta(minutes=n), key=KEYS[n]) for n in range(3)]
            + [trial(timedelta(minutes=10 + n), key=KEYS[n], **wrong) for n in range(8)]
            + [trial(timedelta(minutes=30), unit="plagal", credit=0.0, taken_for="backdoor")]
        )


def test_nothing_practised_is_friendly(home: Path) -> None:
    """Before the first answer it says how to begin, and makes no store."""
    done = keyfarer("progress")
    assert (0, "") == (done.returncode, done.stderr)
    assert done.stdout.startswith("Nothing practised yet")
    assert "keyfarer drill --plain" in done.stdout
    assert [] == list(home.iterdir())


def test_nothing_practised_is_data_too(home: Path) -> None:
    """Before the first answer JSON has no units and CSV its header alone."""
    assert [] == json.loads(keyfarer("progress", "--json").stdout)["units"]
    assert [",".join(COLUMNS)] == keyfarer("progress", "--csv").stdout.splitlines()


def test_what_is_due_and_what_is_confused_is_told(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two days later: what is due with its reason, a line for each type, and the confusion that stands out."""
    practised(home)
    assert 0 == run_progress("text", WEDNESDAY)
    lines = capsys.readouterr().out.splitlines()
    assert "Practice day 2027-03-03" == lines[0]
    assert "Due today: 3 types" == lines[2]
    assert "  major-two-five-one  being learned, not heard for 2 days" in lines
    row = next(line for line in lines if line.startswith("major-two-five-one "))
    assert ["100%", "12.0", "s"] == row.split()[3:6]
    confused = lines[lines.index("Taken for another") + 1 :]
    assert ["backdoor", "plagal"] == [line.split()[0] for line in confused]
    assert confused[0].endswith("for minor-plagal, 8 times, more than by chance")
    assert confused[1].endswith("for backdoor, once")
    assert max(map(len, lines)) <= 80


def test_json_and_csv_say_the_same(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """JSON has a row a type and the confusions; CSV has the same rows under the same names."""
    practised(home)
    run_progress("json", WEDNESDAY)
    values = json.loads(capsys.readouterr().out)
    assert ("keyfarer/progress/1", "2027-03-03") == (values["schema"], values["day"])
    expected = {"unit": "backdoor", "taken_for": "minor-plagal", "times": 8, "stands_out": True}
    assert expected == values["confusions"][0]
    run_progress("csv", WEDNESDAY)
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert list(COLUMNS) == list(rows[0])
    assert [unit["unit"] for unit in values["units"]] == [row["unit"] for row in rows]
    assert [str(unit["rung"]) for unit in values["units"]] == [row["rung"] for row in rows]


def row_of(**values: object) -> UnitProgress:
    """A row that rests until Friday, last heard on Monday."""
    usual: dict[str, object] = {
        "unit": "major-two-five-one", "status": Status.RESTING, "due_day": date(2027, 3, 5), "interval_days": 4,
        "chance": Chance(0.8, 0.6, 0.9), "chance_on_top": 0.8, "rung": 6, "trials": 9, "accuracy": 0.9,
        "median_answer_s": 7.25, "last_day": date(2027, 3, 1),
    }  # fmt: skip
    return UnitProgress(**{**usual, **values})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("values", "day", "why"),
    [
        ({}, date(2027, 3, 4), None),
        ({}, date(2027, 3, 5), "due after resting 4 days"),
        ({}, date(2027, 3, 9), "due after resting 8 days"),
        ({"status": Status.KNOWN}, date(2027, 3, 5), "due after resting 4 days"),
        ({"status": Status.LEARNING}, date(2027, 3, 2), "being learned, last heard yesterday"),
        ({"status": Status.LEARNING}, date(2027, 3, 4), "being learned, not heard for 3 days"),
        ({"status": Status.LEARNING}, date(2027, 3, 1), None),
        ({"status": Status.NEW, "last_day": None, "due_day": None}, date(2027, 3, 5), None),
    ],
)
def test_the_reason_is_the_plans(values: dict[str, object], day: date, why: str | None) -> None:
    """What is learned comes each day, what rests when it falls due, and nothing twice a day."""
    assert why == why_today(row_of(**values), day)


def test_the_longest_names_fit_into_80_columns() -> None:
    """With the longest id of the table and large numbers the lines still fit."""
    row = row_of(unit="interrupted-after-two-five-and-again", interval_days=1068, due_day=date(2030, 1, 1))
    lines = told_progress([row, row], [(row.unit, row.unit, 12, True)], date(2027, 3, 1), 80)
    assert max(map(len, lines)) <= 80


def test_the_bare_command_tells_todays_plan(home: Path) -> None:
    """Without a terminal it prints how many questions today holds, each with its reason, and how to start."""
    done = keyfarer()
    assert (0, "") == (done.returncode, done.stderr)
    first, *lines = done.stdout.splitlines()
    assert first.startswith("Today: ")
    assert "questions, about" in first
    assert "five–one in major: new: you meet it for the first time" in done.stdout
    assert "  keyfarer drill --plain  the same session in lines of text" in lines


@pytest.mark.parametrize("command", [(), ("progress",), ("progress", "--json"), ("play", "-", "--to", "x.wav")])
def test_broken_settings_are_told_and_left_alone(home: Path, command: tuple[str, ...], tmp_path: Path) -> None:
    """Settings that can't be read: exit 2, the file and the fault named, not a byte changed."""
    broken = b'minutes = "ten"\nwanted_recal = 0.9\n'
    (home / "settings.toml").write_bytes(broken)
    done = keyfarer(*command, folder=tmp_path)
    assert (2, "") == (done.returncode, done.stdout)
    assert "settings.toml: minutes is 'ten'; expected a whole number of minutes from 1 to 180" in done.stderr
    assert "there is no setting 'wanted_recal'" in done.stderr
    assert broken == (home / "settings.toml").read_bytes()
    assert ["settings.toml"] == [path.name for path in home.iterdir()]


@pytest.mark.parametrize("command", [(), ("progress",), ("progress", "--csv")])
def test_a_store_from_a_newer_version_is_left_alone(home: Path, command: tuple[str, ...]) -> None:
    """A store that a newer keyfarer wrote: exit 2, said plainly, not a byte changed."""
    practised(home)
    with sqlite3.connect(home / "memory.db") as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()
    before = (home / "memory.db").read_bytes()
    done = keyfarer(*command)
    assert (2, "") == (done.returncode, done.stdout)
    assert "was written by a newer keyfarer" in done.stderr
    assert before == (home / "memory.db").read_bytes()


def test_a_store_that_is_no_store_is_left_alone(home: Path) -> None:
    """A file of something else in the store's place: exit 2 and not a byte changed."""
    (home / "memory.db").write_bytes(b"a shopping list, long enough to be read as a page of something else" * 20)
    before = (home / "memory.db").read_bytes()
    done = keyfarer("progress")
    assert (2, "") == (done.returncode, done.stdout)
    assert "is not a keyfarer store" in done.stderr
    assert before == (home / "memory.db").read_bytes()


def test_a_practice_day_ends_at_night(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Who looks at three in the morning still sees the day before; the settings say when a day ends."""
    practised(home)
    late = datetime(2027, 3, 3, 3, 0, tzinfo=UTC)
    run_progress("text", late)
    assert "Practice day 2027-03-02" == capsys.readouterr().out.splitlines()[0]
    (home / "settings.toml").write_text("day_ends_hour = 2\n", encoding="utf-8")
    run_progress("text", late)
    assert "Practice day 2027-03-03" == capsys.readouterr().out.splitlines()[0]
