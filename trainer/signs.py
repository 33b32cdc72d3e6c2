"""Every sign that is shown and isn't ASCII, with its ASCII twin of the same width.

Terminals whose locale or encoding isn't UTF-8 get the twins (`trainer/terminal.py` decides). They are put in place
where text becomes bytes, by an encoding of our own, so that no screen and no command knows of them. A letter of a
tune's title that has no twin here is written as its base letter where it has one (é as e), else as `?`, two of them
where it is two cells wide.
"""

import codecs
import unicodedata
from types import MappingProxyType

ENCODING = "ascii-twins"
"""The name of the encoding; Python and its libraries write it with an underscore too."""

TWINS = MappingProxyType(
    {
        # music
        "♭": "b", "♯": "#", "♮": "n", "°": "o", "º": "o", "˚": "o", "ø": "0", "Ø": "0", "⌀": "0",
        "Δ": "M", "△": "M", "∆": "M",
        # print
        "–": "-", "—": "-", "−": "-", "‐": "-", "→": ">", "…": ".", "×": "x", "·": ".", "•": "*",
        "’": "'", "‘": "'", "“": '"', "”": '"', "„": '"', "«": "<", "»": ">", "\xa0": " ",
        "ß": "s", "æ": "a", "œ": "o", "ł": "l", "Ł": "L", "đ": "d", "ð": "d", "þ": "t", "ı": "i",
        # rules and braces
        "━": "=", "─": "-", "┄": ".", "│": "|", "┃": "|", "└": "`", "┘": "'", "╰": "`", "╯": "'",
        "┏": "+", "┓": "+", "┗": "+", "┛": "+",
        "╭": ".", "╮": ".", "┌": ".", "┐": ".", "├": "+", "┤": "+", "┬": "+", "┴": "+", "┼": "+",
        # the cursor, what sounds, the signs of a session
        "›": ">", "▶": "*", "▲": "^", "●": "+", "◐": "~", "○": "o", "▸": ">",
        # edges and scroll bars
        "█": "#", "▌": "|", "▐": "|", "▏": "|", "▎": "|", "▍": "|", "▋": "|", "▊": "|", "▉": "|", "▕": "|",
        "▁": "_", "▂": "_", "▃": "_", "▄": "_", "▅": "#", "▆": "#", "▇": "#", "▀": "-", "▔": "-",
    }
)  # fmt: skip
"""The table."""


class _Table(dict[int, str]):
    """The table for `str.translate`, which grows by what comes."""

    def __missing__(self, code: int) -> str:
        sign = chr(code)
        self[code] = twin = sign if code < 128 else _replaced(sign)
        return twin


def _replaced(sign: str) -> str:
    """What stands for a sign that isn't in the table."""
    if unicodedata.combining(sign) or unicodedata.category(sign) in ("Mn", "Me", "Cf"):
        return ""
    if unicodedata.east_asian_width(sign) in "WF":
        return "??"
    base = unicodedata.normalize("NFKD", sign)[0]
    return base if base.isascii() and base.isprintable() else "?"


_TABLE = _Table({ord(sign): twin for sign, twin in TWINS.items()})


def in_ascii(text: str) -> str:
    """A text with each sign as its twin, as many cells wide."""
    return text if text.isascii() else text.translate(_TABLE)


def _encode(text: str, _errors: str = "strict") -> tuple[bytes, int]:
    return in_ascii(text).encode("ascii"), len(text)


class _Incremental(codecs.IncrementalEncoder):
    """Text streams write by this one."""

    def encode(self, text: str, final: bool = False) -> bytes:
        """A piece of text as bytes."""
        return _encode(text)[0]


def _found(name: str) -> codecs.CodecInfo | None:
    if name.replace("_", "-") != ENCODING:
        return None
    utf8 = codecs.lookup("utf-8")
    return codecs.CodecInfo(
        _encode, utf8.decode, incrementalencoder=_Incremental, incrementaldecoder=utf8.incrementaldecoder, name=ENCODING
    )


codecs.register(_found)
