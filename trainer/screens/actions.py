"""Every action of the terminal app, once: its key, its words and the screens where it holds.

Bindings, the line of keys at the foot of a screen and the help are all made from this table.
Where an answer is typed, letters belong to the answer, so actions there have function keys.
"""

from collections.abc import Sequence
from functools import lru_cache

from textual.binding import Binding, BindingType

from trainer.records import dataclass

TODAY, FIRST, DRILL, TOLD, SUMMARY, TUNES, TUNE, PROGRESS, TYPE, LEVEL, SOUND, SETTINGS, WORDS, HELP, KEYS = (
    "today", "first", "drill", "told", "summary", "tunes", "tune", "progress", "type", "level", "sound", "settings",
    "words", "help", "keys",
)  # fmt: skip

SCREENS = {
    TODAY: "Today",
    FIRST: "First steps",
    DRILL: "A question",
    TOLD: "The answer",
    SUMMARY: "What it came to",
    TUNES: "Tunes",
    TUNE: "A tune",
    PROGRESS: "Progress",
    TYPE: "One type",
    LEVEL: "Listening level",
    SOUND: "Sound",
    SETTINGS: "Settings",
    HELP: "Help",
    WORDS: "Words",
    KEYS: "Keys",
}
"""Each screen and its name."""


_READ = (TODAY, TOLD, SUMMARY, PROGRESS, TYPE, HELP)
"""Screens whose arrow keys move through what is to be read."""
_LONG = (*_READ, FIRST, DRILL, LEVEL, TUNE, SOUND, SETTINGS)
"""Screens that may hold more than fits."""
_BEHIND = tuple(one for one in SCREENS if one not in (TODAY, DRILL, TOLD))
"""Screens that one goes back from."""
_ADJUSTED = (SOUND, SETTINGS)
"""Screens on which settings are changed in place."""
TYPED_ON = (DRILL, WORDS)
"""Screens on which letters and digits are typed, so that they can be no keys there."""
LISTED = (TUNES, KEYS)
"""Screens with a list, which takes the keys that move through it."""


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
    """In the help; a name in braces stands for that action's key."""
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
    Action(
        "sound", "s", "S", "sound", "Choose the sound device, see how loud it is, and set how tunes sound.", (TODAY,),
    ),
    Action("settings", "e", "E", "settings", "See and change every setting.", (TODAY,)),
    Action("hear", "space", "Space", "hear, stop", "Hear a few bars as it is set; again stops.", (SOUND,)),
    Action("value_back", "left", "Left", "value back", "Go to the value before; it is kept at once.", _ADJUSTED),
    Action("value_on", "right", "Right", "value on", "Go to the next value; it is kept at once.", _ADJUSTED),
    Action("type", "enter", "Enter", "type", "Type a value; where there are only words, take the next.", _ADJUSTED),
    Action("row_on", "down", "Down", "down", "Go to the setting below.", _ADJUSTED, in_line=False),
    Action("row_back", "up", "Up", "up", "Go to the setting above.", _ADJUSTED, in_line=False),
    Action(
        "microphone", "m", "M", "microphone", "Open the microphone to see its level, or close it; nothing is kept.",
        (SOUND,),
    ),
    Action("look", "r", "R", "look again", "Look again for sound devices; what sounds is stopped.", (SOUND,)),
    Action("open", "enter", "Enter", "open", "Open the tune under the cursor.", (TUNES,)),
    Action(
        "search", "slash", "/", "search", "Show only tunes with some words in title, home or cadences.",
        (TUNES,),
    ),
    Action("add", "a", "A", "add", "Add a chart of yours, or a folder of them.", (TUNES,)),
    Action("learn", "l", "L", "learn", "Take up the tune's route as something to learn, or let it rest.", (TUNES,)),
    Action("whole", "enter", "Enter", "open", "See all about the type that is marked.", (PROGRESS,)),
    Action(
        "view_on", "right", "Right", "view on",
        "Go on to the next view: types, keys, confusions, times, weeks.", (PROGRESS,),
    ),
    Action("view_back", "left", "Left", "view back", "Go back to the view before.", (PROGRESS,)),
    Action("play", "space", "Space", "play, stop", "Play from the bar under the cursor; again stops.", (TUNE,)),
    Action("route", "r", "R", "route", "Hear the key centers alone, each by a cadence.", (TUNE,)),
    Action("bar_on", "right", "Right", "bar on", "Go a bar on.", (TUNE,)),
    Action("bar_back", "left", "Left", "bar back", "Go a bar back.", (TUNE,)),
    Action("line_on", "down", "Down", "line on", "Go a line of bars on.", (TUNE,), in_line=False),
    Action("line_back", "up", "Up", "line back", "Go a line of bars back.", (TUNE,), in_line=False),
    Action(
        "first_on", "enter", "Enter", "go on", "Go on, once you have heard it; before that, hear it again.", (FIRST,),
    ),
    Action("first_again", "space", "Space", "again", "Hear it again; a digit answers.", (FIRST,)),
    Action("pass", "p", "P", "pass", "Go straight to the questions.", (FIRST,)),
    Action("again", "f2", "F2", "again", "Hear it once more; so does Space on an empty line.", (DRILL,)),
    Action("slower", "f3", "F3", "slower", "Hear it slower.", (DRILL,)),
    Action("bass", "f4", "F4", "bass", "Hear the bass alone.", (DRILL,)),
    Action("guide", "f5", "F5", "guide tones", "Hear the guide tones alone.", (DRILL,)),
    Action("arpeggio", "f6", "F6", "arpeggio", "Hear the chords note by note.", (DRILL,)),
    Action("key", "f7", "F7", "key first", "Hear the key first.", (DRILL,)),
    Action("skip", "f8", "F8", "skip", "Pass the question over; it counts as not heard.", (DRILL,)),
    Action(
        "pause", "f9", "F9", "pause", "Stop the sound and the clock; {pause} goes on, from the beginning.", (DRILL,),
    ),
    Action("go_on", "enter", "Enter", "next", "Go on to the next question.", (TOLD,)),
    Action("hear_right", "space", "Space", "as it was", "Hear the question as it was.", (TOLD,)),
    Action("hear_mine", "m", "M", "as I said", "Hear the stretch as you answered it.", (TOLD,)),
    Action(
        "slip", "s", "S", "a slip", "Say that the answer was a slip of the finger; it won't count.", (TOLD,),
    ),
    Action("words", "w", "W", "words", "See what the words mean, and hear them.", (TODAY, TOLD, PROGRESS, HELP)),
    Action("stop", "escape", "Esc", "stop", "End the session here; every answer is kept.", (DRILL, TOLD)),
    Action("up", "plus", "+", "louder", "Turn the sound up; it is kept.", (TOLD, TUNE), in_line=False),
    Action("down", "minus", "-", "softer", "Turn the sound down; it is kept.", (TOLD, TUNE), in_line=False),
    Action("louder", "up", "Up", "louder", "Turn the sound up.", (LEVEL,)),
    Action("softer", "down", "Down", "softer", "Turn the sound down.", (LEVEL,)),
    Action("sample", "space", "Space", "hear", "Hear the sample.", (LEVEL,)),
    Action("hear_word", "space", "Space", "hear", "Hear an example of the word under the cursor.", (WORDS,)),
    Action("word_on", "down", "Down", "next word", "Go a word on; letters that you type look for one.", (WORDS,)),
    Action("word_back", "up", "Up", "word before", "Go a word back.", (WORDS,), in_line=False),
    Action("words_on", "pagedown", "PgDn", "words on", "Go some words on.", (WORDS,), in_line=False),
    Action("words_back", "pageup", "PgUp", "words back", "Go some words back.", (WORDS,), in_line=False),
    Action("keep", "enter", "Enter", "keep", "Keep this level.", (LEVEL,)),
    Action("own_keys", "k", "K", "other keys", "Choose other keys for what the keys do; they are kept.", (HELP,)),
    Action("change_key", "enter", "Enter", "another key", "Choose another key for the line under the cursor.", (KEYS,)),
    Action("usual_key", "delete", "Del", "usual key", "Give the line under the cursor its usual key back.", (KEYS,)),
    Action("back", "escape", "Esc", "back", "Go back.", _BEHIND),
    Action("help", "f1", "F1", "help", "What the keys do here.", tuple(one for one in SCREENS if one != HELP)),
    Action(
        "find", "ctrl+p", "Ctrl+P", "find", "Find what can be done here by a word of it, and do it.", tuple(SCREENS),
        in_line=False,
    ),
    Action("leave", "q", "Q", "leave", "Leave keyfarer.", (TODAY, SUMMARY, TUNES, TUNE, PROGRESS, TYPE, *_ADJUSTED)),
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


SHOWN = {
    "escape": "Esc", "pageup": "PgUp", "pagedown": "PgDn", "insert": "Ins", "delete": "Del",
}  # fmt: skip
"""Keys that players read otherwise than Textual names them."""


def shown_key(key: str) -> str:
    """A key as players read it, from its name."""
    if key in SHOWN:
        return SHOWN[key]
    if key.startswith("ctrl+") and len(key) > len("ctrl+"):
        return f"Ctrl+{shown_key(key.removeprefix('ctrl+'))}"
    if len(key) == 1:
        return key.upper() if len(key.upper()) == 1 else key
    return _signs().get(key) or key.capitalize()


@lru_cache(maxsize=1)
def _signs() -> dict[str, str]:
    """The signs of a keyboard by their keys' names, which are Textual's to give."""
    from textual.keys import _character_to_key

    signs = (chr(code) for code in range(33, 0x250) if chr(code).isprintable() and not chr(code).isalnum())
    return {_character_to_key(sign): sign for sign in signs}


def actions_on(screen: str, actions: Sequence[Action] = ACTIONS) -> tuple[Action, ...]:
    """The actions of a screen, in order."""
    return tuple(action for action in actions if screen in action.screens)


def bindings_on(screen: str) -> list[BindingType]:
    """The bindings of a screen; a player's own key takes the place of an action's by its id."""
    return [
        Binding(action.key, action.id, action.word, show=False, priority=action.first, id=action.id)
        for action in actions_on(screen)
    ]
