"""Work on many things in several processes: results come in order, one by one, and few wait at a time.

Processes are started afresh (spawn), alike on every system. What is to be done and what comes of it
travel between them, so both are small: a path there, finished text back. A process that dies takes
nothing with it but the one thing it worked on; Ctrl-C and a consumer that stops end them all.
"""

import gc
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from itertools import islice
from multiprocessing.context import SpawnContext
from multiprocessing.process import BaseProcess
from typing import Generic, TypeVar

AT_ONCE = 8
"""Things handed to a process in one go: handing over costs more than a small thing itself."""
AHEAD = 2
"""Goes for each process that are under way or wait to be taken."""
MOST_PROCESSES = 32
"""More than this no list of charts needs, and some systems allow no more than 61."""
SELDOM = 100_000
"""New objects before the collector looks for cycles, as in the command itself."""

Item = TypeVar("Item")
Result = TypeVar("Result")


class Died:
    """In the place of a result: the process that worked on it ended before it was done."""


DIED = Died()


def processes_for(count: int, worth_from: int) -> int:
    """How many processes so many things are worth, on this machine: 1 below `worth_from`."""
    if count < worth_from:
        return 1
    return max(1, min(_processors(), count // AT_ONCE, MOST_PROCESSES))


def in_order(
    work: Callable[[Item], Result],
    items: Iterable[Item],
    processes: int,
    here: Callable[[Item], bool] = lambda _: False,
) -> Generator[Result | Died, None, None]:
    """The result of each item, in the items' order; `work` is a function of a module, or a partial of one.

    Items for which `here` holds are worked on in this process, when their turn comes. What `work` raises
    is raised here. With one process, or where the system has no others to give, all is done here.
    """
    team = None if processes < 2 else _Team.of(work, processes)
    if team is None:
        yield from map(work, items)
        return
    done = False
    try:
        yield from _through(team, items, here)
        done = True
    finally:
        team.stop(at_once=not done)


def _through(
    team: "_Team[Item, Result]", items: Iterable[Item], here: Callable[[Item], bool]
) -> Iterator[Result | Died]:
    waiting = _goes(items, here)
    ahead: deque[tuple[Sequence[Item], Future[list[Result]] | None]] = deque()
    while True:
        for go, at_home in islice(waiting, max(0, team.processes * AHEAD + 1 - len(ahead))):
            ahead.append((go, None if at_home else team.begin(go)))
        if not ahead:
            return
        go, future = ahead.popleft()
        if future is None:
            yield from map(team.work, go)
            continue
        try:
            results = future.result()
        except BrokenProcessPool:
            yield from team.one_by_one(go)
            for place, (later, broken) in enumerate(ahead):
                if broken is not None and not (broken.done() and broken.exception() is None):
                    ahead[place] = (later, team.begin(later))
        else:
            yield from results


def _goes(items: Iterable[Item], here: Callable[[Item], bool]) -> Iterator[tuple[Sequence[Item], bool]]:
    """The items in small rows, each row for one place: this process (True) or another."""
    row: list[Item] = []
    for item in items:
        if here(item):
            if row:
                yield row, False
            yield (item,), True
            row = []
            continue
        row.append(item)
        if len(row) == AT_ONCE:
            yield row, False
            row = []
    if row:
        yield row, False


class _Team(Generic[Item, Result]):
    """Processes that do one kind of work; a new set of them is taken when one has died."""

    def __init__(self, work: Callable[[Item], Result], processes: int, pool: ProcessPoolExecutor) -> None:
        self.work = work
        self.processes = processes
        self.pool = pool
        self.others = frozenset(multiprocessing.active_children())
        """Processes that were there before and are nobody's business here."""

    @classmethod
    def of(cls, work: Callable[[Item], Result], processes: int) -> "_Team[Item, Result] | None":
        """The team; None where the system has no processes to give."""
        try:
            return cls(work, processes, _pool(processes))
        except (ImportError, NotImplementedError, OSError):
            return None

    def begin(self, row: Sequence[Item]) -> "Future[list[Result]]":
        """Hand a row over; a team that has died meanwhile is replaced first."""
        with _unhurt_by_ctrl_c():
            try:
                return self.pool.submit(_work_on, self.work, row)
            except BrokenProcessPool:
                self.renew()
                return self.pool.submit(_work_on, self.work, row)

    def renew(self) -> None:
        """Take new processes in the place of dead ones."""
        self.pool.shutdown(wait=True, cancel_futures=True)
        self.pool = _pool(self.processes)

    def one_by_one(self, row: Sequence[Item]) -> Iterator[Result | Died]:
        """The results of a row after a process has died, one under way at a time, to find the one it died of."""
        self.renew()
        for item in row:
            try:
                yield self.begin((item,)).result()[0]
            except BrokenProcessPool:
                yield DIED
                self.renew()

    def stop(self, at_once: bool) -> None:
        """End the processes: when they are done, or now."""
        if at_once:
            for process in self.mine():
                process.terminate()
        self.pool.shutdown(wait=True, cancel_futures=True)

    def mine(self) -> Iterator[BaseProcess]:
        """The processes of this team."""
        return (process for process in multiprocessing.active_children() if process not in self.others)


def _pool(processes: int) -> ProcessPoolExecutor:
    context: SpawnContext = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(processes, context, _begin_process)


def _work_on(work: Callable[[Item], Result], row: Sequence[Item]) -> list[Result]:
    """In a process of its own: the results of a row."""
    return [work(item) for item in row]


def _begin_process() -> None:
    """Make a new process ready: deaf to Ctrl-C, which its parent answers, and gone when its parent is."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(SELDOM)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


@contextmanager
def _unhurt_by_ctrl_c() -> Iterator[None]:
    """Let processes that start meanwhile never see a Ctrl-C, not even before they are ready; it waits for us."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _processors() -> int:
    """The processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
