"""Every action of the terminal app, once: its key, its words and the screens where it holds.

Bindings, the line of keys at the foot of a screen and the help are all made from this table.
Where an answer is typed, letters belong to the answer, so actions there have function keys.
"""

from textual.binding import Binding, BindingType

from trainer.records import dataclass

TODAY, DRILL, TOLD, SUMMARY, TUNES, TUNE, PROGRESS, LEVEL, HELP = (
    "today", "drill", "told", "summary", "tunes", "tune", "progress", "level", "help",
)  # fmt: skip

SCREENS = {
    TODAY: "Today",
    DRILL: "A question",
    TOLD: "The answer",
    SUMMARY: "What it came to",
    TUNES: "Tunes",
    TUNE: "A tune",
    PROGRESS: "Progress",
    LEVEL: "Listening level",
    HELP: "Help",
}
"""Each screen and its name."""


_READ = (TODAY, TOLD, SUMMARY, PROGRESS, HELP)
"""Screens whose arrow keys move through what is to be read."""
_LONG = (*_READ, DRILL, LEVEL, TUNE)
"""Screens that may hold more than fits."""


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that a player can do."""

    id: str
    """The method `action_<id>` of the screen does it."""
    key: str
    """As Textual names it."""
    shown: str
    """The key as players read it."""
    word: str
    """In the line of keys."""
    about: str
    """In the help."""
    screens: tuple[str, ...]
    in_line: bool = True
    """Shown in the line of keys; help shows all."""
    first: bool = False
    """It comes before anything else that could take the key."""


ACTIONS: tuple[Action, ...] = (
    Action("begin", "enter", "Enter", "begin", "Begin the questions.", (TODAY,)),
    Action("today", "enter", "Enter", "today", "Go back to today.", (SUMMARY,)),
    Action("progress", "p", "P", "progress", "See how far each type is.", (TODAY, SUMMARY)),
    Action("tunes", "t", "T", "tunes", "See and hear the tunes, yours and the exercise tunes.", (TODAY, SUMMARY)),
    Action("level", "l", "L", "level", "Set the listening level.", (TODAY,)),
    Action(
        "theme", "c", "C", "colors", "Change the colors: dark, light or the strongest contrast; they are kept.",
        (TODAY,), in_line=False,
    ),
    Action("open", "enter", "Enter", "open", "Open the tune under the cursor.", (TUNES,)),
    Action("play", "space", "Space", "play, stop", "Play from the bar under the cursor; again stops.", (TUNE,)),
    Action("route", "r", "R", "route", "Hear the key centers alone, each by a cadence.", (TUNE,)),
    Action("bar_on", "right", "Right", "bar on", "Go a bar on.", (TUNE,)),
    Action("bar_back", "left", "Left", "bar back", "Go a bar back.", (TUNE,)),
    Action("line_on", "down", "Down", "line on", "Go a line of bars on.", (TUNE,), in_line=False),
    Action("line_back", "up", "Up", "line back", "Go a line of bars back.", (TUNE,), in_line=False),
    Action("again", "f2", "F2", "again", "Hear it once more; so does Space on an empty line.", (DRILL,)),
    Action("slower", "f3", "F3", "slower", "Hear it slower.", (DRILL,)),
    Action("bass", "f4", "F4", "bass", "Hear the bass alone.", (DRILL,)),
    Action("guide", "f5", "F5", "guide tones", "Hear the guide tones alone.", (DRILL,)),
    Action("arpeggio", "f6", "F6", "arpeggio", "Hear the chords note by note.", (DRILL,)),
    Action("key", "f7", "F7", "key first", "Hear the key first.", (DRILL,)),
    Action("skip", "f8", "F8", "skip", "Pass the question over; it counts as not heard.", (DRILL,)),
    Action("pause", "f9", "F9", "pause", "Stop the sound and the clock; F9 goes on, from the beginning.", (DRILL,)),
    Action("go_on", "enter", "Enter", "next", "Go on to the next question.", (TOLD,)),
    Action("hear_right", "space", "Space", "as it was", "Hear the question as it was.", (TOLD,)),
    Action("hear_mine", "m", "M", "as I said", "Hear the stretch as you answered it.", (TOLD,)),
    Action(
        "slip", "s", "S", "a slip", "Say that the answer was a slip of the finger; it won't count.", (TOLD,),
    ),
    Action("stop", "escape", "Esc", "stop", "End the session here; every answer is kept.", (DRILL, TOLD)),
    Action("up", "plus", "+", "louder", "Turn the sound up; it is kept.", (TOLD, TUNE), in_line=False),
    Action("down", "minus", "-", "softer", "Turn the sound down; it is kept.", (TOLD, TUNE), in_line=False),
    Action("louder", "up", "Up", "louder", "Turn the sound up.", (LEVEL,)),
    Action("softer", "down", "Down", "softer", "Turn the sound down.", (LEVEL,)),
    Action("sample", "space", "Space", "hear", "Hear the sample.", (LEVEL,)),
    Action("keep", "enter", "Enter", "keep", "Keep this level.", (LEVEL,)),
    Action("back", "escape", "Esc", "back", "Go back.", (PROGRESS, LEVEL, HELP, SUMMARY, TUNES, TUNE)),
    Action(
        "help", "f1", "F1", "help", "What the keys do here.",
        (TODAY, DRILL, TOLD, SUMMARY, TUNES, TUNE, PROGRESS, LEVEL),
    ),
    Action("leave", "q", "Q", "leave", "Leave keyfarer.", (TODAY, SUMMARY, TUNES, TUNE, PROGRESS)),
    Action("line_down", "down", "Down", "down", "Go a line down.", _READ, in_line=False),
    Action("line_up", "up", "Up", "up", "Go a line up.", _READ, in_line=False),
    Action("further", "pagedown", "PgDn", "more", "Read on below.", _LONG, in_line=False),
    Action("higher", "pageup", "PgUp", "up", "Read what stands above.", _LONG, in_line=False),
    Action(
        "copy", "ctrl+y", "Ctrl+Y", "copy", "Copy what you marked with the mouse.", tuple(SCREENS), in_line=False,
    ),
    Action(
        "leave_now", "ctrl+c", "Ctrl+C", "leave", "Leave at once, from anywhere; every answer is kept.",
        tuple(SCREENS), in_line=False, first=True,
    ),
)  # fmt: skip
"""The registry."""


def actions_on(screen: str) -> tuple[Action, ...]:
    """The actions of a screen, in order."""
    return tuple(action for action in ACTIONS if screen in action.screens)


def bindings_on(screen: str) -> list[BindingType]:
    """The bindings of a screen."""
    return [
        Binding(action.key, action.id, action.word, show=False, priority=action.first) for action in actions_on(screen)
    ]
