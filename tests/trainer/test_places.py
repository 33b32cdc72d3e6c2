"""Where the player's things are."""

import sys
from pathlib import Path

import pytest

from trainer import places

PLACES = {
    places.settings_file: "settings.toml",
    places.memory_file: "memory.db",
    places.log_file: "keyfarer.log",
    places.silent_sound_folder: "sound",
    places.tunes_folder: "tunes",
    places.tune_facts_file: "tune-facts.json",
}


def test_one_folder_holds_everything_where_the_player_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """KEYFARER_HOME puts settings, memory, tunes, log and unheard sound under one folder; nothing is made yet."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path / "all"))
    assert {tmp_path / "all" / name for name in PLACES.values()} == {place() for place in PLACES}
    assert not (tmp_path / "all").exists()


def test_a_tilde_is_the_players_home(monkeypatch: pytest.MonkeyPatch) -> None:
    """KEYFARER_HOME may begin with a tilde."""
    monkeypatch.setenv("KEYFARER_HOME", "~/music")
    assert Path.home() / "music" / "memory.db" == places.memory_file()


def test_an_empty_home_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty KEYFARER_HOME counts as not set."""
    monkeypatch.setenv("KEYFARER_HOME", "")
    assert "keyfarer" in places.memory_file().parts


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the folders are Linux's")
def test_the_platforms_own_folders_are_used(user_home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On Linux they are those of the XDG Base Directory Specification 0.8."""
    monkeypatch.delenv("KEYFARER_HOME", raising=False)
    assert user_home / "config" / "keyfarer" / "settings.toml" == places.settings_file()
    assert user_home / "data" / "keyfarer" / "memory.db" == places.memory_file()
    assert user_home / "state" / "keyfarer" / "keyfarer.log" == places.log_file()
    assert user_home / "cache" / "keyfarer" / "sound" == places.silent_sound_folder()
    assert user_home / "data" / "keyfarer" / "tunes" == places.tunes_folder()
    assert user_home / "cache" / "keyfarer" / "tune-facts.json" == places.tune_facts_file()
