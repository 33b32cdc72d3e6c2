"""Calls that may hang: made in a thread of their own, with a limit.

A sound library whose server hangs never comes back from a call, and no exception tells of it.
"""

import threading
from collections.abc import Callable
from typing import TypeVar

Result = TypeVar("Result")


class Hanging(Exception):
    """A call that has not come back in time; its thread may still be in it."""

    def __init__(self, limit_s: float, thread: threading.Thread) -> None:
        super().__init__(f"no answer within {limit_s:g} s")
        self.thread = thread


def within(limit_s: float, work: Callable[[], Result], too_late: Callable[[Result], object] | None = None) -> Result:
    """Return what the work returns, or raise what it raises, or Hanging after the limit.

    A result that comes after all is handed to `too_late`, so that it can be closed.
    """
    results: list[Result] = []
    errors: list[Exception] = []
    given_up = threading.Event()
    finished = threading.Lock()

    def run() -> None:
        try:
            result = work()
        except Exception as error:
            errors.append(error)
            return
        with finished:
            results.append(result)
            late = given_up.is_set()
        if late and too_late is not None:
            too_late(result)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(limit_s)
    with finished:
        if not results and not errors:
            given_up.set()
            raise Hanging(limit_s, thread)
    if errors:
        raise errors[0]
    return results[0]
