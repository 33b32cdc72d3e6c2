"""Names of sections: `[Bridge]` above its bars, and the row of names behind `form:`."""

import re

from trainer.charts.lexer import shortened
from trainer.errors import Fault

LONGEST_NAME = 40
SECTION_TOLD = (
    f"a name that begins with a letter, such as `[A]` or `[Bridge]`, of up to {LONGEST_NAME} characters"
)

_FORBIDDEN = re.compile(r"[\[\]{}|,]")
_WORD = re.compile(r"[^\s,]+")


def section_name(text: str, line: int, column: int) -> tuple[str, Fault | None]:
    """Read what stands between the brackets; the name is usable even beside a fault."""
    name = " ".join(text.split())
    told = f"`[{shortened(name)}]`"
    if not name[:1].isalpha() or len(name) > LONGEST_NAME:
        return name[:LONGEST_NAME], Fault(line, column, told, SECTION_TOLD)
    if _FORBIDDEN.search(name) or not name.isprintable():
        return name, Fault(
            line, column, told, "a section's name without brackets, braces, commas and barlines"
        )
    return name, None


def form_names(value: str, known: set[str], line: int, column: int) -> tuple[tuple[str, ...], list[Fault]]:
    """Read the names behind `form:`, parted by white space or commas; the place is where the value begins.

    A name may be of several words. Words that name no section are faults, and so is a row that can be
    read in more than one way.
    """
    words = [(found.group(), column + found.start()) for found in _WORD.finditer(value)]
    longest = max((len(name.split()) for name in known), default=1)
    ways = _ways([word for word, _ in words], known, longest)
    if ways[0] > 1:
        return (), [
            Fault(line, column, "a form that can be read in two ways", "sections named in one word each")
        ]
    names: list[str] = []
    faults = []
    at = 0
    while at < len(words):
        fitting = [
            (name, count)
            for count in range(longest, 0, -1)
            if (name := " ".join(word for word, _ in words[at : at + count])) in known
            and (ways[0] == 0 or ways[min(at + count, len(words))])
        ]
        if fitting:
            names.append(fitting[0][0])
            at += fitting[0][1]
        else:
            word, place = words[at]
            faults.append(
                Fault(line, place, f"`{shortened(word)}`, which is no section's name", _told(word, known))
            )
            at += 1
    return tuple(names), faults


def _ways(words: list[str], known: set[str], longest: int) -> list[int]:
    """For each word in how many ways (0, 1, 2 or more) the row from it to the end can be read."""
    ways = [0] * len(words) + [1]
    for at in range(len(words) - 1, -1, -1):
        for count in range(1, min(longest, len(words) - at) + 1):
            if " ".join(words[at : at + count]) in known:
                ways[at] = min(2, ways[at] + ways[at + count])
    return ways


def _told(word: str, known: set[str]) -> str:
    if not known:
        return "sections such as `[A]` above their bars"
    if len(word) > 1 and all(letter in known for letter in word):
        return f"spaces between the names: `{shortened(' '.join(word))}`"
    return "the name of a section: " + ", ".join(f"`{name}`" for name in sorted(known)[:12])
