"""What each setting is called, what it means, how its values are said, and by which steps it is changed.

One table, from which the screens, `keyfarer settings` and README are made.  A setting that has no row here yet
is told by its name and its rule, so that a new one is never out of reach.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import field, fields

from trainer.records import dataclass
from trainer.settings import (
    BASS_FEELS,
    COMPINGS,
    INSTRUMENTS,
    LOOKS,
    NOTE_NAMES,
    NUMERALS,
    PLAYED_STYLES,
    RULES,
    TIME_KEEPERS,
    Settings,
    SettingsError,
    Value,
)

PRACTICE, SOUND, TUNES, SHOWN, OTHERS = "Practice", "Sound", "How tunes are played", "What is shown", "More"
"""The groups, in their order."""
YES, NO = "yes", "no"
TYPED_BOOLS = {YES: True, "true": True, "on": True, NO: False, "false": False, "off": False}
"""What may be typed for yes and no."""


@dataclass(frozen=True, slots=True)
class Told:
    """One setting in words."""

    name: str
    """As in the file."""
    group: str
    called: str
    """What a player calls it."""
    about: str
    """What it means, in a sentence or two."""
    stops: tuple[Value, ...] = ()
    """The values that one goes through by keys, in order; none where it is typed. Of numbers others may be typed."""
    words: Mapping[Value, str] = field(default_factory=dict)
    """What some values mean."""
    said: Mapping[Value, str] = field(default_factory=dict)
    """How some values are said; the others speak for themselves."""
    unit: str = ""
    """Said behind a number."""
    later: str = ""
    """When it takes effect, where that isn't at once."""


def _numbers(low: float, high: float, step: float) -> tuple[Value, ...]:
    return tuple(round(low + n * step, 3) for n in range(round((high - low) / step) + 1))


BOTH: tuple[Value, ...] = (False, True)

TABLE: tuple[Told, ...] = (
    Told("minutes", PRACTICE, "minutes a day", "How long the questions of a day take.", tuple(range(1, 181))),
    Told("wanted_recall", PRACTICE, "how sure", "How likely you should still hear a type when it comes back. Higher "
         "brings types back sooner, so that fewer new ones have room.", _numbers(0.7, 0.97, 0.01)),
    Told("day_ends_hour", PRACTICE, "the day ends at", "At this hour of the night the next practice day begins.",
         tuple(range(13)), unit="h"),
    Told("tunes_first", PRACTICE, "your tunes first", "New types that your own tunes are made of come before others.",
         BOTH),
    Told("device", SOUND, "sound device", "Where the sound goes.", said={"": "the system's own"}),
    Told("volume_db", SOUND, "level", "How far everything that is played is turned down; files are not touched.",
         _numbers(-40.0, 0.0, 2.0), unit="dB"),
    Told("level_set", SOUND, "level was set", "Whether you have set the listening level once; as long as you have "
         "not, what sounds begins quiet and you are asked to set it.", BOTH),
    Told("a4_hz", SOUND, "tuning note", "How high the A above middle C sounds (ISO 16: 440 Hz).",
         _numbers(415.0, 466.0, 1.0), unit="Hz"),
    Told("room", SOUND, "room", "How much of a small room is around tunes: 0 is none, 1 as strong as the sound itself; "
         "questions have none.", _numbers(0.0, 1.0, 0.1)),
    Told("style", TUNES, "voicing", "How chords are laid out in tunes.", PLAYED_STYLES, {
        "rootless": "from the 3rd or from the 7th, with tensions", "close": "all tones within an octave",
        "shells": "root, 3rd and 7th", "drop-2": "close, the second tone from the top an octave lower",
        "spread": "3rd and 7th wide apart over a deep root", "quartal": "in fourths"}),
    Told("comping", TUNES, "comping", "When chords are struck in tunes.", ("", *COMPINGS), {
        "": "the Charleston, in three the waltz", "charleston": "on one and the \"and\" of two",
        "waltz": "short on the beats that the bass leaves free", "quarters": "short on every beat",
        "pushes": "an eighth ahead of the beat and tied over it", "held": "once and held",
        "bossa": "a pattern of two bars"}, said={"": "as the meter asks"}),
    Told("bass", TUNES, "bass", "What the bass does in tunes.", BASS_FEELS, {
        "halves": "in two: at the start of each group of beats", "quarters": "on every beat", "held": "once and held",
        "walking": "a line of quarters that leads on", "bossa": "root and fifth in dotted pairs"}),
    Told("time", TUNES, "time", "Who keeps time in tunes.", ("", *TIME_KEEPERS),
         {"brush": "brushes", "click": "a click on every beat"}, said={"": "nobody"}),
    Told("hands", TUNES, "uneven", "Tunes are played a little unevenly, as people do.", BOTH),
    Told("ratio", TUNES, "swing", "Long to short of swung eighths, in tunes that swing: 1 is even, 2 a triplet.",
         (0.0, *_numbers(1.0, 3.0, 0.25)), said={0.0: "as the chart has it"}),
    Told("look", SHOWN, "colors", "How the screens are colored.", LOOKS,
         {"evening": "dark", "paper": "light", "stark": "the strongest contrast"}),
    Told("instrument", SHOWN, "your instrument", "For whose pitch `analyze` and `play` write chords and keys; charts "
         "stay in concert pitch.", INSTRUMENTS, {
             "C": "as it sounds", "Bb": "a whole step above the sound", "Eb": "a major sixth above the sound",
             "F": "a fifth above the sound"}),
    Told("numerals", SHOWN, "numerals", "How `analyze` and `play` write what a chord does.", NUMERALS,
         {"roman": "ii7 V7 Imaj7", "upper": "IIm7 V7 Imaj7", "arabic": "2-7 5(7) 1maj7"}),
    Told("note_names", SHOWN, "note names", "How notes, keys and chords are named where they are told, and read where "
         "you type them. Charts, files and data stay English.", NOTE_NAMES, {
             "english": "Bb is B flat, B is B natural", "german": "B is B flat, H is B natural",
             "solfege": "Sib and Si, fixed do"}),
    Told("plain", SHOWN, "plain lines", "Lines of text in place of the screens, for screen readers and braille.",
         BOTH, later="from the next start on"),
)  # fmt: skip
"""The settings, in the order in which they are shown."""

_DEFAULTS = {each.name: getattr(Settings(), each.name) for each in fields(Settings)}
_RULES = {rule.name: rule for rule in RULES}


def _all_told() -> Mapping[str, Told]:
    """The rows by name, and rows made for settings that have none; tables of values are no setting by themselves."""
    known = {row.name: row for row in TABLE}
    for name, default in _DEFAULTS.items():
        if name not in known and name in _RULES and isinstance(default, bool | int | float | str):
            stops = BOTH if isinstance(default, bool) else ()
            known[name] = Told(name, OTHERS, name.replace("_", " "), "", stops)
    return known


TOLD: Mapping[str, Told] = _all_told()
"""Every setting by its name."""


def default_of(name: str) -> Value:
    """What a setting is where nobody set it."""
    value: Value = _DEFAULTS[name]
    return value


def told_value(name: str, value: Value) -> str:
    """A value as players say it."""
    row = TOLD[name]
    if isinstance(value, bool):
        return YES if value else NO
    if value in row.said:
        return row.said[value]
    words = f"{value:g}" if isinstance(value, float) else str(value)
    return f"{words} {row.unit}" if row.unit else words


def told_allowed(name: str) -> str:
    """What a setting may be, as a part of a sentence."""
    row = TOLD[name]
    if isinstance(default_of(name), bool):
        return f"{YES} or {NO}"
    if row.stops and isinstance(row.stops[0], str):
        said = (f'"{row.said[stop]}"' if stop in row.said else told_value(name, stop) for stop in row.stops)
        return f"one of {', '.join(said)}"
    return _RULES[name].expected.replace(" in quotes", "")


def stepped(name: str, value: Value, by: int) -> Value:
    """The value some stops on; numbers between two stops go to the next one, and both ends are the end.

    Words go round, for their order means nothing.
    """
    stops = TOLD[name].stops
    if not stops:
        return value
    if isinstance(value, str | bool):
        at = stops.index(value) if value in stops else 0
        return stops[(at + by) % len(stops)]
    numbers = [stop for stop in stops if isinstance(stop, int | float)]
    at = bisect_right(numbers, value) - 1 + by if by > 0 else bisect_left(numbers, value) + by
    return numbers[min(max(at, 0), len(numbers) - 1)]


def read_typed(name: str, text: str) -> Value:
    """The value that was typed for a setting, as it is written in the file or as it is said. Raises SettingsError."""
    row, default, words = TOLD[name], default_of(name), text.strip()
    said = {told_value(name, stop).casefold(): stop for stop in (*row.said, *row.stops)}
    value: Value | None = None
    if isinstance(default, bool):
        value = TYPED_BOOLS.get(words.casefold())
    elif isinstance(default, str):
        value = said.get(words.casefold(), words)
    elif words.casefold() in said:
        value = said[words.casefold()]
    else:
        value = _number(words.removesuffix(row.unit).strip() if row.unit else words, isinstance(default, float))
    if value is None or not _RULES[name].allowed(value):
        expected = f"expected {told_allowed(name)}. Nothing was changed."
        raise SettingsError(f"{row.called} ({name}): {text!r} isn't allowed; {expected}")
    return value


def _number(words: str, fraction: bool) -> int | float | None:
    try:
        return float(words) if fraction else int(words)
    except ValueError:
        return None
