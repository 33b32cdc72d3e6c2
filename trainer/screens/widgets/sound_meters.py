"""The meters of the sound screen: what is sent out, and what the microphone hears while it is open.

Measuring, opening and closing are done beside the event loop. The microphone is opened by the player's wish alone.
"""

from collections import deque
from math import inf
from threading import Lock, Thread

from textual import work
from textual.message import Message

from synth.errors import SoundError
from trainer.practice.hearing import Hearing
from trainer.practice.sent_out import SILENCE, SentOut, sent_out
from trainer.practice.sounding import Loudspeaker
from trainer.screens.doors import Doors
from trainer.screens.widgets.level_meter import Level, LevelMeter

MEASURED_S = 0.2
"""How often is measured; a measure takes in more than that, so nothing is missed."""
HELD = 5
"""A peak is held for so many measures: a second."""
CLOSED = "closed. {microphone} opens it; nothing is recorded or kept"
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
        self.peaks: deque[float] = deque(maxlen=HELD)
        """True peaks of late, in dBTP."""
        self.doors: Doors | None = None
        self.hearing: Hearing | None = None
        self.one_by_one = Lock()

    def begin(self, doors: Doors, one_by_one: Lock) -> None:
        """Follow the sound from now on. one_by_one: held by whoever opens or closes sound."""
        self.doors, self.hearing, self.one_by_one = doors, Hearing(doors.microphone), one_by_one
        self.show_levels()
        self.set_interval(MEASURED_S, self.follow)

    @property
    def listens(self) -> bool:
        """Whether the microphone is open or being opened."""
        return self.hearing is not None and self.hearing.wanted

    @property
    def quiet(self) -> bool:
        """Whether all bars of what is sent out lie at their lower end."""
        return self.level.silent and max(self.peaks, default=-inf) == -inf

    def follow(self) -> None:
        """Measure while something is sent out, and look how loud the microphone is."""
        if self.doors is None or not self.screen.is_current:
            return
        speaker = self.doors.sounding
        sends = isinstance(speaker, Loudspeaker) and (speaker.playhead_s is not None or not self.quiet)
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
        self.peaks.append(message.level.peak_dbtp)

    def show_levels(self) -> None:
        """All three."""
        heard = None if self.hearing is None else self.hearing.level()
        loudness, peak, microphone = (f"{name:<{self.names}}" for name in ("loudness", "peak", "microphone"))
        shown = [
            Level(loudness, self.level.momentary_lufs, "LUFS"),
            Level(peak, max(self.peaks, default=-inf), "dBTP"),
        ]
        if heard is None:
            shown.append(Level(microphone, None, OPENS if self.listens else self.keyed(CLOSED)))
        else:
            shown.append(Level(microphone, heard.rms_dbfs, "dBFS"))
        self.put(shown)

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
            closes = self.keyed("Nothing is recorded or kept; {microphone} closes it.")
            words = f"The microphone is open: {self.hearing.name}. {closes}"
            self.post_message(self.Told(words))
        self.show_levels()

    def keyed(self, words: str) -> str:
        """Words with the keys of this screen, as the player has them."""
        from trainer.screens.base import Page

        page = self.screen
        return page.keyed(words) if isinstance(page, Page) else words

    def close(self) -> None:
        """Close the microphone in a thread that goes on when this screen and the app are gone."""
        microphone = None if self.hearing is None else self.hearing.let_go()
        if microphone is not None:
            Thread(target=microphone.close).start()

    def end(self) -> None:
        """Close it, in limited time."""
        if self.hearing is not None:
            self.hearing.end()
