"""The header of a chart: what each `name: value` line says, and how it is written again."""

import re
from fractions import Fraction

from trainer.charts.chart import Meter
from trainer.charts.lexer import shortened
from trainer.harmony.key import Key, parse_key
from trainer.harmony.pitch import HarmonyError
from trainer.records import dataclass

NAMES = ("title", "composer", "key", "meter", "tempo", "feel", "form", "pickup", "trains", "source")
"""Every name this program knows, in the order they are written."""

SLOWEST_BPM, FASTEST_BPM = 10, 600
MOST_BEATS = 32
BEAT_UNITS = (1, 2, 4, 8, 16, 32)
TRIPLET_SWING = Fraction(2)
WIDEST_SWING = 4

_NAME = re.compile(r"[^\W\d_][\w .'-]*")
_METER = re.compile(r"(\d{1,3})\s*/\s*(\d{1,3})", re.ASCII)
_NUMBER = re.compile(r"\d{1,9}(?:\.\d{1,9})?|\d{1,18}/0*[1-9]\d{0,17}", re.ASCII)
_RATIO = re.compile(r"(\d{1,6})\s*:\s*0*([1-9]\d{0,5})", re.ASCII)


class ValueFaultError(Exception):
    """A header value that can't be read: what was found where in it, and what would have been accepted."""

    def __init__(self, found: str, expected: str, offset: int = 0) -> None:
        super().__init__(found)
        self.found = found
        self.expected = expected
        self.offset = offset


@dataclass(frozen=True, slots=True)
class HeaderLine:
    """A line that has the form `name: value`."""

    name: str
    value: str
    name_column: int
    value_column: int

    @property
    def known_as(self) -> str:
        """The name without regard to capitals and spacing."""
        return " ".join(self.name.casefold().split())


def header_line(line: str) -> HeaderLine | None:
    """Read a line as `name: value`; None where it has another form."""
    before, colon, after = line.partition(":")
    name, value = before.strip(), after.strip()
    if not colon or after.startswith("|") or not _NAME.fullmatch(name):
        return None
    name_column = len(before) - len(before.lstrip()) + 1
    return HeaderLine(name, value, name_column, len(before) + 2 + len(after) - len(after.lstrip()))


def parse_key_hint(value: str) -> Key | None:
    """Read the printed signature; None is `none`."""
    if value.casefold() == "none":
        return None
    try:
        return parse_key(value)
    except HarmonyError as error:
        raise ValueFaultError(error.found, f"`none`, or {error.expected}", error.column - 1) from None


def parse_meter(value: str) -> Meter:
    """Read a meter such as 4/4 or 6/8."""
    expected = f"a meter such as 4/4, 3/4 or 6/8: up to {MOST_BEATS} beats over 1, 2, 4, 8, 16 or 32"
    found = _METER.fullmatch(value)
    if found is None:
        raise ValueFaultError(f"`{shortened(value)}`", expected)
    beats, unit = int(found[1]), int(found[2])
    if not 1 <= beats <= MOST_BEATS or unit not in BEAT_UNITS:
        raise ValueFaultError(f"`{value}`", expected)
    return Meter(beats, unit)


def parse_tempo(value: str) -> Fraction:
    """Read beats a minute: quarters, dotted quarters in compound meters."""
    expected = f"a number of beats a minute from {SLOWEST_BPM} to {FASTEST_BPM}, such as 132"
    tempo = _number(value, expected)
    if not SLOWEST_BPM <= tempo <= FASTEST_BPM:
        raise ValueFaultError(f"`{shortened(value)}`", expected)
    return tempo


def parse_feel(value: str) -> Fraction:
    """Read how a pair of eighths is played: `straight`, `swing` (2:1), or its long to its short."""
    expected = f"`straight`, `swing`, or how long the long eighth is, 1 to {WIDEST_SWING}: `2:1`, `1.5`"
    word = value.casefold()
    if word == "straight":
        return Fraction(1)
    if word == "swing":
        return TRIPLET_SWING
    found = _RATIO.fullmatch(value)
    ratio = Fraction(int(found[1]), int(found[2])) if found else _number(value, expected)
    if not 1 <= ratio <= WIDEST_SWING:
        raise ValueFaultError(f"`{shortened(value)}`", expected)
    return ratio


def parse_pickup(value: str) -> Fraction:
    """Read the beats of the pickup bar; whether they are fewer than a bar is not judged here."""
    expected = "how many beats the pickup bar has, such as 1 or 1.5"
    pickup = _number(value, expected)
    if not 0 < pickup < MOST_BEATS:
        raise ValueFaultError(f"`{shortened(value)}`", expected)
    return pickup


def feel_text(swing: Fraction) -> str:
    """Write a feel so that it reads back."""
    names = {Fraction(1): "straight", TRIPLET_SWING: "swing"}
    return names.get(swing, f"{swing.numerator}:{swing.denominator}")


def number_text(number: Fraction) -> str:
    """Write a number as a decimal where that is exact and short, and as a fraction elsewhere."""
    if number.denominator == 1:
        return str(number.numerator)
    for digits in range(1, 7):
        scaled = number * 10**digits
        if scaled.denominator == 1:
            whole, part = divmod(scaled.numerator, 10**digits)
            return f"{whole}.{part:0{digits}d}"
    return f"{number.numerator}/{number.denominator}"


def unknown_name_told(name: str) -> str:
    """What to tell the player about a header name this program doesn't know."""
    import difflib

    near = difflib.get_close_matches(name.casefold()[:40], NAMES, 1, 0.7)
    hint = f"; did you mean `{near[0]}:`?" if near else ""
    return f"`{shortened(name)}:` is no header name known here; it is kept as it stands{hint}"


def _number(value: str, expected: str) -> Fraction:
    if not _NUMBER.fullmatch(value):
        raise ValueFaultError(f"`{shortened(value)}`" if value else "nothing", expected)
    return Fraction(value)
