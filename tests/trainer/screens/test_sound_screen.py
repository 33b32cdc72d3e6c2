"""The sound screen: devices, level, how tunes sound, and the meters; driven by its keys over twins."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot

from synth.errors import SoundError
from tests.doubles.microphone import MicrophoneTwin
from tests.doubles.sound import SoundTwin
from tests.trainer.practice.practising import Remembering
from tests.trainer.screens.piloted import app_in, piloted, press, settled, shown, typed, words, written
from trainer.practice.listening_level import CAUTION
from trainer.practice.sounding import Loudspeaker
from trainer.screens.app import KeyfarerApp
from trainer.screens.help import HelpPage
from trainer.screens.level import LevelPage
from trainer.screens.sound import SoundPage
from trainer.screens.today import TodayPage
from trainer.screens.widgets.level_meter import FULL, REST, Level, LevelMeter, bar
from trainer.settings import load

HALF = (0.5 * np.sin(2 * np.pi * np.arange(4800) / 48)).astype(np.float32)
"""A sine of amplitude 0.5: -9.03 dBFS (closed form)."""


def row_of(app: KeyfarerApp, called: str) -> str:
    """What stands behind a name on the screen."""
    line = next(line for line in shown(app).splitlines() if line.strip(" ›").startswith(called))
    return line.strip(" ›").removeprefix(called).strip()


def speaker_over(twin: SoundTwin) -> Loudspeaker:
    """A way out over a twin that makes its sound at once."""
    return Loudspeaker(lambda: twin, volume_db=-20.0)


def test_devices_are_chosen_in_place(tmp_path: Path) -> None:
    """Right takes the next device: the sound goes there and the choice is kept; at the end it comes round."""
    twin = SoundTwin()
    app = app_in(tmp_path, sound=speaker_over(twin))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s")
        assert isinstance(app.screen, SoundPage)
        assert "the system's own" == row_of(app, "sound device")
        assert "There are: the system's own, twin, other twin." in words(app)
        assert "nothing has sounded yet" in words(app)
        await press(pilot, "right", "right")
        assert "other twin" == row_of(app, "sound device")
        assert "through other twin" in words(app)
        assert ("other twin", "other twin") == (twin.name, load(app.doors.settings_file).device)
        await press(pilot, "right")
        assert ("twin", "") == (twin.name, load(app.doors.settings_file).device)

    piloted(app, play)


def test_a_device_that_cannot_be_opened_is_told_and_the_old_one_stays(tmp_path: Path) -> None:
    """The reason stands beneath, nothing is kept, and the next key goes on from there."""
    twin = SoundTwin()
    app = app_in(tmp_path, sound=speaker_over(twin), devices=lambda anew: ("broken", "other twin"))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s", "right")
        assert "The sound stays where it was, the system's own. To broken it can't go: " in words(app)
        assert "No output device matching 'broken'; mend: plug it in" in words(app)
        assert "the system's own" == row_of(app, "sound device")
        assert ("twin", "") == (twin.name, load(app.doors.settings_file).device)
        await press(pilot, "right")
        assert "other twin" == load(app.doors.settings_file).device
        assert "can't go" not in words(app)

    piloted(app, play)


def test_a_device_that_is_gone_is_told(tmp_path: Path) -> None:
    """One that was chosen and isn't there is named so; R looks again, lets go of the device, and finds it."""
    twin = SoundTwin()
    there: list[Sequence[str]] = [("twin",), ("twin", "other twin")]
    asked: list[bool] = []

    def devices(anew: bool) -> Sequence[str]:
        asked.append(anew)
        return there.pop(0)

    app = app_in(tmp_path, sound=speaker_over(twin), devices=devices)
    app.doors.keep(device="other twin")

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s")
        assert "other twin, not there now" == row_of(app, "sound device")
        app.doors.sounding.move("twin")  # type: ignore[attr-defined]
        await press(pilot, "r")
        assert "other twin" == row_of(app, "sound device")
        assert ([True, True], True) == (asked, twin.closed)

    piloted(app, play)


def test_devices_that_cannot_be_looked_for_are_told(tmp_path: Path) -> None:
    """The mend is told, and the rest of the screen works."""

    def none(anew: bool) -> Sequence[str]:
        raise SoundError("PortAudio can't be loaded; mend: install it")

    app = app_in(tmp_path, devices=none)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s")
        assert "Devices can't be looked for: PortAudio can't be loaded; mend: install it" in words(app)
        await press(pilot, "down", "down", "right")
        assert 441.0 == load(app.doors.settings_file).a4_hz

    piloted(app, play)


def test_the_level_goes_by_the_same_steps_with_the_cautions(tmp_path: Path) -> None:
    """Left and right turn the sound by the steps of the level screen; there the cautions stand, and Enter opens it."""
    twin = SoundTwin()
    app = app_in(tmp_path, sound=speaker_over(twin))
    app.doors.keep(volume_db=-20.0)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s", "down")
        assert f"Level 10 of 20   {FULL * 10}{REST * 10}" == row_of(app, "level")
        assert CAUTION in words(app)
        assert "no louder than quiet talk" in words(app)
        await press(pilot, "left", "left")
        assert -24.0 == load(app.doors.settings_file).volume_db == app.doors.sounding.volume_db  # type: ignore[attr-defined]
        assert row_of(app, "level").startswith("Level 8 of 20")
        await press(pilot, "enter")
        assert isinstance(app.screen, LevelPage)
        await press(pilot, "up", "enter")
        assert row_of(app, "level").startswith("Level 9 of 20")

    piloted(app, play)


@pytest.mark.parametrize("keys", [("down", "right"), ("down", "left"), ("down", "enter"), ("space",)])
def test_before_the_level_was_set_it_is_set_first(tmp_path: Path, keys: tuple[str, ...]) -> None:
    """Neither turning it up nor the sample makes a sound before: both lead to the level's own screen."""
    sound = Remembering()
    app = app_in(tmp_path, sound=sound, level_set=False)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s", *keys)
        assert isinstance(app.screen, LevelPage)
        assert [] == sound.tunes
        assert not load(app.doors.settings_file).level_set

    piloted(app, play)


def test_the_sample_sounds_as_it_is_set(tmp_path: Path) -> None:
    """Space plays it, a change is heard at once, Space again and leaving are silent."""
    sound = Remembering()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s", *["down"] * 4, "right")
        assert [] == sound.tunes
        await press(pilot, "space")
        assert 1 == len(sound.tunes)
        await press(pilot, "right")
        assert 2 == len(sound.tunes)
        assert sound.tunes[0].score != sound.tunes[1].score
        assert "shells" == load(app.doors.settings_file).style
        await press(pilot, "space")
        assert (2, 1) == (len(sound.tunes), sound.stopped)
        await press(pilot, "space", "escape")
        assert (3, 2) == (len(sound.tunes), sound.stopped)
        assert isinstance(app.screen, TodayPage)

    piloted(app, play)


def test_the_meter_shows_what_is_sent_out(tmp_path: Path) -> None:
    """While the sample sounds loudness and peak stand beside their bars; before, there is silence."""
    twin = SoundTwin(hangs=True)
    app = app_in(tmp_path, sound=speaker_over(twin))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s")
        assert ["silence", "silence"] == [row_of(app, name).strip(REST).strip() for name in ("loudness", "peak")]
        await press(pilot, "space")
        for _ in range(100):
            await pilot.pause(0.05)
            if "LUFS" in shown(app):
                break
        assert FULL in row_of(app, "loudness")
        lufs = float(row_of(app, "loudness").split()[-2])
        assert -50.0 < lufs < -30.0
        assert row_of(app, "peak").endswith("dBTP")
        await press(pilot, "space")

    piloted(app, play)


def test_the_microphone_is_opened_by_its_key_alone(tmp_path: Path) -> None:
    """M opens it, says so and that nothing is kept, and shows its level; M again closes it."""
    twins: list[MicrophoneTwin] = []

    def opened() -> MicrophoneTwin:
        twins.append(MicrophoneTwin(heard=HALF))
        return twins[-1]

    app = app_in(tmp_path, microphone=opened)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s")
        assert [] == twins
        assert "closed. M opens it; nothing is recorded or kept" == row_of(app, "microphone")
        await press(pilot, "m")
        assert "The microphone is open: twin's ear. Nothing is recorded or kept; M closes it." in words(app)
        assert row_of(app, "microphone").endswith("-9 dBFS")
        assert "nothing has sounded yet, microphone open" in words(app)
        await press(pilot, "m")
        assert (1, 1) == (len(twins), twins[0].closed)
        assert "closed." in row_of(app, "microphone")
        assert "microphone open" not in words(app)
        await press(pilot, "m")
        assert (2, True) == (len(twins), twins[1].open)
        twins[1].open = False
        await pilot.pause(0.5)
        await settled(pilot)
        assert "The microphone went away." in words(app)
        assert 1 == twins[1].closed

    piloted(app, play)


@pytest.mark.parametrize("key", ["escape", "f1", "q"])
def test_leaving_closes_the_microphone(tmp_path: Path, key: str) -> None:
    """Going back, opening the help and leaving the program close it."""
    twin = MicrophoneTwin()
    app = app_in(tmp_path, microphone=lambda: twin)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s", "m")
        assert twin.open
        await press(pilot, key)
        for _ in range(100):
            if twin.closed:
                break
            await pilot.pause(0.02)
        assert (False, 1) == (twin.open, twin.closed)
        assert {"escape": TodayPage, "f1": HelpPage}.get(key, SoundPage) is type(app.screen)

    piloted(app, play)


def test_a_microphone_that_cannot_be_opened_is_told(tmp_path: Path) -> None:
    """The reason stands beneath, and the meter says that it is closed."""

    def none() -> MicrophoneTwin:
        raise SoundError("no microphone (no such device); mend: plug one in")

    app = app_in(tmp_path, microphone=none)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s", "m")
        assert "The microphone can't be opened: no microphone (no such device); mend: plug one in" in words(app)
        assert "closed." in row_of(app, "microphone")

    piloted(app, play)


def test_a_value_is_typed_in_place(tmp_path: Path) -> None:
    """Enter opens a line with the value as it is; what isn't allowed is told and nothing saved; Esc leaves it."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "s", "down", "down", "enter", *["backspace"] * 3)
        await typed(pilot, "squeak")
        assert "tuning note (a4_hz): 'squeak' isn't allowed; expected a frequency from 415 to 466." in words(app)
        assert 440.0 == load(app.doors.settings_file).a4_hz
        await press(pilot, *["backspace"] * 6)
        await typed(pilot, "441.5")
        assert "441.5 Hz" == row_of(app, "tuning note")
        await press(pilot, "right")
        assert 442.0 == load(app.doors.settings_file).a4_hz
        await press(pilot, "enter")
        await written(pilot, "9")
        await press(pilot, "escape")
        assert isinstance(app.screen, SoundPage)
        assert "442 Hz" == row_of(app, "tuning note")

    piloted(app, play)


@pytest.mark.parametrize(
    ("db", "expected"),
    [(0.0, FULL * 20), (-30.0, FULL * 10 + REST * 10), (-60.0, REST * 20), (-200.0, REST * 20), (3.0, FULL * 20)],
)
def test_a_bar_is_as_long_as_its_level(db: float, expected: str) -> None:
    """From -60 dB to full scale evenly, and at its ends beyond."""
    assert expected == bar(db, 20)


@pytest.mark.parametrize("width", [30, 40, 74, 116, 160])
def test_meters_fit_and_have_their_number_beside(width: int) -> None:
    """At any width, no line wider, the number whole."""
    meter = LevelMeter()
    meter.levels = (Level("loudness", -20.4, "LUFS"), Level("microphone", float("-inf"), "dBFS"))
    first, second = (line.plain for line in meter.lines(width))
    assert max(len(first), len(second)) <= width
    assert (True, True) == (first.endswith("-20 LUFS"), second.endswith("silence"))
