"""What a player can do with a tune while it sounds: one table of keys and words; help is made from it.

In a terminal each is a key by itself, without Shift or Control; in a pipe, or where the settings say `plain`, a
word on a line of its own. A key has one meaning.
"""

import re
from collections.abc import Mapping
from types import MappingProxyType

from trainer.records import dataclass

SPACE, LEFT, RIGHT, UP, DOWN = "space", "left arrow", "right arrow", "up arrow", "down arrow"
"""Keys that are not named by their sign."""


@dataclass(frozen=True, slots=True)
class Handle:
    """One thing to do."""

    id: str
    key: str
    """Empty where a number goes with it, and it can only be typed."""
    word: str
    """N stands for a whole number."""
    does: str


HANDLES: tuple[Handle, ...] = (
    Handle("pause", SPACE, "pause", "pause; the key goes on as well"),
    Handle("resume", "", "resume", "go on"),
    Handle("bar-back", LEFT, "back", "to the start of this bar, or of the one before"),
    Handle("bar-on", RIGHT, "on", "to the next bar"),
    Handle("section-back", "p", "previous", "to the start of this section, or of the one before"),
    Handle("section-on", "n", "next", "to the next section"),
    Handle("bar", "", "bar N", "to this bar, as played"),
    Handle("loop-bar", "r", "loop bar", "round and round this bar"),
    Handle("loop-section", "t", "loop section", "round and round this section"),
    Handle("loop-from", "i", "loop from", "a loop begins at the nearest barline"),
    Handle("loop-to", "o", "loop to", "and ends at the nearest barline"),
    Handle("loop-bars", "", "loop N-N", "round and round these bars"),
    Handle("no-loop", "x", "no loop", "leave the loop and play on"),
    Handle("slower", "s", "slower", "to the next slower mark of a metronome"),
    Handle("faster", "f", "faster", "to the next faster one"),
    Handle("tempo", "", "tempo N", "so many beats a minute, as charts count them"),
    Handle("bass", "b", "bass", "the bass alone"),
    Handle("guide", "g", "guide", "the guide tones alone"),
    Handle("keys", "k", "keys", "the keys alone"),
    Handle("all", "a", "all", "all parts again"),
    Handle("louder", UP, "louder", "turn the sound up; it is kept"),
    Handle("softer", DOWN, "softer", "turn it down; it is kept"),
    Handle("meter", "m", "meter", "say how loud it is, and how high it peaks"),
    Handle("where", "w", "where", "say where we are"),
    Handle("help", "h", "help", "say all this"),
    Handle("stop", "q", "stop", "stop"),
)

BY_KEY: Mapping[str, Handle] = MappingProxyType({handle.key: handle for handle in HANDLES if handle.key})

_NUMBER = r"(\d{1,5})"
_TYPED = tuple(
    (re.compile(handle.word.replace("-", " ?- ?").replace("N", _NUMBER), re.ASCII), handle) for handle in HANDLES
)


def find_word(line: str) -> tuple[Handle, tuple[int, ...]] | None:
    """The thing that a line asks for, with its numbers; None where it is none."""
    words = " ".join(line.lower().replace("–", "-").split())
    for pattern, handle in _TYPED:
        found = pattern.fullmatch(words)
        if found is not None:
            return handle, tuple(int(number) for number in found.groups())
    return None


def help_rows(keyed: bool) -> list[tuple[str, str]]:
    """Key or word, and what it does, in the order of the table."""
    if keyed:
        return [(handle.key, handle.does) for handle in HANDLES if handle.key]
    return [(handle.word, handle.does.partition(";")[0]) for handle in HANDLES]
