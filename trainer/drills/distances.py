"""How far one tonic is from another, as players say it: an interval and its direction, the short way."""

import re

from trainer.drills.heard import degree_from

NAMES = {
    0: "the same key",
    1: "up a half step",
    2: "up a whole step",
    3: "up a minor third",
    4: "up a major third",
    5: "up a fourth",
    6: "a tritone away",
    -1: "down a half step",
    -2: "down a whole step",
    -3: "down a minor third",
    -4: "down a major third",
    -5: "down a fourth",
}

_UP = frozenset({"up", "above", "higher", "over", "upward", "upwards"})
_DOWN = frozenset({"down", "below", "lower", "under", "downward", "downwards"})
_FILLERS = frozenset({"a", "an", "the", "by", "away", "is", "it", "key", "one", "perfect", "from"})
_INTERVALS = {
    "half step": 1, "half steps": 1, "halfstep": 1, "semitone": 1, "half tone": 1, "half": 1,
    "minor second": 1,
    "whole step": 2, "wholestep": 2, "whole tone": 2, "tone": 2, "step": 2, "whole": 2, "major second": 2,
    "minor third": 3, "major third": 4, "fourth": 5, "tritone": 6, "augmented fourth": 6,
    "diminished fifth": 6, "fifth": 7, "minor sixth": 8, "major sixth": 9, "minor seventh": 10,
    "major seventh": 11,
}  # fmt: skip
_SHORT = {"m2": 1, "M2": 2, "m3": 3, "M3": 4, "P4": 5, "A4": 6, "d5": 6, "TT": 6, "P5": 7,
          "m6": 8, "M6": 9, "m7": 10, "M7": 11}  # fmt: skip
_SHORT_ANY_CASE = {"p4": 5, "a4": 6, "d5": 6, "tt": 6, "p5": 7}
_COUNTS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}


def short_way(semitones: int) -> int:
    """Half steps the short way round, -5 to 6."""
    up = semitones % 12
    return up if up <= 6 else up - 12


def distance_text(semitones: int) -> str:
    """The distance as players say it."""
    return NAMES[short_way(semitones)]


def read_distance(text: str) -> int | None:
    """Read a distance: `up a half step`, `m3 down`, `+1`, `-4`, `tritone`, `b2`; None where it is none.

    A bare degree is the foreign tonic as a degree of the awaited key.
    """
    stripped = text.strip()
    if re.fullmatch(r"[+−-]\s*\d{1,2}", stripped):
        number = int(stripped[1:])
        return None if number > 12 else short_way(number if stripped[0] == "+" else -number)
    degree = degree_from(stripped)
    if degree is not None:
        return short_way(degree.semitones)
    words = [word for word in re.split(r"[\s-]+", stripped) if word]
    directions = [1 if word.lower() in _UP else -1 for word in words if word.lower() in _UP | _DOWN]
    rest = [word for word in words if word.lower() not in _UP | _DOWN]
    size = _size(rest)
    if size is None or len(directions) > 1:
        return None
    if not directions:
        return short_way(size) if size in (0, 6) else None
    return short_way(size * directions[0])


def _size(words: list[str]) -> int | None:
    kept = [word for word in words if word.lower() not in _FILLERS]
    text = " ".join(kept)
    if text in _SHORT:
        return _SHORT[text]
    lower = text.lower()
    if lower in _SHORT_ANY_CASE:
        return _SHORT_ANY_CASE[lower]
    if lower in _INTERVALS:
        return _INTERVALS[lower]
    if lower in ("same", "unison", "parallel"):
        return 0
    count = re.fullmatch(r"(\d{1,2}|two|three|four|five|six) (?:half ?steps?|semitones?|half tones?)", lower)
    if count is not None:
        number = _COUNTS.get(count[1]) or int(count[1])
        return number if number <= 12 else None
    return None
