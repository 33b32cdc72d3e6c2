"""Array work in several threads."""

import threading

import pytest

from synth.threads import in_threads


@pytest.mark.parametrize("threads", [1, 2, 3, None])
def test_each_item_is_done_once(threads: int | None) -> None:
    """However many threads there are, nothing is left out or done twice."""
    done: list[int] = []
    in_threads(done.append, range(100), threads)
    assert sorted(done) == list(range(100))


def test_several_are_at_work_at_once() -> None:
    """Two items that wait for each other both end."""
    both = threading.Barrier(2, timeout=10.0)
    in_threads(lambda _: both.wait(), range(2), 2)


def test_the_first_error_is_raised_when_all_have_ended() -> None:
    """An error is not lost, and what was begun is ended before it comes."""
    done: list[int] = []

    def work(item: int) -> None:
        if item == 3:
            raise ZeroDivisionError
        done.append(item)

    with pytest.raises(ZeroDivisionError):
        in_threads(work, range(100), 2)
    assert threading.active_count() < 50
    assert 3 not in done
