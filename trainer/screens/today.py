"""Today: what is due and why, how long it takes, one key to begin."""

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from trainer.errors import KeyfarerError
from trainer.screens.actions import TODAY, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.widgets.ledger import Column, Ledger

if TYPE_CHECKING:
    from trainer.memory.plan import Plan

WELCOME = (
    "You hear a few chords and say what each one does in its key: two, five, one. "
    "{begin} sets the listening level and asks the first question."
)
"""For who begins."""


class TodayPage(Page):
    """The first screen."""

    NAME = TODAY
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TODAY)

    DEFAULT_CSS = """
    TodayPage #welcome { margin: 0 0 1 0; color: $secondary; }
    TodayPage #types { margin: 1 0 0 0; }
    TodayPage #held { margin: 1 0 0 0; color: $quiet; }
    """

    class Planned(Message):
        """The plan is there."""

        def __init__(self, plan: "Plan | None", error: str = "") -> None:
            super().__init__()
            self.plan = plan
            self.error = error

    class Closed(Message):
        """Memory or tunes can't be opened."""

        def __init__(self, error: KeyfarerError) -> None:
            super().__init__()
            self.error = error

    first = ""
    """The unit that the plan begins with."""

    def body(self) -> list[Widget]:
        """What is to be done, the types with their reasons, why no new one comes."""
        return [
            text("welcome"),
            text("plan", "Looking at what is due.", classes="strong"),
            Ledger((Column(most=34, wraps=True), Column("$secondary"), Column("$quiet", wraps=True)), id="types"),
            text("held"),
        ]

    def begin(self) -> None:
        """Nothing is known yet."""
        self.say("welcome", "" if self.keyfarer.doors.settings.level_set else self.keyed(WELCOME))
        self.say("held", "")

    def on_screen_resume(self) -> None:
        """Plan anew whenever this screen comes up, but not on the way into a session."""
        if not self.keyfarer.busy:
            self.plan()

    @work(thread=True, exclusive=True, group="plan")
    def plan(self) -> None:
        """Make the plan beside the event loop."""
        doors = self.keyfarer.doors
        try:
            doors.open()
        except KeyfarerError as error:
            self.post_message(self.Closed(error))
            return
        try:
            self.post_message(self.Planned(doors.plan()))
        except KeyfarerError as error:
            self.post_message(self.Planned(None, str(error)))

    def on_today_page_closed(self, message: Closed) -> None:
        """Nothing can be done without memory and tunes."""
        self.keyfarer.fail(message.error)

    def on_today_page_planned(self, message: Planned) -> None:
        """Show the plan."""
        self.begin()
        plan = message.plan
        if plan is None:
            self.say("plan", message.error)
            return
        self.headline("Today", f"{plan.day:%A} {plan.day.day} {plan.day:%B}")
        self.first = plan.items[0].unit if plan.items else ""
        self.say("plan", self.keyed(amount(plan)))
        self.query_one(Ledger).put(type_rows(plan))
        self.say("held", f"No new type today: {plan.new_held_back}." if plan.new_held_back else "")

    def action_begin(self) -> None:
        """Begin the session; the first time the level comes first."""
        self.keyfarer.begin()

    def action_progress(self) -> None:
        """See how far each type is."""
        from trainer.screens.progress import ProgressPage

        self.app.push_screen(ProgressPage())

    def action_tunes(self) -> None:
        """See and hear the tunes."""
        from trainer.screens.tunes import TunesPage

        self.app.push_screen(TunesPage())

    def action_words(self) -> None:
        """See what the words mean, the first type of today's plan before all."""
        from trainer.screens.words import WordsPage

        self.app.push_screen(WordsPage(self.first))

    def action_level(self) -> None:
        """Set the level."""
        from trainer.screens.level import LevelPage

        self.app.push_screen(LevelPage())

    def action_sound(self) -> None:
        """Device, level, tone, meters."""
        from trainer.screens.sound import SoundPage

        self.app.push_screen(SoundPage())

    def action_settings(self) -> None:
        """See and change every setting."""
        from trainer.screens.all_settings import SettingsPage

        self.app.push_screen(SettingsPage())

    def action_theme(self) -> None:
        """Dark, light or stark."""
        try:
            self.keyfarer.change_theme()
        except KeyfarerError as error:
            self.refused(str(error))


def amount(plan: "Plan") -> str:
    """How much there is to do."""
    if not plan.items:
        return "Nothing more is due today. {begin} asks some of what you have met all the same."
    minutes = max(1, round(plan.seconds / 60))
    count = len(plan.items)
    questions, long = ("question", "questions")[count != 1], ("minute", "minutes")[minutes != 1]
    return f"{count} {questions}, about {minutes} {long}."


def type_rows(plan: "Plan") -> list[tuple[str, str, str]]:
    """Each type of the plan, how often it is asked, and the reason why it comes."""
    from trainer.practice.words import name_of

    reasons: dict[str, str] = {}
    counts: dict[str, int] = {}
    for item in plan.items:
        reasons.setdefault(item.unit, item.why)
        counts[item.unit] = counts.get(item.unit, 0) + 1
    return [
        (name_of(unit), "once" if counts[unit] == 1 else f"{counts[unit]} times", why) for unit, why in reasons.items()
    ]
