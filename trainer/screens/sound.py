"""Sound: the device, the level, how tunes sound, a meter of what is sent out, and one of the microphone.

Looking for devices, moving to one, the sample and the microphone are asked for beside the event loop, one after the
other. The microphone is opened by its key alone and closed with this screen; nothing that it hears is kept.
"""

from collections.abc import Sequence
from threading import Lock
from typing import ClassVar

from textual import events, work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.practice.hearing import Hearing
from trainer.practice.sent_out import SILENCE, SentOut, sent_out
from trainer.practice.sounding import Loudspeaker
from trainer.screens.actions import SOUND, bindings_on
from trainer.screens.adjusting import LEVEL_ROWS, AdjustPage
from trainer.screens.listening import TICK_S
from trainer.screens.widgets.level_meter import Level, LevelMeter
from trainer.settings import Value
from trainer.settings_told import SOUND as SOUND_GROUP
from trainer.settings_told import TOLD, TUNES, told_value

DEVICE = "device"
OWN = ""
"""The setting that takes the system's own device."""
MIC_OFF = "closed. M opens it; nothing is recorded or kept"
MIC_OPENS = "opening"


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

    class Tried(Message):
        """A device was opened, or couldn't be."""

        def __init__(self, device: str, error: str = "") -> None:
            super().__init__()
            self.device = device
            self.error = error

    class Begun(Message):
        """The sample sounds, or couldn't."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    class Measured(Message):
        """How loud that is which is sent out."""

        def __init__(self, level: SentOut) -> None:
            super().__init__()
            self.level = level

    class Heard(Message):
        """The microphone is open, or couldn't be."""

        def __init__(self, error: str = "") -> None:
            super().__init__()
            self.error = error

    def __init__(self) -> None:
        super().__init__()
        self.devices: tuple[str, ...] = ()
        self.known = False
        """The devices have been looked for."""
        self.wanted: str | None = None
        """The device that is being gone to."""
        self.at = OWN
        """The device that left and right go on from: the one tried last, used or not."""
        self.level = SILENCE
        self.sounds = False
        """The sample was begun and not stopped."""
        self.one_by_one = Lock()
        """Held by whoever opens or closes sound."""
        self.hearing: Hearing | None = None

    def body(self) -> list[Widget]:
        """The settings, then the meters."""
        return [*super().body(), LevelMeter(id="meters")]

    def begin(self) -> None:
        """Show all, and look for devices."""
        doors = self.keyfarer.doors
        self.hearing, self.at = Hearing(doors.microphone), doors.settings.device
        super().begin()
        self.tell_device()
        self.show_meters()
        self.look(self.nothing_open())
        self.set_interval(TICK_S, self.follow)

    def with_headings(self) -> bool:
        """Two short groups need no names."""
        return False

    # The device.

    @property
    def speaker(self) -> Loudspeaker | None:
        """What is played through, where it is a real one."""
        sounding = self.keyfarer.doors.sounding
        return sounding if isinstance(sounding, Loudspeaker) else None

    def nothing_open(self) -> bool:
        """Whether devices may be looked for anew without ending a sound."""
        speaker = self.speaker
        return (speaker is None or speaker.device is None) and not (self.hearing and self.hearing.wanted)

    @work(thread=True, group="devices")
    def look(self, anew: bool) -> None:
        """Look which devices there are."""
        try:
            with self.one_by_one:
                self.post_message(self.Found(self.keyfarer.doors.devices(anew)))
        except SoundError as error:
            self.post_message(self.Found(None, one_line(error)))

    def on_sound_page_found(self, message: Found) -> None:
        """Show them."""
        self.known, self.devices = True, tuple(message.names or ())
        if message.error:
            self.refused(f"Devices can't be looked for: {message.error}")
        self.show_values()

    def choices(self) -> tuple[str, ...]:
        """The system's own device, one that was chosen and isn't there, and those there are."""
        chosen = self.keyfarer.doors.settings.device
        missing = (chosen,) if chosen and chosen not in self.devices else ()
        return (OWN, *missing, *self.devices)

    def told_here(self, name: str) -> str:
        """A value as it is shown: of the device also whether it is there."""
        if name != DEVICE:
            return super().told_here(name)
        if self.wanted is not None:
            return f"{told_value(DEVICE, self.wanted)}: opening"
        chosen = self.keyfarer.doors.settings.device
        gone = self.known and chosen and chosen not in self.devices
        return f"{told_value(DEVICE, chosen)}{', not there now' if gone else ''}"

    def tell_setting(self) -> None:
        """Of the device also which there are."""
        super().tell_setting()
        if self.name_here == DEVICE:
            there = ", ".join(told_value(DEVICE, choice) for choice in (OWN, *self.devices))
            self.say("allowed", f"There are: {there}. R looks again." if self.known else "Looking for devices.")

    def tell_device(self) -> None:
        """Say at the top where the sound goes."""
        speaker = self.speaker
        name = None if speaker is None else speaker.device
        self.headline("Sound", f"through {name}" if name else "nothing has sounded yet")

    def step(self, name: str, by: int) -> None:
        """Of devices the next one is tried at once."""
        if name != DEVICE:
            super().step(name, by)
            return
        choices = self.choices()
        at = choices.index(self.at) if self.at in choices else 0
        self.change(DEVICE, choices[(at + by) % len(choices)])

    def change(self, name: str, value: Value) -> None:
        """A device is gone to beside the event loop; the last one asked for counts."""
        if name != DEVICE:
            super().change(name, value)
            return
        idle = self.wanted is None
        self.wanted = self.at = str(value)
        self.say("told", "")
        self.show_values()
        if idle:
            self.go_to(self.wanted)

    @work(thread=True, group="devices")
    def go_to(self, device: str) -> None:
        """Go to a device."""
        try:
            with self.one_by_one:
                self.keyfarer.doors.change(DEVICE, device)
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(self.Tried(device, one_line(error)))
        else:
            self.post_message(self.Tried(device))

    def on_sound_page_tried(self, message: Tried) -> None:
        """Say where the sound goes now, or why it stays."""
        if self.wanted is not None and self.wanted != message.device:
            self.go_to(self.wanted)
            return
        self.wanted = None
        if message.error:
            name, stays = (told_value(DEVICE, d) for d in (message.device, self.keyfarer.doors.settings.device))
            self.refused(f"The sound stays where it was, {stays}. To {name} it can't go: {message.error}")
        else:
            self.say("told", "")
        self.tell_device()
        self.show_values()

    def action_look(self) -> None:
        """Look again, for devices that came or went."""
        if self.wanted is None:
            self.hush()
            self.known = False
            self.show_values()
            self.look_anew()

    @work(thread=True, group="devices")
    def look_anew(self) -> None:
        """Let go of all that is open, for only then new devices are seen; the next sound opens it again."""
        if self.hearing is not None:
            self.hearing.end()
        with self.one_by_one:
            if self.speaker is not None:
                self.speaker.close()
        self.look(True)

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

    def follow(self) -> None:
        """Measure what is sent out while there is something, and show how loud the microphone is."""
        if self.keyfarer.leaving or not self.is_current:
            return
        speaker = self.speaker
        sends = speaker is not None and (speaker.playhead_s is not None or not self.level.silent)
        if sends and not any(worker.group == "meter" and worker.is_running for worker in self.workers):
            self.measure()
        if self.hearing is not None and self.hearing.gone:
            self.close_microphone("The microphone went away.")
        self.show_meters()

    @work(thread=True, group="meter")
    def measure(self) -> None:
        """Some milliseconds of work."""
        self.post_message(self.Measured(sent_out(self.keyfarer.doors.sounding)))

    def on_sound_page_measured(self, message: Measured) -> None:
        """Keep it until it is shown."""
        self.level = message.level

    def show_meters(self) -> None:
        """Loudness and peak of what is sent out, and the microphone's level."""
        hearing = self.hearing
        heard = None if hearing is None else hearing.level()
        off = MIC_OPENS if hearing is not None and hearing.wanted else MIC_OFF
        self.query_one(LevelMeter).put(
            [
                Level("loudness", self.level.momentary_lufs, "LUFS"),
                Level("peak", self.level.peak_dbtp, "dBTP"),
                Level("microphone", None, off) if heard is None else Level("microphone", heard.rms_dbfs, "dBFS"),
            ]
        )

    def action_microphone(self) -> None:
        """Open the microphone, or close it."""
        if self.hearing is None:
            return
        if self.hearing.wanted:
            self.close_microphone("The microphone is closed.")
        else:
            self.hearing.want()
            self.open_microphone(self.hearing)
        self.show_meters()

    @work(thread=True, group="microphone")
    def open_microphone(self, hearing: Hearing) -> None:
        """Open it."""
        try:
            with self.one_by_one:
                hearing.begin()
        except SoundError as error:
            hearing.end()
            self.post_message(self.Heard(one_line(error)))
        else:
            self.post_message(self.Heard())

    def on_sound_page_heard(self, message: Heard) -> None:
        """Say that it is open."""
        if message.error:
            self.refused(f"The microphone can't be opened: {message.error}")
        elif self.hearing is not None and self.hearing.name:
            self.refused(f"The microphone is open: {self.hearing.name}. Nothing is recorded or kept; M closes it.")
        self.show_meters()

    def close_microphone(self, words: str = "") -> None:
        """Close it, beside the event loop and beyond this screen."""
        if self.hearing is not None and self.hearing.wanted:
            self.app.run_worker(self.hearing.end, thread=True, group="microphone")
            self.refused(words)

    def on_screen_suspend(self, event: events.ScreenSuspend) -> None:
        """Nothing listens while another screen stands."""
        self.close_microphone()

    def leave_here(self) -> None:
        """Silence, and nothing listens."""
        self.hush()
        self.close_microphone()


def one_line(error: Exception) -> str:
    """An error's words without line ends."""
    return " ".join(str(error).split())
