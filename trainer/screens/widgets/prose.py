"""Words that wrap like print: no word alone on the last line, what can be typed set off and never parted."""

from collections.abc import Sequence
from functools import lru_cache

from textual.content import Content

from trainer.screens.widgets.drawn import Drawn

TYPED = "bold $foreground"
"""The style of what can be typed."""
SHORTEST = 4
"""The last line takes this part of the width at least, where the same number of lines allows it."""

Piece = tuple[str, bool]
"""A text, and whether it can be typed."""
Word = tuple[Piece, ...]
"""Pieces without a space between them."""


def words_of(marked: str, width: int) -> list[Word]:
    """Words with what stands between backticks kept whole, unless it alone is wider than the width."""
    parts = marked.split("`") if marked.count("`") % 2 == 0 else [marked]
    words: list[list[Piece]] = [[]]
    for n, part in enumerate(parts):
        typed = n % 2 == 1
        bits = [part] if typed and len(part) <= width else part.split(" ")
        for k, bit in enumerate(bits):
            if k:
                words.append([])
            words[-1].append((bit, typed))
    whole = (tuple(piece for piece in word if piece[0]) for word in words)
    return [piece for word in whole if word for piece in ([word] if size(word) <= width else cut(word, width))]


def cut(word: Word, width: int) -> list[Word]:
    """A word that is wider than the width, in pieces that fit."""
    return [((text[at : at + width], typed),) for text, typed in word for at in range(0, len(text), width)]


def size(word: Word) -> int:
    """Cells of a word."""
    return sum(len(text) for text, _ in word)


def filled(words: Sequence[Word], width: int) -> list[list[Word]]:
    """Words in lines, each as full as can be."""
    lines: list[list[Word]] = [[]]
    used = 0
    for word in words:
        if lines[-1] and used + 1 + size(word) > width:
            lines.append([])
            used = 0
        used += size(word) + (1 if lines[-1] else 0)
        lines[-1].append(word)
    return lines


def evened(words: Sequence[Word], width: int) -> list[list[Word]]:
    """The same number of lines, drawn in until the last isn't too short."""
    lines = filled(words, width)
    widest = max((size(word) for word in words), default=1)
    for narrower in range(width - 1, widest - 1, -1):
        if len(lines) == 1 or SHORTEST * length(lines[-1]) >= width:
            break
        drawn_in = filled(words, narrower)
        if len(drawn_in) > len(lines):
            break
        lines = drawn_in
    return lines


def length(line: Sequence[Word]) -> int:
    """Cells of a line."""
    return sum(map(size, line)) + len(line) - 1


class Prose(Drawn):
    """A text of one paragraph or more."""

    def __init__(self, words: str = "", id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.words = words
        self.style_of_all = ""
        self.display = bool(words)

    def put(self, words: str, style: str = "") -> None:
        """Show words; what stands between backticks can be typed. No words take no room."""
        if (words, style) == (self.words, self.style_of_all):
            return
        self.words, self.style_of_all = words, style
        self.display = bool(words)
        self.changed()

    def lines(self, width: int) -> list[Content]:
        """The words, paragraph by paragraph."""
        return list(_set(self.words, self.style_of_all, max(1, width)))


@lru_cache(maxsize=256)
def _set(words: str, style: str, width: int) -> tuple[Content, ...]:
    """Words set for a width; a screen asks for the same several times while it is laid out."""
    return tuple(
        Content(" ").join(
            Content.assemble(*((text, TYPED if typed else style) for text, typed in word)) for word in line
        )
        for paragraph in words.splitlines()
        for line in evened(words_of(paragraph, width), width)
    )
