"""Sound files written by a second process, which loads arrays and builds the room while the score is being made.

Loading what makes sound takes as long as making most of a minute of it, and an interpreter does one thing at a
time.  The second process is a fork of this one, taken before either has loaded much; where there is no fork, no
second processor, or more than one thread (whose locks a fork would keep for ever), the file is written here.

Nothing is left behind: without an order the process ends by itself, and whoever breaks off ends it.
"""

import os
import sys
import threading
from contextlib import suppress
from types import TracebackType
from typing import Any

from synth.errors import SoundError
from synth.tune_file import TuneFile, Written, warm_up, write_tune


class Aside:
    """Use as a context; what is written is written by the second process, if there is one."""

    def __init__(self, wanted: bool = True) -> None:
        """Say whether a file will be written at all; without one there is no second process."""
        self._wanted = wanted
        self.process: int | None = None
        """The second process; None where there is none."""
        self._orders = self._answers = -1

    def __enter__(self) -> "Aside":
        if self._wanted and _worth_it():
            taken, self._orders = os.pipe()
            self._answers, given = os.pipe()
            self.process = os.fork()
            if self.process == 0:
                os.close(self._orders)
                os.close(self._answers)
                _serve(taken, given)
            os.close(taken)
            os.close(given)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.process is not None:
            _end(self.process, kind is not None, self._orders, self._answers)
            self.process = None

    def write(self, wanted: TuneFile) -> Written:
        """Write one file. Raises SoundError, and what else went wrong in the other process."""
        if self.process is None:
            return write_tune(wanted)
        import pickle

        try:
            with os.fdopen(self._orders, "wb", closefd=False) as orders:
                pickle.dump(wanted, orders, pickle.HIGHEST_PROTOCOL)
            with os.fdopen(self._answers, "rb", closefd=False) as answers:
                answer: Written | BaseException = pickle.load(answers)
        except (EOFError, BrokenPipeError):
            raise SoundError(f"{wanted.path}: the process that writes it was ended from outside; try again") from None
        if isinstance(answer, BaseException):
            raise answer
        return answer


def _worth_it() -> bool:
    return hasattr(os, "fork") and (os.cpu_count() or 1) > 1 and threading.active_count() == 1


def _serve(taken: int, given: int) -> None:
    """Be the second process: get ready, write one file, tell how it went, and never return."""
    import signal

    status = 1
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process hears it and ends this one
        signal.signal(signal.SIGTERM, _break_off)
        import pickle

        with suppress(Exception):  # what fails now fails again, and is told, with the file
            warm_up()

        with os.fdopen(taken, "rb") as orders:
            wanted = pickle.load(orders)
        answer: Written | BaseException
        try:
            answer = write_tune(wanted)
        except Exception as error:
            answer = error
        with os.fdopen(given, "wb") as answers:
            pickle.dump(answer, answers, pickle.HIGHEST_PROTOCOL)
        status = 0
    except (EOFError, SystemExit, BrokenPipeError):
        pass  # no file is wanted, or no longer
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        os._exit(status)


def _break_off(*_: Any) -> None:
    raise SystemExit


def _end(process: int, break_off: bool, *pipes: int) -> None:
    """End the second process, at once or after what it does, and wait for it."""
    import signal

    for pipe in pipes:
        os.close(pipe)
    if break_off:
        os.kill(process, signal.SIGTERM)
    os.waitpid(process, 0)
