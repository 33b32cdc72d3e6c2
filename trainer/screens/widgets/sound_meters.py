"""The meters of the sound screen: what is sent out, and what the microphone hears while it is open.

Measuring, opening and closing are done beside the event loop. The microphone is opened by the player's wish alone.
"""

from threading import Lock, Thread

from textual import work
from textual.message import Message

from synth.errors import SoundError
from trainer.practice.hearing import Hearing
from trainer.practice.sent_out import SILENCE, SentOut, sent_out
from trainer.practice.sounding import Loudspeaker
from trainer.screens.doors import Doors
from trainer.screens.listening import TICK_S
from trainer.screens.widgets.level_meter import Level, LevelMeter

CLOSED = "closed. M opens it; nothing is recorded or kept"
OPENS = "opening"


class SoundMeters(LevelMeter):
    """Loudness, peak, microphone."""

    class Told(Message):
        """Something to tell the player about the microphone."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    class Measured(Message):
        """How loud that is which is sent out."""

        def __init__(self, level: SentOut) -> None:
            super().__init__()
            self.level = level

    class Opened(Message):
        """The microphone is open, or couldn't be opened."""

        def __init__(self, error: str = "") -> None:
            super().__init__()
            self.error = error

    def __init__(self, names: int, id: str | None = None) -> None:
        super().__init__(id=id)
        self.names = names
        """Cells of the names, at least."""
        self.level = SILENCE
        self.doors: Doors | None = None
        self.hearing: Hearing | None = None
        self.one_by_one = Lock()

    def begin(self, doors: Doors, one_by_one: Lock) -> None:
        """Follow the sound from now on. one_by_one: held by whoever opens or closes sound."""
        self.doors, self.hearing, self.one_by_one = doors, Hearing(doors.microphone), one_by_one
        self.show_levels()
        self.set_interval(TICK_S, self.follow)

    @property
    def listens(self) -> bool:
        """Whether the microphone is open or being opened."""
        return self.hearing is not None and self.hearing.wanted

    def follow(self) -> None:
        """Measure while something is sent out, and look how loud the microphone is."""
        if self.doors is None or not self.screen.is_current:
            return
        speaker = self.doors.sounding
        sends = isinstance(speaker, Loudspeaker) and (speaker.playhead_s is not None or not self.level.silent)
        if sends and not any(worker.group == "meter" and worker.is_running for worker in self.workers):
            self.measure(self.doors)
        if self.hearing is not None and self.hearing.gone:
            self.close()
            self.post_message(self.Told("The microphone went away."))
        self.show_levels()

    @work(thread=True, group="meter")
    def measure(self, doors: Doors) -> None:
        """Some milliseconds of work."""
        self.post_message(self.Measured(sent_out(doors.sounding)))

    def on_sound_meters_measured(self, message: Measured) -> None:
        """Keep it until it is shown."""
        self.level = message.level

    def show_levels(self) -> None:
        """All three."""
        heard = None if self.hearing is None else self.hearing.level()
        unheard = OPENS if self.listens else CLOSED
        self.put(
            [
                Level(f"{'loudness':<{self.names}}", self.level.momentary_lufs, "LUFS"),
                Level(f"{'peak':<{self.names}}", self.level.peak_dbtp, "dBTP"),
                Level(
                    f"{'microphone':<{self.names}}", *((None, unheard) if heard is None else (heard.rms_dbfs, "dBFS"))
                ),
            ]
        )

    def toggle(self) -> None:
        """Open the microphone, or close it."""
        if self.hearing is None:
            return
        if self.listens:
            self.close()
            self.post_message(self.Told("The microphone is closed."))
        else:
            self.hearing.want()
            self.open_microphone(self.hearing)
        self.show_levels()

    @work(thread=True, group="microphone")
    def open_microphone(self, hearing: Hearing) -> None:
        """Open it."""
        try:
            with self.one_by_one:
                hearing.begin()
        except SoundError as error:
            hearing.end()
            self.post_message(self.Opened(" ".join(str(error).split())))
        else:
            self.post_message(self.Opened())

    def on_sound_meters_opened(self, message: Opened) -> None:
        """Say that it is open, or why not."""
        if message.error:
            self.post_message(self.Told(f"The microphone can't be opened: {message.error}"))
        elif self.hearing is not None and self.hearing.name:
            words = f"The microphone is open: {self.hearing.name}. Nothing is recorded or kept; M closes it."
            self.post_message(self.Told(words))
        self.show_levels()

    def close(self) -> None:
        """Close the microphone in a thread that goes on when this screen and the app are gone."""
        microphone = None if self.hearing is None else self.hearing.let_go()
        if microphone is not None:
            Thread(target=microphone.close).start()

    def end(self) -> None:
        """Close it, in limited time."""
        if self.hearing is not None:
            self.hearing.end()
