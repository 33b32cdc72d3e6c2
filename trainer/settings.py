"""The player's settings: one small TOML file, every value with a default, range and meaning.

The file is only read here and written by `save`, which refuses to touch a file it can't read.
"""

import os
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, NamedTuple

from trainer.errors import KeyfarerError
from trainer.records import dataclass

Value = bool | int | float | str


class SettingsError(KeyfarerError):
    """Settings that can't be read; the file is left as it is."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the player can set."""

    minutes: int = 10
    """Minutes of practice a day."""
    wanted_recall: float = 0.9
    """How sure a type should still be when it falls due; higher means sooner."""
    day_ends_hour: int = 4
    """A practice day ends at this hour of the night."""
    a4_hz: float = 440.0
    """The tuning note (ISO 16)."""
    volume_db: float = 0.0
    """Turns everything that is played down; files are not touched."""
    device: str = ""
    """The sound device's name; empty takes the system's own."""
    plain: bool = False
    """Lines of text in place of the terminal app, for screen readers and braille."""
    level_set: bool = False
    """The listening level has been set once."""
    look: str = "evening"
    """The app's colors: evening (dark), paper (light) or stark (the strongest contrast)."""
    instrument: str = "C"
    """For whose pitch chords and keys are written: C, Bb, Eb or F; charts stay in concert pitch."""
    numerals: str = "roman"
    """How numerals are written: roman (ii7), upper (IIm7) or arabic (2-7)."""
    note_names: str = "english"
    """How notes, keys and chords are named: english (Bb), german (B) or solfege (Sib); charts stay English."""
    room: float = 0.3
    """How much of a small room is around tunes: 0 none, 1 as strong as the sound; questions have none."""
    style: str = "rootless"
    """How chords are laid out in tunes."""
    comping: str = ""
    """When chords are struck in tunes; empty is the Charleston, or the waltz in three."""
    bass: str = "halves"
    """What the bass does in tunes."""
    time: str = ""
    """Who keeps time in tunes; empty is nobody."""
    hands: bool = False
    """Tunes are played a little unevenly, as people do."""
    tunes_first: bool = True
    """New types that the player's own tunes are made of come before the others."""
    ratio: float = 0.0
    """Long to short of swung eighths, in tunes that swing; 0 is the chart's own."""


LOOKS = ("evening", "paper", "stark")
INSTRUMENTS = ("C", "Bb", "Eb", "F")
NUMERALS = ("roman", "upper", "arabic")
NOTE_NAMES = ("english", "german", "solfege")
PLAYED_STYLES = ("rootless", "close", "shells", "drop-2", "spread", "quartal")
COMPINGS = ("charleston", "waltz", "quarters", "pushes", "held", "bossa")
BASS_FEELS = ("halves", "quarters", "held", "walking", "bossa")
TIME_KEEPERS = ("brush", "click")
"""The words for what tunes are played with; they are those of `keyfarer play`."""


class Rule(NamedTuple):
    """What a setting may be."""

    name: str
    allowed: Callable[[Value], bool]
    expected: str


def _one_of(words: tuple[str, ...]) -> Callable[[Value], bool]:
    return lambda value: value in words


def _between(low: float, high: float, whole: bool = False) -> Callable[[Value], bool]:
    def fits(value: Value) -> bool:
        kinds = int if whole else (int, float)
        return isinstance(value, kinds) and not isinstance(value, bool) and low <= value <= high

    return fits


def _swings(value: Value) -> bool:
    return _between(0.0, 0.0)(value) or _between(1.0, 3.0)(value)


RULES: tuple[Rule, ...] = (
    Rule("minutes", _between(1, 180, whole=True), "a whole number of minutes from 1 to 180"),
    Rule("wanted_recall", _between(0.7, 0.97), "a number from 0.7 to 0.97"),
    Rule("day_ends_hour", _between(0, 12, whole=True), "an hour from 0 to 12"),
    Rule("a4_hz", _between(415.0, 466.0), "a frequency from 415 to 466"),
    Rule("volume_db", _between(-40.0, 0.0), "decibels from -40 to 0"),
    Rule("device", lambda value: isinstance(value, str), "a device's name in quotes"),
    Rule("plain", lambda value: isinstance(value, bool), "true or false"),
    Rule("level_set", lambda value: isinstance(value, bool), "true or false"),
    Rule("look", _one_of(LOOKS), f"one of {', '.join(LOOKS)} in quotes"),
    Rule("instrument", _one_of(INSTRUMENTS), f"one of {', '.join(INSTRUMENTS)} in quotes"),
    Rule("numerals", _one_of(NUMERALS), f"one of {', '.join(NUMERALS)} in quotes"),
    Rule("note_names", _one_of(NOTE_NAMES), f"one of {', '.join(NOTE_NAMES)} in quotes"),
    Rule("room", _between(0.0, 1.0), "a number from 0 (none) to 1"),
    Rule("style", _one_of(PLAYED_STYLES), f"one of {', '.join(PLAYED_STYLES)} in quotes"),
    Rule(
        "comping", _one_of(("", *COMPINGS)), f'one of {", ".join(COMPINGS)} in quotes, or "" for what suits the meter'
    ),
    Rule("bass", _one_of(BASS_FEELS), f"one of {', '.join(BASS_FEELS)} in quotes"),
    Rule("time", _one_of(("", *TIME_KEEPERS)), f'one of {", ".join(TIME_KEEPERS)} in quotes, or "" for nobody'),
    Rule("hands", lambda value: isinstance(value, bool), "true or false"),
    Rule("tunes_first", lambda value: isinstance(value, bool), "true or false"),
    Rule("ratio", _swings, "a number from 1 (even) to 3, or 0 for the chart's own"),
)


def read_settings(text: str, file: str) -> Settings:
    """Read the settings' text. Raises SettingsError with every fault in it."""
    import tomllib  # only who has set something waits for it

    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(
            f"{file}: these settings can't be read ({error}); mend the line or move the file away. Nothing was changed."
        ) from None
    rules = {rule.name: rule for rule in RULES}
    faults = []
    for name, value in values.items():
        rule = rules.get(name)
        if rule is None:
            faults.append(f"{file}: there is no setting {name!r}; there are {', '.join(rules)}")
        elif not rule.allowed(value):
            faults.append(f"{file}: {name} is {value!r}; expected {rule.expected}")
    if faults:
        raise SettingsError("\n".join([*faults, "Nothing was changed."]))
    floats = {"wanted_recall", "a4_hz", "volume_db", "room", "ratio"}
    checked: dict[str, Any] = {name: float(value) if name in floats else value for name, value in values.items()}
    return Settings(**checked)


def settings_text(settings: Settings) -> str:
    """The settings as the file's text; reading it gives the same settings."""
    lines = ["# keyfarer's settings. Delete a line to have its default back."]
    for field in fields(Settings):
        value = getattr(settings, field.name)
        if value != field.default:
            lines.append(f"{field.name} = {_toml(value)}")
    return "\n".join(lines) + "\n"


_ESCAPED = {chr(code): f"\\u{code:04x}" for code in (*range(32), 127)} | {"\\": "\\\\", '"': '\\"'}
"""What may not stand in a TOML string as it is (TOML 1.0, basic strings)."""


def _toml(value: Value) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{"".join(_ESCAPED.get(sign, sign) for sign in value)}"'
    return repr(value)


def load(file: Path) -> Settings:
    """The settings of a file; the defaults where there is none. Raises SettingsError."""
    try:
        text = file.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Settings()
    except UnicodeDecodeError:
        raise SettingsError(
            f"{file}: these settings are not text; mend the file or move it away. Nothing was changed."
        ) from None
    except OSError as error:
        raise SettingsError(f"{file}: these settings can't be read ({error.strerror}).") from None
    return read_settings(text, str(file))


def save(file: Path, **changes: Value) -> Settings:
    """Change settings in the file, atomically. Raises SettingsError and changes nothing if it can't be read."""
    settings = replace(load(file), **changes)  # type: ignore[arg-type]
    read_settings(settings_text(settings), str(file))
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        fresh = file.with_name(file.name + ".new")
        fresh.write_text(settings_text(settings), encoding="utf-8")
        os.replace(fresh, file)
    except OSError as error:
        raise SettingsError(f"{file}: the settings can't be saved ({error.strerror}).") from None
    return settings
