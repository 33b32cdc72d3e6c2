"""Sound: the device, the level, how tunes sound, a meter of what is sent out, and one of the microphone.

Looking for devices, moving to one, the sample and the microphone are asked for beside the event loop, one after the
other. The microphone is opened by its key alone and closed with this screen; nothing that it hears is kept.
"""

from collections.abc import Sequence
from typing import ClassVar

from textual import events, work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.practice.listening_level import HIGHEST_DB, step_of
from trainer.practice.sounding import Loudspeaker
from trainer.screens.actions import SOUND, bindings_on
from trainer.screens.adjusting import DEVICE, LEVEL_ROWS, AdjustPage, one_line
from trainer.screens.widgets.level_meter import FULL, REST
from trainer.screens.widgets.sound_meters import SoundMeters
from trainer.settings_told import SOUND as SOUND_GROUP
from trainer.settings_told import TOLD, TUNES, told_value

OWN = ""
"""The setting that takes the system's own device."""


class SoundPage(AdjustPage):
    """All about the sound."""

    NAME = SOUND
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(SOUND)
    SHOWN = tuple(row for row in TOLD.values() if row.group in (SOUND_GROUP, TUNES) and row.name != "level_set")

    DEFAULT_CSS = """
    SoundPage #meters { margin: 1 0 0 2; }
    """

    class Found(Message):
        """The devices are known, or can't be."""

        def __init__(self, names: Sequence[str] | None, error: str = "") -> None:
            super().__init__()
            self.names = names
            self.error = error

    class Begun(Message):
        """The sample sounds, or couldn't."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self) -> None:
        super().__init__()
        self.devices: tuple[str, ...] = ()
        self.known = False
        """The devices have been looked for."""
        self.at = OWN
        """The device that left and right go on from: the one tried last, used or not."""
        self.sounds = False
        """The sample was begun and not stopped."""

    def body(self) -> list[Widget]:
        """The settings, then the meters."""
        names = max(len(row.called) for row in self.SHOWN)
        return [*super().body(), SoundMeters(names, id="meters")]

    def begin(self) -> None:
        """Show all, and look for devices."""
        doors = self.keyfarer.doors
        self.at = doors.settings.device
        super().begin()
        self.tell_device()
        self.meters.begin(doors, self.one_by_one)
        self.look()

    def with_headings(self) -> bool:
        """Two short groups need no names."""
        return False

    @property
    def meters(self) -> SoundMeters:
        """The meters."""
        return self.query_one(SoundMeters)

    # The device.

    @property
    def speaker(self) -> Loudspeaker | None:
        """What is played through, where it is a real one."""
        sounding = self.keyfarer.doors.sounding
        return sounding if isinstance(sounding, Loudspeaker) else None

    def nothing_open(self) -> bool:
        """Whether devices may be looked for anew without ending a sound."""
        speaker = self.speaker
        return (speaker is None or speaker.device is None) and not self.meters.listens

    @work(thread=True, group="devices")
    def look(self, let_go: bool = False) -> None:
        """Look which devices there are; new ones are seen only where nothing is open, or is let go of."""
        if let_go:
            self.meters.end()
        try:
            with self.one_by_one:
                if let_go and self.speaker is not None:
                    self.speaker.close()  # the next sound opens it again
                self.post_message(self.Found(self.keyfarer.doors.devices(self.nothing_open())))
        except SoundError as error:
            self.post_message(self.Found(None, one_line(error)))

    def on_sound_page_found(self, message: Found) -> None:
        """Show them."""
        self.known, self.devices = True, tuple(message.names or ())
        if message.error:
            self.refused(f"Devices can't be looked for: {message.error}")
        self.tell_device()
        self.show_values()

    def choices(self) -> tuple[str, ...]:
        """The system's own device, one that was chosen and isn't there, and those there are."""
        chosen = self.keyfarer.doors.settings.device
        missing = (chosen,) if chosen and chosen not in self.devices else ()
        return (OWN, *missing, *self.devices)

    def told_here(self, name: str) -> str:
        """A value as it is shown: of the level also as a bar, of the device also whether it is there."""
        level_db = self.value_of(name) if name == "volume_db" and self.keyfarer.doors.settings.level_set else None
        if isinstance(level_db, float):
            steps, whole = step_of(level_db), step_of(HIGHEST_DB)
            return f"{super().told_here(name)}   {FULL * steps}{REST * (whole - steps)}"
        if name != DEVICE:
            return super().told_here(name)
        if self.wanted is not None:
            return super().told_here(name)
        chosen = self.keyfarer.doors.settings.device
        gone = self.known and chosen and chosen not in self.devices
        return f"{told_value(DEVICE, chosen)}{', not there now' if gone else ''}"

    def tell_setting(self) -> None:
        """Of the device also which there are."""
        super().tell_setting()
        if self.name_here == DEVICE:
            there = ", ".join(told_value(DEVICE, choice) for choice in (OWN, *self.devices))
            again = self.keyed("{look} looks again.")
            self.say("allowed", f"There are: {there}. {again}" if self.known else "Looking for devices.")

    def device_tried(self, device: str) -> None:
        """Say where the sound goes now."""
        self.at = device
        self.tell_device()

    def tell_device(self) -> None:
        """Say at the top where the sound goes, and while the microphone is open that it is."""
        speaker = self.speaker
        name = None if speaker is None else speaker.device
        told = f"through {name}" if name else "nothing has sounded yet"
        self.headline("Sound", f"{told}, microphone open" if self.meters.listens else told)

    def step(self, name: str, by: int) -> None:
        """Of devices the next one is tried at once."""
        if name != DEVICE:
            super().step(name, by)
            return
        choices = self.choices()
        at = choices.index(self.at) if self.at in choices else 0
        self.at = choices[(at + by) % len(choices)]
        self.change(DEVICE, self.at)

    def action_look(self) -> None:
        """Look again, for devices that came or went."""
        if self.wanted is None:
            self.hush()
            self.known = False
            self.show_values()
            self.look(let_go=True)

    # The sample.

    def changed(self, name: str) -> None:
        """How tunes sound is heard at once where the sample sounds; the level has no need of that."""
        super().changed(name)
        if name not in LEVEL_ROWS and self.sounding_now():
            self.play()

    def sounding_now(self) -> bool:
        """Whether the sample sounds."""
        return self.sounds and (self.speaker is None or self.speaker.playhead_s is not None)

    def action_hear(self) -> None:
        """Hear the sample, or stop it. Before the level was set it is set."""
        if self.sounding_now():
            self.hush()
        elif self.keyfarer.doors.settings.level_set:
            self.play()
        else:
            self.set_level()

    def play(self) -> None:
        """Let the sample begin, as all is set by the time it does."""
        self.sounds = True
        if not any(worker.group == "sample" and worker.is_running for worker in self.workers):
            self.sample()

    @work(thread=True, group="sample")
    def sample(self) -> None:
        """Perform and begin to play."""
        from trainer.practice.tone_sample import tone_sample

        doors = self.keyfarer.doors
        try:
            with self.one_by_one:
                settings = doors.settings
                while True:
                    doors.sounding.play_tune(tone_sample(settings), settings.room)
                    if doors.settings is settings or not self.sounds:
                        break
                    settings = doors.settings  # changed meanwhile
                if not self.sounds:
                    doors.sounding.stop()
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(self.Begun(one_line(error)))
        else:
            remark = doors.sounding.remark
            self.post_message(self.Begun(f"Sound: {remark}" if remark else ""))

    def on_sound_page_begun(self, message: Begun) -> None:
        """Say what is to be known about the sound."""
        self.tell_device()
        if message.words:
            self.refused(message.words)

    def hush(self) -> None:
        """Let the sample fall silent."""
        if self.sounds:
            self.sounds = False
            self.keyfarer.doors.sounding.stop()

    # The meters.

    def on_sound_meters_told(self, message: SoundMeters.Told) -> None:
        """What is to be known about the microphone."""
        self.refused(message.words)
        self.tell_device()

    def action_microphone(self) -> None:
        """Open the microphone, or close it."""
        self.meters.toggle()

    def on_screen_suspend(self, event: events.ScreenSuspend) -> None:
        """Nothing listens while another screen stands."""
        self.meters.close()

    def leave_here(self) -> None:
        """Silence, and nothing listens."""
        self.hush()
        self.meters.close()
