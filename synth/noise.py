"""Keeping sound libraries' own messages off the screen.

PortAudio and ALSA write to file descriptor 2, behind Python's back, where a terminal program may
be drawing.
"""

import os
import sys
from pathlib import Path


def divert_noise(log: Path | None = None) -> None:
    """Point file descriptor 2 at a log (nowhere if None) and Python's standard error at a duplicate.

    Call it once, before a terminal program starts and before a sound library is loaded.
    """
    sys.stderr.flush()
    screen = os.fdopen(os.dup(2), "w", buffering=1, encoding=sys.stderr.encoding, errors="backslashreplace")
    target = os.open(log or os.devnull, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    os.dup2(target, 2)
    os.close(target)
    sys.stderr = sys.__stderr__ = screen  # type: ignore[misc]
