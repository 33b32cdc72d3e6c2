"""`keyfarer check`: what works, what doesn't and its mend; only broken settings or memory are serious."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.trainer.commands.commanding import keyfarer
from tests.trainer.memory.made import MONDAY, trial
from trainer.memory.store import newest_version, open_store

THINGS = ["settings", "store", "tunes", "terminal", "sound out", "sound in", "MIDI in"]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for all that is the player's."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path))
    return tmp_path


def findings(out: str) -> dict[str, str]:
    """What was said of each thing, lines joined."""
    found: dict[str, str] = {}
    thing = ""
    for line in out.splitlines():
        thing = line[:9].strip() or thing
        found[thing] = f"{found.get(thing, '')} {line[9:].strip()}".strip()
    return found


def test_everything_is_looked_at(home: Path) -> None:
    """Each thing has a line with ok or NOT; what doesn't work has its mend; missing sound is no failure."""
    done = keyfarer("check")
    assert (0, "") == (done.returncode, done.stderr)
    found = findings(done.stdout)
    assert THINGS == list(found)
    assert all(told.startswith(("ok ", "NOT ")) for told in found.values())
    assert all("mend: " in told for told in found.values() if told.startswith("NOT "))
    assert "all defaults" in found["settings"]
    assert "will be made at the first drill" in found["store"]
    assert [] == [path.name for path in home.iterdir()]
    assert all(len(line) <= 80 for line in done.stdout.splitlines() if str(home) not in line)


def test_a_store_is_opened_and_its_version_told(home: Path) -> None:
    """A store that is there is named with its version."""
    open_store(home / "memory.db").close()
    assert f"version {newest_version()}, can be written" in findings(keyfarer("check").stdout)["store"]


def test_answers_later_than_the_clock_are_told(home: Path) -> None:
    """When the clock was set back a day the store's line says so, and it stays ok."""
    with open_store(home / "memory.db") as store:
        store.append(trial(datetime.now(UTC) - MONDAY + timedelta(days=1)))
        store.refresh()
    told = findings(keyfarer("check").stdout)["store"]
    assert told.startswith("ok ")
    assert "24 h later than this computer's clock; set the clock if it is wrong" in told


def test_broken_settings_are_serious(home: Path) -> None:
    """Settings that can't be read give exit 1; all the rest is looked at as well."""
    (home / "settings.toml").write_text("minutes = ", encoding="utf-8")
    done = keyfarer("check")
    found = findings(done.stdout)
    assert 1 == done.returncode
    assert THINGS == list(found)
    assert found["settings"].startswith("NOT ")
    assert found["store"].startswith("ok ")


def test_a_broken_store_is_serious(home: Path) -> None:
    """A store that is none gives exit 1 and is left as it is."""
    (home / "memory.db").write_bytes(b"not a database at all" * 100)
    done = keyfarer("check")
    assert 1 == done.returncode
    assert "is not a keyfarer store" in findings(done.stdout)["store"]
    assert b"not a database at all" * 100 == (home / "memory.db").read_bytes()


def test_a_home_that_is_a_file_is_serious(tmp_path: Path) -> None:
    """Where the player's folder can't be made, the store is NOT ok, with a mend."""
    (tmp_path / "home").write_text("a file", encoding="utf-8")
    done = keyfarer("check", surroundings={"KEYFARER_HOME": str(tmp_path / "home")})
    assert 1 == done.returncode
    assert findings(done.stdout)["store"].startswith("NOT ")
    assert "mend: " in findings(done.stdout)["store"]


def test_a_broken_list_of_tunes_is_serious(home: Path) -> None:
    """Where the list of the player's tunes can't be read exit is 1; a chart that is gone is told and no failure."""
    (home / "tunes").mkdir()
    index = home / "tunes" / "index.json"
    index.write_text("{", encoding="utf-8")
    done = keyfarer("check")
    assert 1 == done.returncode
    assert findings(done.stdout)["tunes"].startswith("NOT ")
    assert "can't be read" in findings(done.stdout)["tunes"]
    tune = '{"id": "two-lamps", "title": "Two Lamps", "composer": "", "given_sha256": ""}'
    index.write_text(f'{{"schema": "keyfarer/kept-tunes/1", "tunes": [{tune}], "learning": []}}', encoding="utf-8")
    done = keyfarer("check")
    assert 0 == done.returncode
    assert "1 tune of your own" in findings(done.stdout)["tunes"]
    assert "1 can't be read; mend: `keyfarer tunes`" in findings(done.stdout)["tunes"]
