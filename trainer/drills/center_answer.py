"""Key centers and their moves as players type them.

A move is an interval with its direction (`up a minor third`, `+3`, `m3 up`) or the new tonic as a degree of the
old key (`b3`), then `minor` or `major` (`m`, `M`) where the mode changes: nothing said is the mode before. The
parallel key is `parallel minor`. A center is a degree of the first key (`b3`, `6m`), where nothing said is
major, and at the first tonic the first key's mode. Where the key is given both may be named (`Eb`, `F# minor`).
"""

import re
from collections.abc import Sequence

from trainer.drills.answer import HeardCenter
from trainer.drills.distances import read_distance, short_way
from trainer.drills.heard import degree_from
from trainer.harmony.key import Key, KeyNameError, Mode, parse_key
from trainer.harmony.numeral import PLAIN_DEGREES
from trainer.reading.route import move_name

_MODES: dict[str, Mode] = {
    "major": "major", "maj": "major", "M": "major", "minor": "minor", "min": "minor", "mi": "minor", "m": "minor",
}  # fmt: skip
_MODE_AFTER = re.compile(
    r"^(?P<rest>.*?)(?:[\s,]+(?:(?:to|in|into|and)\s+)?(?:the\s+)?(?P<word>major|minor|maj|min|mi|m|M)"
    r"|(?<=[0-9iIvV])(?P<stuck>maj|min|m|M))(?:\s+key)?$",
    re.IGNORECASE,
)
_PARALLEL = re.compile(
    r"(?:to\s+)?(?:the\s+)?(?:parallel|same(?:\s+(?:key|tonic))?)[\s,]*(?:in\s+|to\s+)?(?P<mode>major|minor|maj|min|m|M)",
    re.IGNORECASE,
)
_LEADING = re.compile(r"^(?:and\s+|then\s+|to\s+|goes\s+|it\s+|moves\s+)+", re.IGNORECASE)
_BETWEEN = re.compile(r"\s*(?:[,;|→>/]|\band then\b|\bthen\b)[\s,;|→>/]*", re.IGNORECASE)
_MODE_JOINED = re.compile(r"\s*,\s*(?=(?:to\s+)?(?:major|minor)\b)", re.IGNORECASE)
LEFT_OUT = ("?", "_")


def _mode(word: str) -> Mode:
    return "major" if word == "M" else _MODES[word.lower()]


def _parted(text: str) -> tuple[str, Mode | None]:
    """A text without the mode at its end, and the mode."""
    found = _MODE_AFTER.match(text)
    if found is None:
        return text, None
    return found["rest"].strip(" ,"), _mode(found["word"] or found["stuck"])


def read_move(text: str, mode_from: Mode, before: Key | None = None) -> HeardCenter | None:
    """One move, in half steps from the center before; None where it can't be read.

    before: the center that is left, where its name is known, so that the new one may be named.
    """
    plain = _LEADING.sub("", text.strip(" .,;"))
    if plain in LEFT_OUT:
        return HeardCenter(plain, None, None)
    parallel = _PARALLEL.fullmatch(plain)
    if parallel is not None:
        return HeardCenter(plain, 0, _mode(parallel["mode"]))
    rest, mode = _parted(plain)
    up = read_distance(rest) if rest else None
    if up is None and before is not None and (key := _named(plain)) is not None:
        return HeardCenter(plain, short_way(key.tonic.pitch_class - before.tonic.pitch_class), key.mode)
    if up is None:
        up, mode = read_distance(plain), None
    return None if up is None else HeardCenter(plain, up, mode or mode_from)


def read_center(text: str, first: Key, named: bool) -> HeardCenter | None:
    """One center, in half steps above the first key's tonic; None where it can't be read."""
    plain = _LEADING.sub("", text.strip(" .,;:"))
    if plain in LEFT_OUT:
        return HeardCenter(plain, None, None)
    rest, mode = _parted(plain)
    degree = degree_from(rest)
    if degree is not None:
        usual: Mode = first.mode if degree.semitones == 0 else "major"
        return HeardCenter(plain, degree.semitones, mode or usual)
    if named and (key := _named(plain)) is not None:
        return HeardCenter(plain, (key.tonic.pitch_class - first.tonic.pitch_class) % 12, key.mode)
    return None


def _named(text: str) -> Key | None:
    try:
        return parse_key(text)
    except KeyNameError:
        return None


def pieces(text: str) -> list[str]:
    """The parts of an answer that stand apart by commas, semicolons, bars, arrows or `then`."""
    joined = _MODE_JOINED.sub(" to ", text).replace(" to to ", " to ")
    return [piece for piece in _BETWEEN.split(joined.strip(" .,;|")) if piece]


def move_text(semitones: int, mode_from: Mode, mode_to: Mode) -> str:
    """A move as the house writes it in an answer: `up a minor third to minor`."""
    return move_name(semitones, mode_from, mode_to).replace(",", "")


def center_text(center: Key, first: Key) -> str:
    """A center as a degree of the first key, with `m` where it is minor: `bIII`, `VIm`; the first itself is bare."""
    up = (center.tonic.pitch_class - first.tonic.pitch_class) % 12
    degree = str(PLAIN_DEGREES[up])
    if up == 0:
        return degree if center.mode == first.mode else f"{degree} {center.mode}"
    return degree + ("m" if center.mode == "minor" else "")


def centers_text(centers: Sequence[Key], first: Key) -> tuple[str, ...]:
    """Centers as degrees of the first key."""
    return tuple(center_text(center, first) for center in centers)


def center_rule(
    up: int | None, mode: Mode | None, right_up: int, right_mode: Mode, *, moves: bool = False, to_first: int = 0
) -> str:
    """Which rule fits one center, said and right counted in half steps from the same tonic.

    moves: the tonic that they are counted from is that of the center before, and to_first leads from it to the
    first one.
    """
    if up is None:
        return "left-out"
    apart = (up - right_up) % 12
    if apart == 0:
        return "right" if mode == right_mode else "other-mode"
    if mode != right_mode:
        return "relative-center" if apart == (9 if right_mode == "major" else 3) else "missed-center"
    if moves and (up + right_up) % 12 == 0:
        return "wrong-direction"
    return "counted-from-first" if moves and to_first % 12 and (apart + to_first) % 12 == 0 else "missed-center"
