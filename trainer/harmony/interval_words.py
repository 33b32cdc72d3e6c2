"""Intervals as players say them: `minor third`, `down a fifth`, `m3`, `-2` (half steps), `whole step`.

What has a number and a quality is spelled; half steps and the tritone are not, and stay a count.
"""

import re

from trainer.harmony.interval import Interval, degree_interval
from trainer.harmony.pitch import HarmonyError

FURTHEST = 24
"""Half steps: two octaves; names come home after one."""
EXPECTED = (
    f"an interval (`m3`, `P4`, `-M2`, `minor third`, `down a fifth`) or half steps from -{FURTHEST} to {FURTHEST}"
)

_NUMBERS = (
    "unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth", "eleventh",
    "twelfth", "thirteenth",
)  # fmt: skip
_QUALITIES = {"perfect": "P", "major": "M", "minor": "m", "augmented": "A", "diminished": "d"}
_COUNTED = {
    "half step": 1, "half steps": 1, "semitone": 1, "semitones": 1, "whole step": 2, "whole steps": 2, "tone": 2,
    "tones": 2, "whole tone": 2, "whole tones": 2, "tritone": 6,
}  # fmt: skip
_PERFECT = frozenset({0, 3, 4})
"""Letters walked, within an octave, by the intervals that are perfect and never major or minor."""

_WORDS = re.compile(r"(?P<sign>[-+−]|up\b|down\b)? *(?:(?:an?|(?P<count>\d{1,2})) +)?(?P<name>[a-z ]+)", re.ASCII)
_SHORT = re.compile(r"(?P<sign>[-+−]|up\b|down\b)? *(?P<quality>[PMmAd])(?P<number>\d{1,2})", re.ASCII)
_HALF_STEPS = re.compile(r"(?P<sign>[-+−])? *(?P<count>\d{1,2})", re.ASCII)


class IntervalNameError(HarmonyError):
    """An interval's name that can't be read."""

    what = "interval"


def parse_interval(text: str) -> Interval | int:
    """Read an interval, or a count of half steps, signed; a down sign is `-` or `down`. Raises IntervalNameError."""
    stripped = " ".join(text.split())
    found = _found(stripped)
    if found is None or abs(found.semitones if isinstance(found, Interval) else found) > FURTHEST:
        raise IntervalNameError(text, 1, repr(text) if stripped else "nothing", EXPECTED)
    return found


def _found(text: str) -> Interval | int | None:
    if (short := _SHORT.fullmatch(text)) is not None:
        return _signed(_interval(int(short["number"]), short["quality"]), short["sign"])
    if (steps := _HALF_STEPS.fullmatch(text)) is not None:
        return _signed(int(steps["count"]), steps["sign"])
    words = _WORDS.fullmatch(text.casefold())
    if words is None:
        return None
    name = words["name"]
    if name in _COUNTED:
        return _signed(int(words["count"] or 1) * _COUNTED[name], words["sign"])
    if words["count"]:
        return None
    quality, _, number = name.rpartition(" ")
    if number not in _NUMBERS or (quality and quality not in _QUALITIES):
        return None
    return _signed(_interval(_NUMBERS.index(number) + 1, _QUALITIES.get(quality, "P")), words["sign"])


def _interval(number: int, quality: str) -> Interval | None:
    """An interval upward; None where there is none of this number and quality."""
    if not number:
        return None
    plain = degree_interval(number)
    perfect = plain.steps % 7 in _PERFECT
    changes = {"P": 0, "A": 1, "d": -1} if perfect else {"M": 0, "m": -1, "A": 1, "d": -2}
    if quality not in changes or (number == 1 and quality == "d"):
        return None
    return Interval(plain.steps, plain.semitones + changes[quality])


def _signed(found: Interval | int | None, sign: str | None) -> Interval | int | None:
    return found if found is None or sign in (None, "+", "up") else -found
