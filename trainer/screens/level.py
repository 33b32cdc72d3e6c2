"""The listening level: a quiet sample that the player turns up, with the usual cautions."""

from fractions import Fraction
from typing import ClassVar

from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.harmony.symbol import parse_chord
from trainer.practice.listening_level import HIGHEST_DB, SAMPLE_DB, STEP_DB, level_told, step_of, within
from trainer.practice.sounding import Loudspeaker
from trainer.screens.actions import LEVEL, bindings_on
from trainer.screens.base import Page, text

QUIET_TALK = "Set it no louder than quiet talk beside you. Everything is played at this same level."
CAUTIONS = (
    "Long listening on headphones can harm hearing for good. Keep it low, take breaks. WHO-ITU H.870 "
    "and NIOSH name limits for level and time; follow your local rules. If your ears ring, feel full or "
    "hear less after listening, rest them and see a doctor or an audiologist."
)


class LevelPage(Page):
    """Setting the level."""

    NAME = LEVEL
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(LEVEL)

    DEFAULT_CSS = """
    LevelPage #level { margin: 1 0 0 2; color: $primary; text-style: bold; }
    LevelPage #talk { margin: 1 0 0 0; }
    LevelPage #cautions { margin: 1 0 0 0; padding: 0 0 0 2; border-left: outer $secondary; }
    LevelPage #sound { margin: 1 0 0 0; color: $warning; }
    """

    class Played(Message):
        """The sample sounds; what is to be known about the sound."""

        def __init__(self, remark: str) -> None:
            super().__init__()
            self.remark = remark

    def __init__(self, then_begin: bool = False) -> None:
        super().__init__()
        self.then_begin = then_begin
        self.level_db = SAMPLE_DB

    def body(self) -> list[Widget]:
        """What to do, the level, the cautions."""
        return [
            text("how", "A quiet sample plays. Turn it up until you hear it well, and no further."),
            Static(id="level", markup=False),
            text("talk", QUIET_TALK),
            text("cautions", CAUTIONS),
            text("sound"),
        ]

    def begin(self) -> None:
        """Begin quiet the first time, else where it was."""
        settings = self.keyfarer.doors.settings
        self.level_db = settings.volume_db if settings.level_set else SAMPLE_DB
        self.say("sound", "")
        self.turned(0.0)
        self.action_sample()

    def turned(self, by_db: float) -> None:
        """Turn the sound and say where it stands."""
        self.level_db = within(self.level_db + by_db)
        sounding = self.keyfarer.doors.sounding
        if isinstance(sounding, Loudspeaker):
            sounding.volume_db = self.level_db
        steps, whole = step_of(self.level_db), step_of(HIGHEST_DB)
        self.query_one("#level", Static).update(f"{level_told(self.level_db)}   {'━' * steps}{'─' * (whole - steps)}")

    def action_louder(self) -> None:
        """A step up."""
        self.turned(STEP_DB)
        self.sound_on()

    def action_softer(self) -> None:
        """A step down."""
        self.turned(-STEP_DB)
        self.sound_on()

    def sound_on(self) -> None:
        """Play the sample again where it has come to its end: one can't set what one doesn't hear."""
        sounding = self.keyfarer.doors.sounding
        over = isinstance(sounding, Loudspeaker) and sounding.playhead_s is None
        if over and not any(worker.group == "sample" and worker.is_running for worker in self.workers):
            self.action_sample()

    def action_sample(self) -> None:
        """Play the sample."""
        self.run_worker(self.play, thread=True, exclusive=True, group="sample")

    def play(self) -> None:
        """A two-five-one, beside the event loop."""
        from trainer.voicing.performance import perform_progression

        chords = [parse_chord(name) for name in ("Dm7", "G7", "Cmaj7", "Cmaj7")]
        sounding = self.keyfarer.doors.sounding
        try:
            sounding.play(perform_progression(chords, [Fraction(4)] * 4, 96))
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(self.Played(str(error)))
        else:
            self.post_message(self.Played(sounding.remark or ""))

    def on_level_page_played(self, message: Played) -> None:
        """Say what is to be known about the sound."""
        self.say("sound", f"Sound: {message.remark}" if message.remark else "")

    def action_keep(self) -> None:
        """Save the level and go on."""
        doors = self.keyfarer.doors
        doors.sounding.stop()
        try:
            doors.keep(volume_db=self.level_db, level_set=True)
        except KeyfarerError as error:
            self.say("sound", str(error))
            return
        self.app.pop_screen()
        if self.then_begin:
            self.keyfarer.begin_with_first_steps()

    def action_back(self) -> None:
        """Leave the level as it was."""
        doors = self.keyfarer.doors
        doors.sounding.stop()
        if isinstance(doors.sounding, Loudspeaker):
            doors.sounding.volume_db = doors.settings.volume_db
        self.app.pop_screen()
