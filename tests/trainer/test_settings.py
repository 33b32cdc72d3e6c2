"""The settings' file: read with every fault, written so that it reads back, never overwritten when broken."""

import os
from dataclasses import fields, replace
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from synth.room import DEFAULT_AMOUNT
from trainer.settings import (
    BASS_FEELS,
    COMPINGS,
    INSTRUMENTS,
    LOOKS,
    NUMERALS,
    PLAYED_STYLES,
    RULES,
    TIME_KEEPERS,
    Settings,
    SettingsError,
    load,
    read_settings,
    save,
    settings_text,
)
from trainer.voicing.patterns import BassFeel, Comping, TimeKeeping
from trainer.voicing.styles import Style

ANY_SETTINGS = st.builds(
    Settings,
    minutes=st.integers(1, 180),
    wanted_recall=st.floats(0.7, 0.97),
    day_ends_hour=st.integers(0, 12),
    a4_hz=st.floats(415.0, 466.0),
    volume_db=st.floats(-40.0, 0.0),
    device=st.text(st.characters(codec="utf-8")),
    plain=st.booleans(),
    level_set=st.booleans(),
    look=st.sampled_from(LOOKS),
    instrument=st.sampled_from(INSTRUMENTS),
    numerals=st.sampled_from(NUMERALS),
    room=st.floats(0.0, 1.0),
    style=st.sampled_from(PLAYED_STYLES),
    comping=st.sampled_from(("", *COMPINGS)),
    bass=st.sampled_from(BASS_FEELS),
    time=st.sampled_from(("", *TIME_KEEPERS)),
    hands=st.booleans(),
    ratio=st.just(0.0) | st.floats(1.0, 3.0),
)


@given(ANY_SETTINGS)
def test_what_is_written_reads_back(settings: Settings) -> None:
    """Any settings, a device's name with quotes, line ends and control signs among them, survive the file's text."""
    assert settings == read_settings(settings_text(settings), "settings.toml")


def test_every_setting_has_its_rule_and_its_default_keeps_it() -> None:
    """The rules name the fields, in order, and allow each default."""
    assert [field.name for field in fields(Settings)] == [rule.name for rule in RULES]
    assert all(rule.allowed(getattr(Settings(), rule.name)) for rule in RULES)


def test_the_words_for_tunes_are_the_players() -> None:
    """Each table of words holds what can be played, and the room is the synthesizer's own where none is set."""
    assert {*PLAYED_STYLES, "guide-tones"} == set(get_args(Style))
    assert set(COMPINGS) == set(get_args(Comping))
    assert set(BASS_FEELS) == set(get_args(BassFeel))
    assert set(TIME_KEEPERS) == set(get_args(TimeKeeping))
    assert DEFAULT_AMOUNT == Settings().room


@pytest.mark.parametrize(
    "text",
    [
        "minutes = 0", "minutes = 181", "minutes = 10.0", "minutes = true", 'minutes = "10"', "minutes = [10]",
        "wanted_recall = 0.69", "wanted_recall = 0.98", "wanted_recall = nan", "day_ends_hour = 13",
        "day_ends_hour = -1", "a4_hz = 414.9", "a4_hz = inf", "volume_db = 0.1", "volume_db = -41", "device = 3",
        'plain = "yes"', "plain = 1", "[plain]", "level_set = 0",
        "room = 1.1", "room = -0.1", 'room = "hall"', 'style = "guide-tones"', 'comping = "swing"', "comping = false",
        'bass = ""', 'time = "drums"', "hands = 1", "ratio = 0.5", "ratio = 3.1", "ratio = true",
        'instrument = "D"', "instrument = 2", 'numerals = "greek"', "numerals = true",
    ],
)  # fmt: skip
def test_a_value_out_of_its_range_is_told(text: str) -> None:
    """A value that is too large, too small or of another kind is named with what is expected."""
    with pytest.raises(SettingsError, match=r"settings\.toml: \w+ is .*; expected "):
        read_settings(text, "settings.toml")


@pytest.mark.parametrize("text", ["minutes = 180", "wanted_recall = 0.7", "a4_hz = 415", "room = 1", "ratio = 0"])
def test_the_edges_of_a_range_are_allowed(text: str) -> None:
    """The largest and smallest values are taken, whole numbers for fractions too."""
    name = text.partition("=")[0].strip()
    value = getattr(read_settings(text, "settings.toml"), name)
    assert type(getattr(Settings(), name)) is type(value)


def test_all_faults_are_told_at_once() -> None:
    """Two wrong values and a name that doesn't exist are three lines, and a last one that nothing was changed."""
    with pytest.raises(SettingsError, match="Nothing was changed") as told:
        read_settings("minutes = 0\nplain = 2\nloudness = 11\n", "settings.toml")
    assert 4 == len(str(told.value).splitlines())
    assert "there is no setting 'loudness'; there are minutes, " in str(told.value)


def test_no_file_is_all_defaults(tmp_path: Path) -> None:
    """Where nothing was set the defaults count, and no file is made."""
    assert Settings() == load(tmp_path / "settings.toml")
    assert [] == list(tmp_path.iterdir())


def test_saving_changes_what_it_is_told_and_keeps_the_rest(tmp_path: Path) -> None:
    """A change is added to what the file says; a value set back to its default leaves the file."""
    file = tmp_path / "deep" / "settings.toml"
    save(file, minutes=20)
    save(file, device='the "good" one')
    assert Settings(minutes=20, device='the "good" one') == load(file)
    save(file, minutes=10)
    assert "minutes" not in file.read_text(encoding="utf-8")
    assert ["settings.toml"] == [path.name for path in file.parent.iterdir()]


@pytest.mark.parametrize("broken", [b"minutes = ", b"minutes = 0\n", b"\xff\xfe", b"loudness = 11\n"])
def test_a_broken_file_is_never_overwritten(tmp_path: Path, broken: bytes) -> None:
    """Saving into a file that can't be read raises and leaves it as it is."""
    file = tmp_path / "settings.toml"
    file.write_bytes(broken)
    with pytest.raises(SettingsError, match="Nothing was changed"):
        save(file, minutes=20)
    assert broken == file.read_bytes()
    assert ["settings.toml"] == [path.name for path in tmp_path.iterdir()]


def test_a_value_that_is_not_allowed_is_not_saved(tmp_path: Path) -> None:
    """Saving checks what it is given."""
    with pytest.raises(SettingsError, match="minutes is 500"):
        save(tmp_path / "settings.toml", minutes=500)
    assert [] == list(tmp_path.iterdir())


def test_a_folder_in_the_files_place_is_told(tmp_path: Path) -> None:
    """A folder of that name can't be read, and is said to be so."""
    with pytest.raises(SettingsError, match="can't be read"):
        load(tmp_path)


@pytest.mark.skipif(os.name == "nt", reason="needs a file in a folder's place to be refused")
def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """Where the folder can't be made, saving says so."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(SettingsError, match="can't be"):
        save(tmp_path / "file" / "settings.toml", minutes=20)


def test_settings_are_values() -> None:
    """Settings are compared by what they say and can't be changed in place."""
    assert replace(Settings(), minutes=11) != Settings()
    with pytest.raises(AttributeError):
        Settings().minutes = 12  # type: ignore[misc]
