"""`keyfarer progress` and the bare command: what is due and why, what was confused, and what a broken memory says."""

import csv
import io
import json
import sqlite3
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.golden.commands.make_printouts import FOLDER, PROGRESS, progress_told
from tests.trainer.commands.commanding import keyfarer
from tests.trainer.memory.made import KEYS, MONDAY, trial
from trainer.cli import keyfarer as command
from trainer.commands.progress import TABLES as NAMES
from trainer.commands.progress import run_progress
from trainer.commands.told_progress import told_progress
from trainer.memory.chance import Chance
from trainer.memory.progress import COLUMNS, UnitProgress, why_today
from trainer.memory.progress_tables import TABLES, Confused
from trainer.memory.seen import Mistaken
from trainer.memory.store import open_store
from trainer.memory.unit import Status
from trainer.practice.over_time import Seen

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
    place = lines.index("Taken for another")
    assert [
        "  backdoor  for minor-plagal, 8 times, 100% of its answers, more than by chance;",
        "            in 2027-03",
        "  plagal    for backdoor, once, 100% of its answers; in 2027-03",
        "",
        "Practised",
    ] == lines[place + 1 : place + 6]
    assert lines[place + 6].startswith("  week of 2027-03-01: Mon ")
    assert max(map(len, lines)) <= 80


def test_json_and_csv_say_the_same(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """JSON has a row a type and the confusions; CSV has the same rows under the same names."""
    practised(home)
    run_progress("json", WEDNESDAY)
    values = json.loads(capsys.readouterr().out)
    assert ("keyfarer/progress/1", "2027-03-03") == (values["schema"], values["day"])
    expected = {
        "unit": "backdoor", "taken_for": "minor-plagal", "times": 8, "stands_out": True, "share": 1.0,
        "share_by_chance": 0.3333, "lately": 8, "first_month": "2027-03", "last_month": "2027-03",
    }  # fmt: skip
    assert expected == values["confusions"][0]
    assert ["schema", "day", "units", "confusions", "days", "weeks", "firsts"] == list(values)
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
    pair = Confused(Mistaken(row.unit, row.unit, 12, 3, "2026-11", "2027-03"), 0.4, 0.01, True)
    lines = told_progress(Seen(date(2027, 3, 1), (row, row), (pair,)), 80)
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("what", NAMES)
def test_each_table_is_had_in_every_form(home: Path, capsys: pytest.CaptureFixture[str], what: str) -> None:
    """Each table comes as CSV with its columns, as the same rows in JSON, and as lines of 80 columns at most."""
    practised(home)
    run_progress("csv", WEDNESDAY, what)
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    run_progress("json", WEDNESDAY, what)
    values = json.loads(capsys.readouterr().out)
    assert {"schema", "day", "units" if what == "types" else what} == set(values)
    same = values["units" if what == "types" else what]
    assert rows == [{name: "" if one is None else str(one) for name, one in row.items()} for row in same]
    if what in TABLES:
        assert all(list(TABLES[what].columns) == list(row) for row in rows)
    run_progress("text", WEDNESDAY, what)
    lines = capsys.readouterr().out.splitlines()
    assert lines
    assert max(map(len, lines)) <= 80


def test_tables_before_the_first_answer(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a store each table has its header and no rows; the tunes are all still to be heard."""
    for what in NAMES:
        run_progress("csv", WEDNESDAY, what)
        lines = capsys.readouterr().out.splitlines()
        assert (len(lines) == 1) == (what != "tunes")
    assert not (home / "memory.db").exists()


def test_the_words_for_tables_are_those_of_the_command() -> None:
    """What the command lets be asked for are the tables there are."""
    offered = next(option for option in command.commands["progress"].params if option.name == "what")
    assert list(NAMES) == list(offered.type.choices)  # type: ignore[attr-defined]
    assert [*TABLES, "tunes"] == list(NAMES)


@pytest.mark.parametrize("name", PROGRESS)
def test_the_printout_is_as_it_was_read(home: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """What a made-up player sees is the text that was read line by line, 80 columns at most."""
    monkeypatch.setenv("COLUMNS", "80")
    told = progress_told(name, home)
    assert (FOLDER / name).read_text(encoding="utf-8") == told
    assert max(map(len, told.splitlines())) <= 80


@pytest.mark.parametrize("columns", ["60", "72"])
def test_a_narrow_terminal_gets_narrow_lines(home: Path, monkeypatch: pytest.MonkeyPatch, columns: str) -> None:
    """No line of one type or of a table is wider than the terminal."""
    monkeypatch.setenv("COLUMNS", columns)
    for name in ("progress-backdoor.txt", "progress-keys.txt"):
        folder = home / name
        monkeypatch.setenv("KEYFARER_HOME", str(folder))
        assert max(map(len, progress_told(name, folder).splitlines())) <= int(columns)


def test_one_type_is_told_whole(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One type: where it stands, twelve keys in the circle of fifths, and how it differs from what it is taken for."""
    practised(home)
    run_progress("text", WEDNESDAY, None, "backdoor")
    lines = capsys.readouterr().out.splitlines()
    assert "backdoor two–five (backdoor)" == lines[0]
    assert "  today    being learned, not heard for 2 days" in lines
    keys = lines[lines.index("By key, since 2027-01") + 1 :][:12]
    assert "C F Bb Eb Ab Db F# B E A D G".split() == [line.split()[0] for line in keys]
    assert "  C   1 answer  too few to tell" == keys[0]
    assert "  E   not asked of late" == keys[8]
    told = " ".join(line.strip() for line in lines[lines.index("Confusions") :])
    assert "taken for minor-plagal, 8 times, 100% of its answers, more than by chance" in told
    assert "plagal was taken for it, once" in told
    assert "They differ in length: 3 chords here, 2 there." in told
    assert max(map(len, lines)) <= 80


def test_a_type_never_asked_says_so(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A type, a move or a route that was never asked is named, and said not to be met yet."""
    practised(home)
    for unit, name in (("half", "half cadence"), ("move:+3:major-minor", "up a minor third"), ("route:x", "route")):
        run_progress("text", WEDNESDAY, None, unit)
        told = capsys.readouterr().out
        assert name in told.splitlines()[0]
        assert "Not yet met" in told


def test_what_is_no_type_is_refused(home: Path) -> None:
    """A word that is no type, move or route gives 2 and a hint."""
    for word, hint in (("bakdoor", "did you mean backdoor"), ("move:+9:major-major", "-5 to +6 half steps")):
        done = keyfarer("progress", word)
        assert (2, "") == (done.returncode, done.stdout)
        assert hint in done.stderr


def test_the_data_of_one_type(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON of one type holds that type's rows of every table, and the confusions from both sides."""
    practised(home)
    run_progress("json", WEDNESDAY, None, "backdoor")
    values = json.loads(capsys.readouterr().out)
    assert ["backdoor"] == [row["unit"] for row in values["units"]]
    assert {"backdoor"} == {row["unit"] for name in ("keys", "voicings", "tempi", "drills") for row in values[name]}
    assert [("backdoor", "minor-plagal"), ("plagal", "backdoor")] == [
        (row["unit"], row["taken_for"]) for row in values["confusions"]
    ]
    assert [8] == [row["answers"] for row in values["weeks"]]


def test_the_bare_command_tells_what_was_done_today(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was practised today stands below the plan: answers, minutes, and what was heard; nothing before."""
    from trainer.commands.today import print_today

    practised(home)
    assert 0 == print_today(Later(MONDAY + timedelta(hours=1)))
    told = capsys.readouterr().out
    assert "Done today: 12 answers in " in told
    assert "minutes, 3 right; " in told
    print_today(Later(WEDNESDAY))
    later = capsys.readouterr().out
    assert "Done today" not in later
    assert "New today: " in later or "No new type today" in later


class Later:
    """A clock that stands at a moment."""

    def __init__(self, at: datetime) -> None:
        self.at = at

    def now_utc(self) -> datetime:
        """The moment."""
        return self.at

    def utc_offset_minutes(self) -> int:
        """None."""
        return 0

    def monotonic_s(self) -> float:
        """Still."""
        return 0.0


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
