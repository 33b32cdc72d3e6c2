"""Some threads for array work that lets go of the interpreter: transforms, products, copies."""

import os
import threading
from collections.abc import Callable, Iterable, Iterator
from typing import Final, TypeVar

Item = TypeVar("Item")

MOST: Final = 4
"""Threads at once; more would wait for the memory."""


def in_threads(work: Callable[[Item], object], items: Iterable[Item], threads: int | None = None) -> None:
    """Do the work for each item, several at once; the first error is raised when all have ended."""
    left: Iterator[Item] = iter(tuple(items))
    taking = threading.Lock()
    errors: list[BaseException] = []

    def take() -> None:
        try:
            while not errors:
                with taking:
                    item = next(left)
                work(item)
        except StopIteration:
            pass
        except BaseException as error:
            errors.append(error)

    helpers = [threading.Thread(target=take) for _ in range((threads or min(os.cpu_count() or 1, MOST)) - 1)]
    for helper in helpers:
        helper.start()
    take()
    for helper in helpers:
        helper.join()
    if errors:
        raise errors[0]
