"""The smallest pieces of chart text: lines, comments, barlines, words, pins and brackets.

Columns count characters from 1 in the line as it stands in the text. Lines end with LF, CRLF or CR.
A comment runs from `#` to the line's end; the `#` begins the line, or stands after white space and
before white space, so that `F#` and `C7#11` are none.
"""

import re
from typing import Literal

from trainer.errors import Fault
from trainer.records import dataclass

BARLINES = ("|", "||", "|]", "|:", ":|", ":|:")
BARLINES_TOLD = "one of `|` `||` `|]` `|:` `:|` `:|:` `:| x3`"
FEWEST_TIMES = 2
MOST_TIMES = 999

_LINE_END = re.compile(r"\r\n|\n|\r")
_COMMENT = re.compile(r"^\s*#|(?<=\s)#(?=\s|$)")
_BARLINE = re.compile(r"[|:]+(?:(?<=\|)\][|:]*)?")
_TIMES = re.compile(r"\s*[xX](\d+)(?=[\s|:{\[]|$)")
_UNTIL_CLOSED = {"{": re.compile(r"[^}|]*"), "[": re.compile(r"[^]|]*")}
_WORD_ENDS = "|:{}[]"
_PLAIN_WORD = re.compile(r"[^\s|:{}\[\]()]+(?![^\s|:{}\[\]])")
"""A word without parentheses, up to where it ends."""

TokenKind = Literal["barline", "word", "pin", "bracket", "broken"]


@dataclass(frozen=True, slots=True)
class Token:
    """One piece of a line of bars; a broken one has been reported and only takes up its place."""

    kind: TokenKind
    text: str
    """Without the braces of a pin or the brackets of an ending."""
    column: int
    times: int = 0
    """The count behind `:|`; 0 where none is written."""


def lines_of(text: str) -> list[str]:
    """Split a text into lines, without a byte order mark and without the lines' ends."""
    return _LINE_END.split(text.removeprefix("\ufeff"))


def split_comment(line: str) -> tuple[str, str | None]:
    """Part a line from its comment, which is given without `#` and stripped; None where there is none."""
    found = _COMMENT.search(line)
    if found is None:
        return line, None
    return line[: found.end() - 1], line[found.end() :].strip()


def tokens_of(text: str, line: int) -> tuple[list[Token], list[Fault]]:
    """Cut a line of bars (its comment taken off) into tokens, with the faults of the cutting."""
    tokens: list[Token] = []
    faults: list[Fault] = []
    at = 0
    while at < len(text):
        sign = text[at]
        if sign.isspace():
            at += 1
            continue
        if sign in "|:":
            at, token, fault = _barline(text, at, line)
        elif sign in "{[":
            at, token, fault = _enclosed(text, at, line)
        elif sign in "}]":
            token = Token("broken", sign, at + 1)
            opening = "{" if sign == "}" else "["
            fault = Fault(line, at + 1, f"`{sign}` that closes nothing", f"`{opening}` before it")
            at += 1
        else:
            at, token, fault = _word(text, at, line)
        tokens.append(token)
        if fault:
            faults.append(fault)
    return tokens, faults


def _barline(text: str, at: int, line: int) -> tuple[int, Token, Fault | None]:
    found = _BARLINE.match(text, at)
    if found is None:  # ":" and "|" always match; this only tells the type checker
        raise AssertionError(text)
    sign, end = found.group(), found.end()
    if sign not in BARLINES:
        fault = Fault(line, at + 1, f"`{sign}`", f"a barline, {BARLINES_TOLD}")
        if "|" not in sign:
            return end, Token("broken", sign, at + 1), fault
        nearest = (":" if sign[0] == ":" else "") + "|" + (":" if sign[-1] == ":" else "")
        return end, Token("barline", nearest, at + 1), fault
    times = _TIMES.match(text, end) if sign == ":|" else None
    if times is None:
        return end, Token("barline", sign, at + 1), None
    digits = times.group(1)
    count = int(digits) if len(digits) <= len(str(MOST_TIMES)) else MOST_TIMES + 1
    if not FEWEST_TIMES <= count <= MOST_TIMES:
        expected = f"a count from x{FEWEST_TIMES} to x{MOST_TIMES}: how often it is played in all"
        fault = Fault(line, times.start(1), f"`x{shortened(digits)}`", expected)
        return times.end(), Token("barline", sign, at + 1), fault
    return times.end(), Token("barline", sign, at + 1, count), None


def _enclosed(text: str, at: int, line: int) -> tuple[int, Token, Fault | None]:
    """A pin in braces or an ending in brackets."""
    opening = text[at]
    kind: TokenKind = "pin" if opening == "{" else "bracket"
    closing = "}" if opening == "{" else "]"
    found = _UNTIL_CLOSED[opening].match(text, at + 1)
    stop = found.end() if found else len(text)
    if text[stop : stop + 1] == closing:
        return stop + 1, Token(kind, text[at + 1 : stop], at + 1), None
    fault = Fault(line, at + 1, f"`{opening}` that is never closed", f"`{closing}` before the next barline")
    return stop, Token("broken", text[at:stop], at + 1), fault


def _word(text: str, at: int, line: int) -> tuple[int, Token, Fault | None]:
    """A word ends at white space, unless that stands within parentheses as in `C7(b9, #11)`."""
    plain = _PLAIN_WORD.match(text, at)
    if plain is not None:
        return plain.end(), Token("word", plain.group(), at + 1), None
    opened: list[int] = []
    end = at
    while end < len(text):
        sign = text[end]
        if sign in _WORD_ENDS or (sign.isspace() and not opened):
            break
        if sign == "(":
            opened.append(end)
        elif sign == ")" and opened:
            opened.pop()
        end += 1
    if opened:
        fault = Fault(line, opened[0] + 1, "`(` that is never closed", "`)` after the tensions")
        return end, Token("broken", text[at:end], at + 1), fault
    return end, Token("word", text[at:end], at + 1), None


def shortened(text: str, most: int = 40) -> str:
    """A piece of the player's text, short enough to be shown in a message."""
    shown = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text[: most + 1])
    return shown if len(shown) <= most else shown[: most - 1] + "…"
