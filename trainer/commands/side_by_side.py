"""Work on many things in several processes: results come in order, one by one, and few wait at a time.

Processes are started afresh (spawn), alike on every system. What is to be done and what comes of it
travel between them, so both are small: a path there, finished text back. Each process has a pipe of
its own and is given one row of things at a time. When it dies, its row alone is tried again, thing by
thing, and only the thing that it dies of a second time is lost; Ctrl-C and a consumer that stops end
them all; when this process is gone, its pipes are closed and they end by themselves.
"""

import gc
import multiprocessing
import os
import pickle
import signal
import traceback
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Generic, TypeVar, cast

AT_ONCE = 8
"""Things handed to a process in one row: handing over costs more than a small thing itself."""
AHEAD = 2
"""Rows for each process that are under way or wait to be taken."""
MOST_PROCESSES = 32
"""More than this no list of charts needs, and some systems allow no more than 61."""
SELDOM = 100_000
"""New objects before the collector looks for cycles, as in the command itself."""

Item = TypeVar("Item")
Result = TypeVar("Result")


class Died:
    """In the place of a result: the process that worked on it ended before it was done, twice."""


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
    if processes < 2:
        yield from map(work, items)
        return
    team = _Team(work, processes)
    rows: Iterator[_Row[Item, Result]] = _rows(items, here)
    ahead: deque[_Row[Item, Result]] = deque()
    """Taken and not yet passed on, in order."""
    done = False
    try:
        while True:
            while len(ahead) <= processes * AHEAD and (row := next(rows, None)) is not None:
                ahead.append(row)
            if not ahead:
                break
            team.hand_out(row for row in ahead if row.waits)
            first = ahead[0]
            if first.at_home:
                yield from first.results
                yield from map(work, first.part())
            elif first.done:
                yield from first.results
                if first.error is not None:
                    raise first.error
            else:
                team.collect()
                continue
            ahead.popleft()
        done = True
    finally:
        team.stop(at_once=not done)


class _Row(Generic[Item, Result]):
    """Some items in a row, and how far they are."""

    def __init__(self, items: Sequence[Item], at_home: bool) -> None:
        self.items = items
        self.at_home = at_home
        """This process works on it."""
        self.results: list[Result | Died] = []
        self.error: Exception | None = None
        """What the work raised, behind the results."""
        self.given = False
        """A process has it."""
        self.singly = False
        """A process has died of it, so its items are given one at a time."""

    @property
    def done(self) -> bool:
        """Whether nothing is left to do."""
        return self.error is not None or len(self.results) == len(self.items)

    @property
    def waits(self) -> bool:
        """Whether it should be given to a process."""
        return not (self.at_home or self.given or self.done)

    def part(self) -> Sequence[Item]:
        """What to give to a process next."""
        start = len(self.results)
        return self.items[start : start + 1] if self.singly else self.items[start:]

    def take(self, results: Sequence[Result], error: Exception | None) -> None:
        """Take what a process has made of the part."""
        self.given = False
        self.results += results
        self.error = error

    def bury(self) -> None:
        """Note that the process has died that had it."""
        self.given = False
        if self.singly:
            self.results.append(DIED)
        self.singly = True


def _rows(items: Iterable[Item], here: Callable[[Item], bool]) -> "Iterator[_Row[Item, Result]]":
    """The items in small rows, each row for one place: this process or another."""
    row: list[Item] = []
    for item in items:
        at_home = here(item)
        if row and (at_home or len(row) == AT_ONCE):
            yield _Row(row, False)
            row = []
        if at_home:
            yield _Row((item,), True)
        else:
            row.append(item)
    if row:
        yield _Row(row, False)


class _Team(Generic[Item, Result]):
    """Processes that do one kind of work, started when there is something for them."""

    def __init__(self, work: Callable[[Item], Result], processes: int) -> None:
        self.work = work
        self.processes = processes
        self.idle: list[tuple[BaseProcess, Connection]] = []
        self.busy: dict[Connection, tuple[BaseProcess, _Row[Item, Result]]] = {}

    def hand_out(self, rows: Iterable[_Row[Item, Result]]) -> None:
        """Give rows to the processes that have none; where there are no processes at all they stay at home."""
        for row in rows:
            if len(self.busy) == self.processes:
                return
            member = self.idle.pop() if self.idle else self.started()
            if member is None:
                if self.busy:
                    return
                row.at_home = True
                continue
            process, pipe = member
            row.given = True
            self.busy[pipe] = (process, row)
            try:
                pipe.send(row.part())
            except OSError:  # it died while it had nothing to do
                row.given = False
                self.forget(pipe)

    def collect(self) -> None:
        """Wait for a process, and take what it has made; a dead one leaves its row to others."""
        for pipe in wait(list(self.busy)):
            pipe = cast(Connection, pipe)
            process, row = self.busy[pipe]
            try:
                row.take(*pipe.recv())
            except (EOFError, OSError):
                row.bury()
                self.forget(pipe)
            else:
                del self.busy[pipe]
                self.idle.append((process, pipe))

    def started(self) -> tuple[BaseProcess, Connection] | None:
        """A new process; None where the system gives none."""
        context = multiprocessing.get_context("spawn")
        if os.name == "posix":  # it is started with the first process, and would undo what the next line does
            resource_tracker.ensure_running()
        with _unhurt_by_ctrl_c():
            try:
                ours, its = context.Pipe()
                process = context.Process(target=_work_on_rows, args=(its, self.work), daemon=True)
                process.start()
            except (ImportError, NotImplementedError, OSError):
                return None
        its.close()
        return process, ours

    def forget(self, pipe: Connection) -> None:
        """Leave a process that has died."""
        process, _ = self.busy.pop(pipe)
        pipe.close()
        process.join()

    def stop(self, at_once: bool) -> None:
        """End the processes: those at work are cut short, or there are none."""
        members = [*self.idle, *((process, pipe) for pipe, (process, _) in self.busy.items())]
        for process, pipe in members:
            pipe.close()
            if at_once:
                process.terminate()
        for process, _ in members:
            process.join()


def _work_on_rows(pipe: "Connection", work: Callable[[Item], Result]) -> None:
    """In a process of its own: answer each row with its results, until the pipe is closed.

    It is deaf to Ctrl-C, which its parent answers.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(SELDOM)
    try:
        while True:
            pipe.send(_results(work, pipe.recv()))
    except (EOFError, OSError):
        return


def _results(work: Callable[[Item], Result], row: Sequence[Item]) -> tuple[list[Result], Exception | None]:
    """The results of a row, and what the work raised behind them."""
    results: list[Result] = []
    try:
        for item in row:
            results.append(work(item))
    except Exception as error:
        told = "In another process:\n" + traceback.format_exc()
        error.add_note(told)
        return results, error if _travels(error) else RuntimeError(told)
    return results, None


def _travels(error: Exception) -> bool:
    """Whether an error comes out of a pipe as it went in."""
    try:
        return isinstance(pickle.loads(pickle.dumps(error)), type(error))
    except Exception:
        return False


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
