"""What the screens have in common on which settings are changed in place.

A cursor goes through the settings; left and right go through a setting's values, Enter types one. What a setting
means and may be stands beneath. All is saved at once; what can't be done is told in words, and nothing is saved.
"""

from threading import Lock

from textual import events, work
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from synth.errors import SoundError
from trainer.errors import KeyfarerError
from trainer.practice.listening_level import CAUTION, level_told
from trainer.screens.base import Page, text
from trainer.screens.level import QUIET_TALK, LevelPage
from trainer.screens.widgets.answer_line import AnswerLine
from trainer.screens.widgets.value_list import ValueList, ValueRow
from trainer.settings import SettingsError, Value
from trainer.settings_told import TOLD, Told, default_of, read_typed, stepped, told_allowed, told_value

DEVICE = "device"
DEVICES_ELSEWHERE = "{type} types its name; {sound} on the first screen goes through those there are."
LEVEL_ROWS = ("volume_db", "level_set")
"""Where the listening level is set, and the cautions stand."""


class AdjustPage(Page):
    """A list of settings."""

    DEFAULT_CSS = """
    AdjustPage #head, AdjustPage #column, AdjustPage #keys, AdjustPage #beneath > Prose { max-width: 140; }
    AdjustPage #beneath { max-height: 50%; }
    AdjustPage #beneath AnswerLine { margin: 0 0 0 2; display: none; }
    AdjustPage #beneath AnswerLine.asked { display: block; }
    AdjustPage #allowed { color: $quiet; }
    AdjustPage #told { color: $warning; }
    """

    AUTO_FOCUS = ""
    SHOWN: tuple[Told, ...] = ()
    """The settings of this screen, in order."""

    class Tried(Message):
        """A device was opened and is kept, or couldn't be."""

        def __init__(self, device: str, error: str = "") -> None:
            super().__init__()
            self.device = device
            self.error = error

    def __init__(self) -> None:
        super().__init__()
        self.wanted: str | None = None
        """The device that is being gone to."""
        self.one_by_one = Lock()
        """Held by whoever opens or closes sound beside the event loop."""

    def body(self) -> list[Widget]:
        """The list."""
        return [ValueList(id="values")]

    def beneath(self) -> list[Widget]:
        """What the one under the cursor means, what is typed for it, and what there is to tell."""
        return [text("meaning"), text("allowed"), AnswerLine(id="typed"), text("told")]

    def begin(self) -> None:
        """Show all as it is."""
        self.say("told", "")
        self.show_values()

    def on_screen_resume(self) -> None:
        """Another screen may have changed something."""
        if self.laid_out:
            self.show_values()

    @property
    def values(self) -> ValueList:
        """The list."""
        return self.query_one(ValueList)

    @property
    def name_here(self) -> str:
        """The setting under the cursor."""
        return self.values.current.name

    def value_of(self, name: str) -> Value:
        """What a setting is now."""
        value: Value = getattr(self.keyfarer.doors.settings, name)
        return value

    def told_here(self, name: str) -> str:
        """A setting's value as this screen shows it."""
        value = self.value_of(name)
        if name == DEVICE and self.wanted is not None:
            return f"{told_value(DEVICE, self.wanted)}: opening"
        if name == "volume_db" and isinstance(value, float):
            if not self.keyfarer.doors.settings.level_set:
                return self.keyed("not set yet; {type} sets it")
            return level_told(value)
        return told_value(name, value)

    def show_values(self) -> None:
        """Show each value, and all about the one under the cursor."""
        rows, group = [], ""
        for row in self.SHOWN:
            heading = row.group if row.group != group and self.with_headings() else ""
            group = row.group
            about = row.about.replace("`", "")
            rows.append(ValueRow(row.name, row.called, self.told_here(row.name), about, heading))
        self.values.put(rows)
        self.tell_setting()

    def with_headings(self) -> bool:
        """Whether groups have their names above them."""
        return True

    def tell_setting(self) -> None:
        """All about the setting under the cursor."""
        name = self.name_here
        row, value = TOLD[name], self.value_of(name)
        if name in LEVEL_ROWS:
            self.say("meaning", QUIET_TALK if name == "volume_db" else row.about)
            self.say("allowed", CAUTION)
            return
        meaning = row.words.get(value, "")
        self.say("meaning", f"{row.about} {told_value(name, value)}: {meaning}." if meaning else row.about)
        allowed = told_allowed(name)
        later = f" It takes effect {row.later}." if row.later else ""
        usual = told_value(name, default_of(name))
        self.say("allowed", f"{allowed[0].upper()}{allowed[1:]}; usually {usual}.{later} Its name is `{name}`.")

    def refused(self, words: str) -> None:
        """Tell why something could not be done."""
        self.say("told", words)

    def move(self, by: int) -> None:
        """Move the cursor."""
        self.stop_typing()
        self.say("told", "")
        self.values.move_to(self.values.cursor + by)
        self.tell_setting()
        self.call_after_refresh(self.keep_in_sight)  # what stands beneath may have grown

    def keep_in_sight(self) -> None:
        """Scroll so that the line of the cursor is seen, and the heading above it."""
        values, body = self.values, self.query_one("#body")
        line = values.region.y + values.line_of(values.cursor)
        if line - 1 < body.region.y:
            body.scroll_relative(y=line - 1 - body.region.y, animate=False)
        elif line + 1 > body.region.bottom:
            body.scroll_relative(y=line + 1 - body.region.bottom, animate=False)

    def on_resize(self, event: events.Resize) -> None:
        """Keep the cursor in sight."""
        if self.laid_out:
            self.call_after_refresh(self.keep_in_sight)

    def step(self, name: str, by: int) -> None:
        """Go to a setting's next value, or the one before."""
        if name in LEVEL_ROWS and not self.keyfarer.doors.settings.level_set:
            self.set_level()
        elif TOLD[name].stops:
            self.change(name, stepped(name, self.value_of(name), by))
        else:
            self.refused(self.keyed(DEVICES_ELSEWHERE if name == DEVICE else "{type} types it."))

    def set_level(self) -> None:
        """Set the listening level on its own screen, where it begins quiet."""
        self.app.push_screen(LevelPage())

    def change(self, name: str, value: Value) -> None:
        """Save a value, and show what is so now; a device is gone to beside the event loop."""
        if name == DEVICE:
            self.go_to(str(value))
            return
        if value == self.value_of(name):
            return
        try:
            self.keyfarer.doors.change(name, value)
        except (KeyfarerError, SoundError, OSError) as error:
            self.refused(one_line(error))
            return
        self.say("told", "")
        self.changed(name)
        self.show_values()

    def go_to(self, device: str) -> None:
        """Let the sound go to a device; of several asked for meanwhile the last one counts."""
        idle, self.wanted = self.wanted is None, device
        self.say("told", "")
        self.show_values()
        if idle:
            self.try_device(device)

    @work(thread=True, group="devices")
    def try_device(self, device: str) -> None:
        """Open it, and keep it."""
        try:
            with self.one_by_one:
                self.keyfarer.doors.change(DEVICE, device)
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(self.Tried(device, one_line(error)))
        else:
            self.post_message(self.Tried(device))

    def on_adjust_page_tried(self, message: Tried) -> None:
        """Say where the sound goes now, or why it stays."""
        if self.wanted is not None and self.wanted != message.device:
            self.try_device(self.wanted)
            return
        self.wanted = None
        if message.error:
            name, stays = (told_value(DEVICE, one) for one in (message.device, self.value_of(DEVICE)))
            self.refused(f"The sound stays where it was, {stays}. To {name} it can't go: {message.error}")
        self.device_tried(message.device)
        self.show_values()

    def device_tried(self, device: str) -> None:
        """What follows when a device was tried."""

    def changed(self, name: str) -> None:
        """What follows from a change beyond the sound."""
        if name == "look":
            self.app.theme = self.keyfarer.doors.settings.look

    @property
    def typing(self) -> bool:
        """Whether a value is being typed."""
        return self.query_one(AnswerLine).has_class("asked")

    def stop_typing(self) -> None:
        """Take the line away in which a value is typed."""
        line = self.query_one(AnswerLine)
        line.remove_class("asked")
        line.value = ""
        self.set_focus(None)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take what was typed."""
        name = self.name_here
        try:
            value = read_typed(name, event.value)
        except SettingsError as error:
            self.refused(str(error))
            return
        self.stop_typing()
        self.change(name, value)

    def action_type(self) -> None:
        """Type a value, or go on to the next where there are only words."""
        name = self.name_here
        if name in LEVEL_ROWS:
            self.set_level()
        elif isinstance(self.value_of(name), bool) or (TOLD[name].stops and isinstance(default_of(name), str)):
            self.step(name, 1)
        else:
            line = self.query_one(AnswerLine)
            value = self.value_of(name)
            line.value = f"{value:g}" if isinstance(value, float) else str(value)
            line.add_class("asked")
            line.focus()
            line.action_end()
            self.say("told", "Enter keeps it, Esc leaves it as it was.")

    def action_value_on(self) -> None:
        """The next value."""
        self.step(self.name_here, 1)

    def action_value_back(self) -> None:
        """The value before."""
        self.step(self.name_here, -1)

    def action_row_on(self) -> None:
        """A setting down."""
        self.move(1)

    def action_row_back(self) -> None:
        """A setting up."""
        self.move(-1)

    def action_back(self) -> None:
        """Stop typing, or go back."""
        if self.typing:
            self.stop_typing()
            self.say("told", "")
        else:
            self.leave_here()
            self.app.pop_screen()

    def action_leave(self) -> None:
        """Leave the app."""
        self.leave_here()
        super().action_leave()

    def leave_here(self) -> None:
        """What is to be done on every way off this screen."""


def one_line(error: Exception) -> str:
    """An error's words without line ends."""
    return " ".join(str(error).split())
