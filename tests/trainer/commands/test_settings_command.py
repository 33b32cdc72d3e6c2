"""`keyfarer settings`: listed, told, set and refused in lines, and as data, as on the settings screen."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.trainer.commands.commanding import keyfarer
from tests.trainer.commands.test_help_and_completion import completed
from trainer.commands.set import changed
from trainer.practice.listening_level import CAUTION
from trainer.settings import load
from trainer.settings_told import TOLD, default_of, told_allowed, told_value


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for all that is the player's."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path))
    return tmp_path


def said(*words: str) -> str:
    """What the command prints, as one line of words."""
    done = keyfarer("settings", *words)
    assert (0, "") == (done.returncode, done.stderr)
    return " ".join(done.stdout.split())


@pytest.mark.parametrize("columns", ["40", "80", "200"])
def test_all_are_listed_in_sentences(columns: str) -> None:
    """Each with its value and its meaning, nothing drawn, no line wider than the terminal or 80 columns."""
    done = keyfarer("settings", surroundings={"COLUMNS": columns})
    assert (0, "") == (done.returncode, done.stderr)
    told = " ".join(done.stdout.split())
    for name, row in TOLD.items():
        assert f"{name}: {told_value(name, default_of(name))}" in told
        assert row.about in told
    lines = [line for line in done.stdout.splitlines() if "settings.toml" not in line]
    assert max(map(len, lines)) <= min(int(columns), 80)
    assert set() == set("|│─━═┃+*") & set(done.stdout)
    assert not any("  " in line.strip() for line in lines)


def test_one_is_told_in_full() -> None:
    """Its value, its meaning, what it may be and what each word means, by either of its names."""
    told = said("comping")
    assert told.startswith("comping: as the meter asks Comping. When chords are struck in tunes.")
    assert f"It may be {told_allowed('comping')}; usually it is as the meter asks." in told
    assert all(meaning in told for meaning in TOLD["comping"].words.values())
    assert said("tuning note") == said("a4_hz") == said("A4-hz")
    assert CAUTION in said("volume_db")
    assert "A change takes effect from the next start on." in said("plain")


def test_one_is_set_and_kept(home: Path) -> None:
    """What was and what is are said; the file has it; the same again is no change; --default is the way back."""
    assert "minutes: 25; before, 10." == said("minutes", "25")
    assert 25 == load(home / "settings.toml").minutes
    assert "minutes: 25, as it was." == said("minutes", "25")
    assert "bass: walking; before, halves. A line of quarters that leads on." == said("bass", "walking")
    assert "plain: yes; before, no. It takes effect from the next start on." == said("plain", "yes")
    assert "minutes: 10; before, 25." == said("minutes", "--default")
    settings = load(home / "settings.toml")
    assert (10, "walking", True) == (settings.minutes, settings.bass, settings.plain)


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("minutes", "500"), "minutes a day (minutes): '500' isn't allowed; expected a whole number of minutes from 1"),
        (("style", "loud"), "expected one of rootless, close,"),
        (("volume_db", "3"), "expected decibels from -40 to 0"),
        (("minuts",), "there is no setting 'minuts'; did you mean minutes?"),
        (("xyz", "1"), "there is no setting 'xyz'; there are minutes, wanted_recall,"),
        (("minutes", "5", "--default"), "either '5' or --default"),
        (("--default",), "name it"),
    ],
    ids=" ".join,
)
def test_faults_are_told_and_nothing_is_saved(home: Path, arguments: tuple[str, ...], expected: str) -> None:
    """Exit 2, what was wrong and what would be right; no file is made."""
    done = keyfarer("settings", *arguments)
    assert (2, "") == (done.returncode, done.stdout)
    assert expected in done.stderr
    assert [] == list(home.iterdir())


def test_the_cautions_stand_where_the_level_is_set(home: Path) -> None:
    """Setting how loud it is says them on standard error; a level below zero is no option."""
    done = keyfarer("settings", "volume_db", "-30")
    assert (0, "volume_db: -30 dB; before, 0 dB.\n") == (done.returncode, done.stdout)
    assert f"keyfarer: {CAUTION}\n" == done.stderr
    assert -30.0 == load(home / "settings.toml").volume_db


def test_a_broken_file_is_told_and_left(home: Path) -> None:
    """Nothing is listed or set over a file that can't be read."""
    (home / "settings.toml").write_text("minutes = ", encoding="utf-8")
    for words in ((), ("minutes", "5")):
        done = keyfarer("settings", *words)
        assert (2, "") == (done.returncode, done.stdout)
        assert "can't be read" in done.stderr
    assert "minutes = " == (home / "settings.toml").read_text(encoding="utf-8")


def test_the_data_say_the_same() -> None:
    """One object with every setting: names, value, default, meaning, what is expected; for one setting that alone."""
    data = json.loads(keyfarer("settings", "--json").stdout)
    assert ["schema", "file", "devices", "settings"] == list(data)
    assert ("keyfarer/settings/1", None) == (data["schema"], data["devices"])
    assert list(TOLD) == [row["name"] for row in data["settings"]]
    fields = ["name", "group", "called", "about", "value", "default", "expected", "words", "unit", "takes_effect"]
    for row in data["settings"]:
        assert fields == list(row)
        assert row["value"] == row["default"] == default_of(row["name"])
    one = json.loads(keyfarer("settings", "hands", "yes", "--json").stdout)["settings"]
    assert [("hands", True)] == [(row["name"], row["value"]) for row in one]


def test_devices_are_told_without_a_screen() -> None:
    """Which there are, or why they can't be looked for; a device that isn't there is refused, and the old one stays."""
    assert "sound device" in said("device").lower()
    data = json.loads(keyfarer("settings", "device", "--json").stdout)
    assert isinstance(data["devices"], list)
    done = keyfarer("settings", "device", "no such card")
    assert (2, "") == (done.returncode, done.stdout)
    assert "device: the sound can't go to 'no such card'" in done.stderr
    assert "Nothing was changed." in done.stderr


def test_names_and_words_complete() -> None:
    """Behind the command come names, behind a name the words it may be."""
    assert ["minutes"] == completed("keyfarer settings min")
    assert ["rootless"] == completed("keyfarer settings style roo")
    assert ["yes", "no"] == sorted(completed("keyfarer settings plain "), reverse=True)
    assert not any(completed("keyfarer settings minutes "))


def test_a_change_is_said_in_a_sentence() -> None:
    """What it is, what it was, and what it means."""
    assert "ratio: as the chart has it; before, 2." == changed("ratio", 2.0, 0.0)


def test_plain_lines_are_remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    """After `keyfarer settings plain yes` the program starts in lines of text, before it in the app."""
    from trainer.commands.start import start

    begun: list[str] = []
    monkeypatch.setattr("trainer.commands.drill.run_drill", lambda options: begun.append(f"lines {options.plain}") or 0)
    monkeypatch.setattr("trainer.screens.running.run_app", lambda: begun.append("app") or 0)
    assert 0 == start()
    assert 0 == keyfarer("settings", "plain", "yes").returncode
    assert 0 == start()
    assert ["app", "lines True"] == begun


def test_nothing_of_sound_is_loaded_for_a_word() -> None:
    """Setting anything but the device opens no sound library."""
    code = (
        "import sys; from trainer.cli import run; run(['settings', 'minutes', '12']); "
        "print(sorted({'numpy', 'sounddevice', 'textual', 'sqlite3'} & set(sys.modules)))"
    )
    done = subprocess.run((sys.executable, "-c", code), capture_output=True, text=True, check=True, timeout=60)
    assert "[]" == done.stdout.splitlines()[-1]
