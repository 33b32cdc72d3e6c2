"""Python's full collections of garbage wait while something sounds.

A full collection stops every thread, the device's too, for as long as it takes to look at all objects:
a tenth of a second and more with a terminal app's screens, longer than a device's buffer lasts.  The
short collections of what was made lately go on.
"""

import gc
import threading
from typing import Final

NEVER: Final = 2**31 - 1
"""So many short collections before a full one."""

_changing = threading.Lock()
_waiting_for: set[int] = set()
_usual = 0


def full_collections_wait(who: object, wait: bool) -> None:
    """Let full collections wait for somebody, or no more; they go on when nobody is left."""
    global _usual
    with _changing:
        before = bool(_waiting_for)
        if wait:
            _waiting_for.add(id(who))
        else:
            _waiting_for.discard(id(who))
        if bool(_waiting_for) == before:
            return
        first, second, third = gc.get_threshold()
        if wait:
            _usual = third
        gc.set_threshold(first, second, NEVER if wait else _usual)
