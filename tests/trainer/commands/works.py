"""Small pieces of work for other processes: they must be importable there, so they stand in a module of their own."""

import os
import signal
import time


def squared(number: int) -> int:
    """The square, the sooner the greater the number is."""
    time.sleep(0.02 / (1 + number))
    return number * number


def squared_and_where(number: int) -> tuple[int, int]:
    """The square, and the process that made it."""
    return number * number, os.getpid()


def dying_of_sevens(number: int) -> int:
    """The square; a number that ends in 7 ends its process."""
    if number % 10 == 7:
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(60)
    return number * number


def refusing_nine(number: int) -> int:
    """The square; 9 is an error."""
    if number == 9:
        raise ValueError("nine")
    return number * number


def dying_once(mark: str, number: int) -> int:
    """The square; 21 ends its process unless a file says that it has done so before."""
    if number == 21 and not os.path.exists(mark):
        with open(mark, "x", encoding="ascii"):
            pass
        os._exit(3)
    return number * number


class UnsentError(Exception):
    """An error that holds what can't be sent."""

    def __init__(self) -> None:
        super().__init__(lambda: None)


def raising_what_stays(number: int) -> int:
    """An error, always."""
    raise UnsentError
