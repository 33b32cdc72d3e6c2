"""What the terminal can show, decided once at the start: signs beside ASCII, colors, anything drawn at all.

The locale is the player's word (POSIX.1-2017, 8.2: LC_ALL before LC_CTYPE before LANG). Python itself writes UTF-8
where the locale is C (PEP 538, PEP 540), so its own streams don't tell. Where no locale is set at all, they count.
"""

import os
import sys
from collections.abc import Mapping
from io import TextIOWrapper
from typing import Literal

Colors = Literal["none", "few", "many"]
"""No colors; the sixteen that the terminal names itself; 256 or more."""


def shows_ascii_only(environ: Mapping[str, str], encoding: str, coerced: bool = False) -> bool:
    """Whether nothing but ASCII may be written, by locale and encoding.

    coerced: Python set LC_CTYPE to C.UTF-8 itself, as it does where the locale is C.
    """
    ctype = environ.get("LC_CTYPE", "")
    if coerced and ctype == "C.UTF-8":
        ctype = ""
    locale = environ.get("LC_ALL") or ctype or environ.get("LANG", "")
    codeset = locale.partition(".")[2].partition("@")[0]
    return locale in ("C", "POSIX") or not _is_utf8(codeset or "UTF-8") or not _is_utf8(encoding)


def _is_utf8(name: str) -> bool:
    return name.lower().replace("-", "").replace("_", "") == "utf8"


def colors(environ: Mapping[str, str], platform: str = sys.platform) -> Colors:
    """The colors that may be used. NO_COLOR counts where it isn't empty (no-color.org)."""
    term = environ.get("TERM", "")
    if environ.get("NO_COLOR") or term == "dumb":
        return "none"
    if platform == "win32" or environ.get("COLORTERM", "").lower() in ("truecolor", "24bit"):
        return "many"
    return "many" if "256" in term or "kitty" in term or "direct" in term else "few"


def can_draw() -> bool:
    """Whether the app can stand here: all three streams are a terminal, and one that moves its cursor."""
    streams = (sys.stdin, sys.stdout, sys.stderr)
    return os.environ.get("TERM") != "dumb" and all(stream is not None and stream.isatty() for stream in streams)


def suit_streams() -> None:
    """Let the streams write what the terminal can show: everything, or the ASCII twins of all signs.

    A letter that an encoding hasn't, or a file name that is no text, is written out.
    """
    for stream in (sys.stdout, sys.stderr):
        if not isinstance(stream, TextIOWrapper):
            continue
        if shows_ascii_only(os.environ, stream.encoding, bool(sys.flags.utf8_mode)):
            from trainer.signs import ENCODING

            stream.reconfigure(encoding=ENCODING)
        else:
            stream.reconfigure(errors="backslashreplace")
