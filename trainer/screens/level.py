"""The listening level: a quiet sample that the player turns up, with the usual cautions."""

from fractions import Fraction
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.errors import KeyfarerError
from trainer.harmony.symbol import parse_chord
from trainer.practice.sounding import Loudspeaker
from trainer.screens.actions import LEVEL, bindings_on
from trainer.screens.base import Page, text

FIRST_DB = -30.0
STEP_DB = 2.0
LOWEST_DB, HIGHEST_DB = -40.0, 0.0

CAUTIONS = (
    "Set it no louder than quiet talk beside you. Everything is played at this same level.\n"
    "\n"
    "Long listening on headphones can harm hearing for good. Keep it low, take breaks. WHO-ITU H.870 "
    "and NIOSH name limits for level and time; follow your local rules. If your ears ring, feel full or "
    "hear less after listening, rest them and see a doctor or an audiologist."
)


class LevelPage(Page):
    """Setting the level."""

    NAME = LEVEL
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(LEVEL)

    def __init__(self, then_begin: bool = False) -> None:
        super().__init__()
        self.then_begin = then_begin
        self.level_db = FIRST_DB

    def body(self) -> list[Widget]:
        """The level in words, then the cautions."""
        return [
            text("how", "A quiet sample plays. Turn it up until you hear it well, and no further."),
            text("level"),
            text("cautions", f"\n{CAUTIONS}"),
            text("sound"),
        ]

    def on_mount(self) -> None:
        """Begin quiet the first time, else where it was."""
        settings = self.keyfarer.doors.settings
        self.level_db = settings.volume_db if settings.level_set else FIRST_DB
        self.turned(0.0)
        self.action_sample()

    def turned(self, by_db: float) -> None:
        """Turn the sound and say where it stands."""
        self.level_db = min(HIGHEST_DB, max(LOWEST_DB, self.level_db + by_db))
        sounding = self.keyfarer.doors.sounding
        if isinstance(sounding, Loudspeaker):
            sounding.volume_db = self.level_db
        filled = round((self.level_db - LOWEST_DB) / STEP_DB)
        whole = round((HIGHEST_DB - LOWEST_DB) / STEP_DB)
        self.say("level", f"\nLevel {filled} of {whole}   [{'=' * filled}{' ' * (whole - filled)}]")

    def action_louder(self) -> None:
        """A step up."""
        self.turned(STEP_DB)

    def action_softer(self) -> None:
        """A step down."""
        self.turned(-STEP_DB)

    def action_sample(self) -> None:
        """Play the sample."""
        self.run_worker(self.play, thread=True, exclusive=True, group="sample")

    def play(self) -> None:
        """A two-five-one, beside the event loop."""
        from trainer.voicing.performance import perform_progression

        chords = [parse_chord(name) for name in ("Dm7", "G7", "Cmaj7", "Cmaj7")]
        sounding = self.keyfarer.doors.sounding
        sounding.play(perform_progression(chords, [Fraction(4)] * 4, 96))
        self.app.call_from_thread(self.say, "sound", f"\nSound: {sounding.remark}" if sounding.remark else "")

    def action_keep(self) -> None:
        """Save the level and go on."""
        doors = self.keyfarer.doors
        doors.sounding.stop()
        try:
            doors.keep(volume_db=self.level_db, level_set=True)
        except KeyfarerError as error:
            self.say("sound", f"\n{error}")
            return
        self.app.pop_screen()
        if self.then_begin:
            self.keyfarer.begin()

    def action_back(self) -> None:
        """Leave the level as it was."""
        doors = self.keyfarer.doors
        doors.sounding.stop()
        if isinstance(doors.sounding, Loudspeaker):
            doors.sounding.volume_db = doors.settings.volume_db
        self.app.pop_screen()
