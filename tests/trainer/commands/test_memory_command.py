"""`keyfarer memory`: each command as a player types it, with its faults told in words and no traceback."""

import json
import os
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from tests.trainer.commands.commanding import keyfarer
from tests.trainer.memory.disks import read_only, small_disk
from tests.trainer.memory.made import MONDAY, trial
from tests.trainer.practice.repertoire import LAMPS, kept, own
from tests.trainer.practice.test_remark import logged
from trainer.drills.kinds import draw
from trainer.drills.mark import RULES_VERSION
from trainer.memory.store import open_store
from trainer.practice.clock import clock_remark
from trainer.practice.materials import own_material


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for all that is the player's, with a memory of three answers."""
    home = tmp_path / "home"
    monkeypatch.setenv("KEYFARER_HOME", str(home))
    with open_store(home / "memory.db") as store:
        store.append_all([trial(timedelta(days=n - 400), rules_version=RULES_VERSION) for n in range(3)])
    return home


def other_machine(folder: Path) -> Path:
    """The exported memory of another machine with two answers, one of them a slip."""
    with open_store(folder / "memory.db") as store:
        store.append_all([trial(timedelta(days=n - 390), credit=0.0, rules_version=RULES_VERSION) for n in range(2)])
        store.slip(1, MONDAY)
    done = keyfarer("memory", "export", str(folder / "out.jsonl"), surroundings={"KEYFARER_HOME": str(folder)})
    assert 0 == done.returncode, done.stderr
    return folder / "out.jsonl"


def test_what_is_in_the_memory_is_told(home: Path) -> None:
    """Answers, days and the file; no remark while the clock is right."""
    done = keyfarer("memory", "check")
    assert (0, "") == (done.returncode, done.stderr)
    assert "sound" in done.stdout
    assert "answers    3" in done.stdout
    assert "3 days, 2026-01-25 to 2026-01-27" in done.stdout


def test_a_clock_set_back_is_remarked(home: Path) -> None:
    """When the newest answer is a day ahead of the clock, that is said; no answer is touched."""
    with open_store(home / "memory.db") as store:
        store.append(trial(datetime.now(UTC) - MONDAY + timedelta(days=1)))
    done = keyfarer("memory", "check")
    assert 0 == done.returncode
    assert "24 h later than this computer's clock; set the clock if it is wrong" in done.stderr
    assert "answers    4" in done.stdout


@pytest.mark.parametrize(
    ("told", "ahead"),
    [(None, -1.0), (None, 5 / 60), ("1 h later", 0.5), ("24 h later", 24.0), ("3 days later", 72.0)],
)
def test_how_far_the_clock_is_behind_is_told(told: str | None, ahead: float) -> None:
    """Some minutes between two machines are no word worth; more is told as players say it."""
    remark = clock_remark(MONDAY + timedelta(hours=ahead), MONDAY)
    assert remark is None if told is None else told in str(remark)


def test_export_and_import_are_a_merge(home: Path, tmp_path: Path) -> None:
    """Another machine's answers come in once, and both have the same lines afterwards."""
    file = other_machine(tmp_path / "laptop")
    done = keyfarer("memory", "import", str(file))
    assert (0, "") == (done.returncode, done.stderr)
    assert f"{file}: 2 new answers, 0 known already, 1 slip\n" == done.stdout
    assert "0 new answers, 2 known already\n" in keyfarer("memory", "import", str(file)).stdout
    assert "imported   2 answers from 1 other memory" in keyfarer("memory", "check").stdout
    here = keyfarer("memory", "export", "-").stdout
    there = {"KEYFARER_HOME": str(tmp_path / "laptop")}
    assert 0 == keyfarer("memory", "import", "-", given=here.encode(), surroundings=there).returncode
    assert here.splitlines()[1:] == keyfarer("memory", "export", "-", surroundings=there).stdout.splitlines()[1:]


def test_a_memory_itself_can_be_imported(home: Path, tmp_path: Path) -> None:
    """The file of another memory, or a backup, is read without being changed."""
    other_machine(tmp_path / "laptop")
    before = (tmp_path / "laptop" / "memory.db").read_bytes()
    assert "2 new answers" in keyfarer("memory", "import", str(tmp_path / "laptop" / "memory.db")).stdout
    assert before == (tmp_path / "laptop" / "memory.db").read_bytes()


def test_lines_that_cant_be_read_are_told(home: Path, tmp_path: Path) -> None:
    """What can be read is taken, each other line is told with its number, many of them only counted; exit 2."""
    file = other_machine(tmp_path / "laptop")
    lines = file.read_text(encoding="utf-8").splitlines()
    file.write_text("\n".join([*lines[:2], '{"store": "a"', lines[2], *["{}"] * 40]), encoding="utf-8")
    done = keyfarer("memory", "import", str(file))
    assert 2 == done.returncode
    assert f"keyfarer: {file}, line 3: this is no JSON" in done.stderr
    assert f"keyfarer: {file}, line 5: `at_utc` is missing" in done.stderr
    assert f"keyfarer: {file}: 21 more lines can't be read" in done.stderr
    assert "2 new answers" in done.stdout


def test_files_that_are_no_memory_are_told(home: Path, tmp_path: Path) -> None:
    """Other files are told one by one, and those that are good have their turn; exit 2."""
    (tmp_path / "tune.chart").write_text("title: Two Lamps\n", encoding="utf-8")
    good = other_machine(tmp_path / "laptop")
    done = keyfarer("memory", "import", str(tmp_path / "gone"), str(tmp_path / "tune.chart"), str(good))
    assert 2 == done.returncode
    assert "gone: it can't be read (No such file or directory)" in done.stderr
    assert "tune.chart: found no memory of keyfarer" in done.stderr
    assert "2 new answers" in done.stdout


def test_backup_and_restore(home: Path, tmp_path: Path) -> None:
    """A backup is written, not over another unasked, and comes back; the memory before is kept and named."""
    copy = tmp_path / "copy.db"
    assert f"wrote {copy}, 3 answers\n" == keyfarer("memory", "backup", str(copy)).stdout
    done = keyfarer("memory", "backup", str(copy))
    assert (2, True) == (done.returncode, "`--yes` writes over it" in done.stderr)
    assert 0 == keyfarer("memory", "backup", str(copy), "--yes").returncode
    with open_store(home / "memory.db") as store:
        store.append(trial())
    done = keyfarer("memory", "restore", str(copy))
    assert f"restored {home / 'memory.db'} from {copy}, 3 answers\n" == done.stdout
    kept = home / "memory-before-restore-1.db"
    assert f"kept as {kept}" in done.stderr
    assert "1 new answer, 3 known already" in keyfarer("memory", "import", str(kept)).stdout


def test_rebuilding_changes_no_answer(home: Path) -> None:
    """Everything is computed anew, and the exported file is the same before and after."""
    before = keyfarer("memory", "export", "-").stdout
    assert "Computed anew from 3 answers: 1 type or tune.\n" == keyfarer("memory", "rebuild").stdout
    assert before == keyfarer("memory", "export", "-").stdout


def test_answers_from_own_tunes_are_marked_again(home: Path, tmp_path: Path) -> None:
    """By the rules of now where the chart is still kept; where the list of tunes is broken that is told first."""
    kept(tmp_path / "given", LAMPS)
    tunes = own_material(own())
    question = draw("name-functions", "major-two-five-one", 5, Random(2), None, tunes, tune_share=1.0)[0]
    assert question.material.startswith("tune:")
    with open_store(home / "memory.db") as store:
        store.append(logged(question, question.correct, rules_version=RULES_VERSION - 1, credit=0.125))
    index = home / "tunes" / "index.json"
    whole = index.read_bytes()
    index.write_text("{", encoding="utf-8")
    done = keyfarer("memory", "rebuild")
    assert str(index) in done.stderr
    assert "answers from your own tunes keep their marks" in done.stderr
    assert 0 == done.returncode
    assert "1 answer of other rules kept the mark of the day" in " ".join(done.stdout.split())
    index.write_bytes(whole)
    assert "1 answer marked again" in " ".join(keyfarer("memory", "rebuild").stdout.split())
    with open_store(home / "memory.db") as store:
        assert 0.125 != store.recent("major-two-five-one")[0].credit


def test_a_memory_whose_computed_rows_are_damaged_is_mended(home: Path) -> None:
    """Nonsense in what is computed is told with the mend, and the mend mends it."""
    with open_store(home / "memory.db") as store:
        store.refresh()
    other = sqlite3.connect(home / "memory.db")
    other.execute("UPDATE player_models SET model = 'no longer a model'")
    other.commit()
    other.close()
    done = keyfarer("progress", "--json")
    assert 2 == done.returncode
    assert "the answers, which are sound; `keyfarer memory rebuild` mends it" in done.stderr
    assert 0 == keyfarer("memory", "rebuild").returncode
    assert json.loads(keyfarer("progress", "--json").stdout)["units"]


@pytest.mark.parametrize("command", ["rebuild", "export", "backup"])
def test_no_memory_yet(command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before the first drill there is nothing to look after; none is made by asking."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path))
    done = keyfarer("memory", command, *([] if command == "rebuild" else [str(tmp_path / "out")]))
    assert (2, "") == (done.returncode, done.stdout)
    assert "there is no" in done.stderr
    assert [] == os.listdir(tmp_path)
    assert "No memory yet" in keyfarer("memory", "check").stdout


COMMANDS = (
    ("memory", "check"), ("memory", "rebuild"), ("memory", "export", "-"), ("progress",), ("drill", "--plain"), (),
)  # fmt: skip


def test_a_read_only_home_is_told_by_every_command(home: Path) -> None:
    """Whatever needs the memory says that it can't be written, and what to do."""
    with read_only(home):
        for command in COMMANDS:
            done = keyfarer(*command)
            assert (2, "") == (done.returncode, done.stdout), command
            assert "memory.db can't be" in done.stderr
            assert "choose another" in done.stderr


def test_a_full_disk_is_told_by_every_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With no room left, what has to be written is told; what was logged is still there."""
    with small_disk(tmp_path / "disk", 3000) as disk:
        monkeypatch.setenv("KEYFARER_HOME", str(disk))
        with open_store(disk / "memory.db") as store:
            store.append_all([trial(timedelta(days=-400), unit=f"unit-{n}") for n in range(50)])
        (disk / "ballast").write_bytes(b"x" * (os.statvfs(disk).f_bavail * os.statvfs(disk).f_frsize))
        for command in (("memory", "rebuild"), ("progress",), ("memory", "backup", str(disk / "copy.db"))):
            done = keyfarer(*command)
            assert 2 == done.returncode, command
            assert "disk is full" in done.stderr
        done = keyfarer("memory", "export", str(disk / "out.jsonl"))
        assert 2 == done.returncode
        (disk / "ballast").unlink()
        assert {"memory.db"} == {name for name in os.listdir(disk) if not name.endswith(("-wal", "-shm"))}
        assert 0 == keyfarer("memory", "rebuild").returncode
        assert 50 == len(keyfarer("memory", "export", "-").stdout.splitlines()) - 1


def test_a_damaged_memory_is_told_and_restored(home: Path, tmp_path: Path) -> None:
    """A memory with torn pages is told by every command with the mend, and the mend mends it."""
    keyfarer("memory", "backup", str(tmp_path / "copy.db"))
    with (home / "memory.db").open("r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * 20_000)
    for command in COMMANDS:
        done = keyfarer(*command)
        assert done.returncode in (1, 2), command
        assert "is damaged" in done.stderr
        assert "memory restore" in done.stderr
    assert 0 == keyfarer("memory", "restore", str(tmp_path / "copy.db")).returncode
    assert 0 == keyfarer("memory", "check").returncode
