"""The settings screen: every setting with its value and meaning, changed in place and kept at once."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.doubles.sound import SoundTwin
from tests.trainer.screens.piloted import app_in, piloted, press, shown, typed, words
from trainer.practice.listening_level import CAUTION
from trainer.practice.sounding import Loudspeaker
from trainer.screens.all_settings import SettingsPage
from trainer.screens.level import LevelPage
from trainer.screens.widgets.value_list import CURSOR, ValueList, ValueRow
from trainer.settings import load
from trainer.settings_told import TOLD, default_of, stepped, told_allowed

NAMES = list(TOLD)


def keys_to(name: str) -> list[str]:
    """The keys that lead to a setting from today."""
    return ["e", *["down"] * NAMES.index(name)]


def test_every_setting_is_there_with_its_meaning(tmp_path: Path) -> None:
    """Going down meets each one: its name, its meaning, what it may be, and the name that the file has."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "e")
        assert isinstance(app.screen, SettingsPage)
        for name, row in TOLD.items():
            assert row.called in shown(app)
            if name not in ("volume_db", "level_set"):
                assert row.about.replace("`", "") in words(app)
                assert told_allowed(name)[1:] in words(app)
                assert f"Its name is {name}." in words(app)
            await pilot.press("down")
            await pilot.pause()

    piloted(app, play, size=(120, 40))


CHANGED = [row.name for row in TOLD.values() if row.stops and row.name not in ("level_set", "look")]


def test_each_is_changed_by_keys_and_kept_at_once(tmp_path: Path) -> None:
    """Right takes the next value and left the one before, wherever there are steps; the file has it at once."""
    app = app_in(tmp_path)
    app.doors.keep(volume_db=-20.0, minutes=20, room=0.5, a4_hz=440.0, wanted_recall=0.9)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "e")
        for name in NAMES:
            if name in CHANGED:
                before = getattr(app.doors.settings, name)
                await pilot.press("right")
                await pilot.pause()
                assert stepped(name, before, 1) == getattr(load(app.doors.settings_file), name)
                await pilot.press("left")
                await pilot.pause()
                assert before == getattr(load(app.doors.settings_file), name)
            await pilot.press("down")

    piloted(app, play)


def test_what_takes_effect_later_says_so(tmp_path: Path) -> None:
    """Plain lines come with the next start; it is said beside the setting, which is remembered."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, *keys_to("plain"), "enter")
        assert "It takes effect from the next start on." in words(app)
        assert load(app.doors.settings_file).plain

    piloted(app, play)


def test_what_can_be_at_once_is(tmp_path: Path) -> None:
    """The look is put on, the sound is tuned and turned, and due days are computed by the new rules."""
    twin = SoundTwin()
    speaker = Loudspeaker(lambda: twin, volume_db=-20.0)
    app = app_in(tmp_path, sound=speaker)
    app.doors.keep(volume_db=-20.0)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, *keys_to("look"), "right")
        assert ("paper", "paper") == (app.theme, load(app.doors.settings_file).look)
        await press(pilot, "escape", *keys_to("a4_hz"), "right")
        assert 441.0 == speaker.a4_hz
        await press(pilot, "escape", *keys_to("volume_db"), "left")
        assert -22.0 == speaker.volume_db
        await press(pilot, "escape", *keys_to("day_ends_hour"), "right")
        assert 5 == app.doors.store.settings.day_ends_hour

    piloted(app, play)


def test_the_cautions_stand_where_the_level_is_set(tmp_path: Path) -> None:
    """Beside level and whether it was set; a level that was not set is set on its own screen."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, *keys_to("volume_db"))
        assert CAUTION in words(app)
        await press(pilot, "down", "right")
        assert CAUTION in words(app)
        assert not load(app.doors.settings_file).level_set
        await press(pilot, "right")
        assert isinstance(app.screen, LevelPage)

    piloted(app, play)


def test_a_device_is_typed_and_refused_in_words(tmp_path: Path) -> None:
    """A name that isn't there leaves the sound where it was; one that is there is kept."""
    twin = SoundTwin()
    app = app_in(tmp_path, sound=Loudspeaker(lambda: twin))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, *keys_to("device"), "right")
        assert "S on the first screen" in words(app)
        await press(pilot, "enter")
        await typed(pilot, "nowhere")
        assert "To nowhere it can't go" in words(app)
        assert "" == load(app.doors.settings_file).device
        await press(pilot, "enter")
        await typed(pilot, "other twin")
        assert ("other twin", "other twin") == (load(app.doors.settings_file).device, twin.name)

    piloted(app, play)


@pytest.mark.parametrize("broken", ["minutes = ", "loudness = 11\n"])
def test_a_file_that_cannot_be_read_is_told_and_left(tmp_path: Path, broken: str) -> None:
    """Where the file was broken meanwhile, a change is refused in words and the file stays as it is."""
    app = app_in(tmp_path)
    app.doors.settings_file.write_text(broken, encoding="utf-8")

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "e", "right")
        assert "Nothing was changed." in words(app)
        assert default_of("minutes") == app.doors.settings.minutes
        assert broken == app.doors.settings_file.read_text(encoding="utf-8")

    piloted(app, play)


@pytest.mark.parametrize(
    "size", [(80, 24), *(pytest.param(size, marks=pytest.mark.long) for size in ((120, 40), (200, 60)))]
)
def test_the_setting_under_the_cursor_is_always_seen(tmp_path: Path, size: tuple[int, int]) -> None:
    """All the way down and up its line stands on the screen, with what it means beneath."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "e")
        values, body = app.screen.query_one(ValueList), app.screen.query_one("#body")
        for key in ("down",) * len(NAMES) + ("up",) * len(NAMES):
            await pilot.press(key)
            await pilot.pause()
            line = values.region.y + values.line_of(values.cursor)
            assert body.region.y <= line < body.region.bottom
            assert CURSOR in values.lines(74)[values.line_of(values.cursor)].plain

    piloted(app, play, size=size)


@pytest.mark.parametrize("width", [30, 40, 74, 116, 160])
def test_rows_fit_and_what_they_mean_stands_where_there_is_room(width: int) -> None:
    """No line is wider; names and values stand in columns, the meaning behind them from a hundred cells on."""
    values = ValueList()
    values.rows = (
        ValueRow("one", "the first", "a value", "What it means.", "A group"),
        ValueRow("two", "second", "a value that is far longer than any that fits here, for sure", "More.", "Another"),
    )
    values.cursor = 1
    lines = [line.plain for line in values.lines(width)]
    assert max(map(len, lines)) <= width
    named = ["A group", "the first", "", "Another", "second"]
    assert named == [line.strip(" ›")[: len(name)] for line, name in zip(lines, named, strict=True)]
    assert (width >= 100) == ("What it means." in lines[1])
    assert values.line_of(1) == 4
    assert CURSOR in lines[4]
