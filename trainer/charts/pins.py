"""The player's word on a key center: `{Bb}`, `{g}`, `{}`, `{Bb: ii7}`, on a command `9.3=Bb:ii7`."""

import re
from fractions import Fraction

from trainer.charts.chart import Pin
from trainer.charts.lexer import shortened
from trainer.errors import Fault, TextError
from trainer.harmony.key import Key, parse_key
from trainer.harmony.numeral import parse_numeral
from trainer.harmony.pitch import HarmonyError
from trainer.records import dataclass

PIN_OPTION_TOLD = "a bar, or a bar and a beat as played, and a pin: `9=Bb`, `9.3=Bb:ii7`"

_OPTION = re.compile(r"\s*(\d{1,6})(?:\.(\d{1,6}(?:\.\d{1,6}|/\d{1,6})?))?\s*=(.*)", re.DOTALL | re.ASCII)


@dataclass(frozen=True, slots=True)
class PlacedPin:
    """A pin at a bar and beat as played; it goes before what the chart says there."""

    bar: int
    beat: Fraction
    """From 1."""
    pin: Pin
    text: str = ""
    """The option as it was given."""


def parse_pin(text: str, line: int = 0, column: int = 1) -> Pin:
    """Read what stands between the braces of a pin; the place is where it begins. Raises TextError.

    Nothing but white space ends the pin before it.
    """
    key_text, colon, numeral_text = text.partition(":")
    if not text.strip():
        return Pin(None)
    faults: list[Fault] = []
    center: Key | None = None
    try:
        center = parse_key(key_text.strip())
    except HarmonyError as error:
        place = column + _indent(key_text) + error.column - 1
        faults.append(Fault(line, place if line else 0, error.found, error.expected))
    numeral = None
    if colon:
        try:
            numeral = parse_numeral(numeral_text.strip())
        except HarmonyError as error:
            place = column + len(key_text) + 1 + _indent(numeral_text) + error.column - 1
            faults.append(Fault(line, place if line else 0, error.found, error.expected))
    if faults:
        raise TextError("-", tuple(faults))
    return Pin(center, numeral)


def pin_text(pin: Pin) -> str:
    """Write a pin as it stands in a chart, braces included."""
    if pin.center is None:
        return "{}"
    mode = "" if pin.center.mode == "major" else " minor"
    numeral = f": {pin.numeral.text}" if pin.numeral else ""
    return f"{{{pin.center.tonic}{mode}{numeral}}}"


def parse_pin_option(text: str) -> PlacedPin:
    """Read a command's pin: `9=Bb`, `9.3=Bb:ii7`, or `9=`, which ends one. Raises TextError."""
    file = "--pin " + shortened(text)
    found = _OPTION.fullmatch(text)
    if found is None:
        raise TextError(file, (Fault(0, 0, f"`{shortened(text)}`", PIN_OPTION_TOLD),))
    bar, beat_text, pin = found.groups()
    try:
        beat = Fraction(beat_text or 1)
    except ZeroDivisionError:
        beat = Fraction(0)
    if beat < 1:
        raise TextError(file, (Fault(0, 0, f"beat {beat_text}", "a beat from 1"),))
    try:
        return PlacedPin(int(bar), beat, parse_pin(pin.strip().removeprefix("{").removesuffix("}")), text)
    except TextError as error:
        raise TextError(file, error.faults) from None


def _indent(text: str) -> int:
    return len(text) - len(text.lstrip())
