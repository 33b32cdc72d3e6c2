"""Work in several processes: order, errors, processes that die, and how little waits."""

import multiprocessing
import os
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from pathlib import Path

import pytest

from tests.trainer.commands.works import (
    dying_of_sevens,
    dying_once,
    raising_what_stays,
    refusing_nine,
    squared,
    squared_and_where,
)
from trainer.commands import side_by_side
from trainer.commands.side_by_side import AHEAD, AT_ONCE, DIED, in_order, processes_for

NUMBERS = range(60)


@pytest.mark.parametrize("processes", [1, 3])
def test_results_come_in_the_order_of_the_items(processes: int) -> None:
    """The first is the first, although later ones are done sooner."""
    assert [number * number for number in NUMBERS] == list(in_order(squared, NUMBERS, processes))


def test_nothing_comes_of_nothing() -> None:
    """No items, no results."""
    assert [] == list(in_order(squared, (), 2))


def test_the_work_is_done_elsewhere_but_for_what_must_be_done_here() -> None:
    """Items for which `here` holds are worked on in this process at their place, all others in other ones."""
    results = list(in_order(squared_and_where, NUMBERS, 2, lambda number: number % 10 == 3))
    assert [number * number for number in NUMBERS] == [square for square, _ in results]
    assert all((pid == os.getpid()) == (number % 10 == 3) for number, (_, pid) in enumerate(results))


def test_a_process_that_dies_takes_one_item_with_it() -> None:
    """Only the items that ended their process have no result."""
    expected = [DIED if number % 10 == 7 else number * number for number in NUMBERS]
    assert expected == list(in_order(dying_of_sevens, NUMBERS, 2))


def test_a_process_that_dies_once_costs_nothing(tmp_path: Path) -> None:
    """What ends its process the first time only is done by the next one."""
    work = partial(dying_once, str(tmp_path / "died"))
    assert [number * number for number in NUMBERS] == list(in_order(work, NUMBERS, 2))
    assert (tmp_path / "died").exists()


def test_an_error_that_can_not_travel_is_told(capfd: pytest.CaptureFixture[str]) -> None:
    """An error that can't be sent from process to process comes as words with its traceback."""
    with pytest.raises(RuntimeError, match="UnsentError"):
        list(in_order(raising_what_stays, NUMBERS, 2))
    assert "" == capfd.readouterr().err


def test_an_error_of_the_work_is_raised_here() -> None:
    """What the work raises comes out behind the results before it, and no process is left."""
    results = in_order(refusing_nine, NUMBERS, 2)
    assert [number * number for number in range(9)] == [next(results) for _ in range(9)]
    with pytest.raises(ValueError, match="nine"):
        next(results)
    assert [] == multiprocessing.active_children()


def test_who_stops_early_leaves_no_process() -> None:
    """Closing the results ends the processes at once."""
    with closing(in_order(squared, iter(range(10**9)), 2)) as results:
        assert 0 == next(results)
        assert multiprocessing.active_children()
    assert [] == multiprocessing.active_children()


def test_few_items_wait() -> None:
    """However many items there are, only some rows for each process are taken ahead of the results."""
    taken = 0

    def counted() -> Iterator[int]:
        nonlocal taken
        for number in range(400):
            taken += 1
            yield number

    processes = 2
    for done, _ in enumerate(in_order(squared, counted(), processes), 1):
        assert taken - done <= (processes * AHEAD + 2) * AT_ONCE
    assert 400 == taken


def test_without_other_processes_all_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system has no processes to give, the results are the same."""

    monkeypatch.setattr(side_by_side._Team, "started", lambda _: None)
    results = list(in_order(squared_and_where, NUMBERS, 2))
    assert [(number * number, os.getpid()) for number in NUMBERS] == results


def test_few_items_are_worth_no_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Below a number of items it is one process, above it as many as there are processors and rows for them."""
    monkeypatch.setattr(side_by_side, "_processors", lambda: 4)
    assert [1, 4, 4, 1] == [processes_for(*count) for count in ((99, 100), (100, 100), (10**6, 100), (8, 4))]
    assert 2 == processes_for(2 * AT_ONCE, 1)
    monkeypatch.setattr(side_by_side, "_processors", lambda: 1000)
    assert side_by_side.MOST_PROCESSES == processes_for(10**6, 100)
