"""Today: what is due and why, how long it takes, one key to begin."""

from typing import ClassVar

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from trainer.errors import KeyfarerError
from trainer.memory.plan import Plan
from trainer.practice.words import name_of
from trainer.screens.actions import TODAY, bindings_on
from trainer.screens.base import Page, text


class TodayPage(Page):
    """The first screen."""

    NAME = TODAY
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TODAY)

    class Planned(Message):
        """The plan is there."""

        def __init__(self, plan: Plan | None, error: str = "") -> None:
            super().__init__()
            self.plan = plan
            self.error = error

    def body(self) -> list[Widget]:
        """The plan."""
        return [text("plan", "Looking at what is due.")]

    def on_screen_resume(self) -> None:
        """Plan anew whenever this screen comes up."""
        self.plan()

    @work(thread=True, exclusive=True, group="plan")
    def plan(self) -> None:
        """Make the plan beside the event loop."""
        try:
            self.post_message(self.Planned(self.keyfarer.doors.plan()))
        except KeyfarerError as error:
            self.post_message(self.Planned(None, str(error)))

    def on_today_page_planned(self, message: Planned) -> None:
        """Show the plan."""
        self.say("plan", message.error if message.plan is None else "\n".join(plan_lines(message.plan)))

    def action_begin(self) -> None:
        """Begin the session; the first time the level comes first."""
        self.keyfarer.begin()

    def action_progress(self) -> None:
        """See how far each type is."""
        from trainer.screens.progress import ProgressPage

        self.app.push_screen(ProgressPage())

    def action_level(self) -> None:
        """Set the level."""
        from trainer.screens.level import LevelPage

        self.app.push_screen(LevelPage())

    def action_theme(self) -> None:
        """Dark or light."""
        self.app.theme = "paper" if self.app.theme == "evening" else "evening"


def plan_lines(plan: Plan) -> list[str]:
    """The plan in words: how much, then each type with its reason, then why no new one comes."""
    if not plan.items:
        lines = ["Nothing more is due today. Enter asks some of what you have met all the same."]
    else:
        minutes = max(1, round(plan.seconds / 60))
        count = len(plan.items)
        questions, long = ("question", "questions")[count != 1], ("minute", "minutes")[minutes != 1]
        lines = [f"{count} {questions}, about {minutes} {long}.", ""]
        reasons: dict[str, str] = {}
        for item in plan.items:
            reasons.setdefault(item.unit, item.why)
        lines += [f"{name_of(unit)}\n    {why}" for unit, why in reasons.items()]
    if plan.new_held_back:
        lines += ["", f"No new type today: {plan.new_held_back}."]
    return lines
