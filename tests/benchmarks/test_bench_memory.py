"""How a store of very many trials behaves: storing an answer, computing everything anew, what a day needs.

Held are ratios to the same work done barely, in the same run; seconds are told. With `--long` a million trials.
"""

import os
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.benchmarks.timing import Figures
from tests.trainer.memory.made import MONDAY, trial
from tests.trainer.memory.million import fill
from trainer.memory.outcome_rows import IN_ORDER, OUTCOME_COLUMNS, outcome_of
from trainer.memory.store import Store, open_store
from trainer.practice.today import todays
from trainer.settings import Settings

SIZES = [20_000, pytest.param(1_000_000, marks=pytest.mark.long)]
QUESTION = "x" * 600
ANSWERS = 200
HEAD, PAGE = 24, 4096
"""Bytes that the write-ahead log takes for a changed page."""
STORED_WITHIN_S = 0.0001
"""What storing an answer may take beyond the disk's own time for the same bytes."""
REBUILT_WITHIN = 12.0
"""Rebuilding against reading all outcomes and making values of them."""
AS_SMALL_WITHIN = 2.5
"""What a day needs of a large store against a small one with the same units."""


class Later:
    """A clock that stands at the evening after the newest trial."""

    def __init__(self, store: Store) -> None:
        newest = store.newest_at()
        assert newest is not None
        self.at = newest + timedelta(hours=20)

    def now_utc(self) -> datetime:
        """That evening."""
        return self.at.astimezone(UTC)

    def utc_offset_minutes(self) -> int:
        """In Greenwich."""
        return 0

    def monotonic_s(self) -> float:
        """It stands."""
        return 0.0


def cpu_s(work: Callable[[], object]) -> float:
    """What the processor spends on some work, others' work left out."""
    began = time.process_time()
    work()
    return time.process_time() - began


@pytest.fixture(scope="module", params=SIZES, ids=str)
def store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A store of so many trials, up to date."""
    path = tmp_path_factory.mktemp("many") / "memory.db"
    with open_store(path) as store:
        fill(store, request.param, question=QUESTION)
        store.refresh()
        yield store
    path.unlink()


def stored_and_bare(store: Store) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Times of storing an answer, and of writing as many bytes and syncing them, by turns on the same disk.

    As many bytes in the same pieces: the write-ahead log of SQLite takes a head of 24 bytes and a page for each page
    that has changed (sqlite.org, "Database File Format", section 4), and one sync of the file's data.
    """
    log = Path(f"{store.path}-wal")
    one = trial(timedelta(days=40_000), question="x" * 4000)
    store._to_file("TRUNCATE")  # else the log is written over from its beginning and doesn't grow
    store.append(one)
    before = log.stat().st_size
    store.append(one)
    size = log.stat().st_size - before
    assert size > 4000
    assert size % (HEAD + PAGE) == 0
    sync = getattr(os, "fdatasync", os.fsync)
    ours, disks = [], []
    with (store.path.parent / "bare").open("wb", buffering=0) as bare:

        def written() -> None:
            for _ in range(size // (HEAD + PAGE)):
                bare.write(b"x" * HEAD)
                bare.write(b"x" * PAGE)
            sync(bare.fileno())

        for _ in range(ANSWERS):
            disks.append(timed(written))
            ours.append(timed(lambda: store.append(one)))
    return ours, disks


def test_an_answer_is_stored_about_as_fast_as_the_disk(store: Store, figures: Figures) -> None:
    """How long storing an answer takes by the clock is told beside the disk's own time for the same bytes."""
    ours, disks = (usual(times) for times in stored_and_bare(store))
    told = f"{1e3 * ours[0]:.2f} ms by the clock, the disk alone {1e3 * disks[0]:.2f} ms"
    figures.put(f"an answer made durable in {store.holds().trials} trials", told)
    assert ours[0] > 0.0


@pytest.mark.skipif(not os.access("/dev/shm", os.W_OK), reason="no disk in memory here")
def test_storing_an_answer_takes_a_tenth_of_a_millisecond_beside_the_disk(figures: Figures) -> None:
    """On a disk in memory, whose syncing costs nothing, what is left is what we add to the disk's time."""
    with TemporaryDirectory(dir="/dev/shm") as folder, open_store(Path(folder) / "memory.db") as store:
        fill(store, 5000)
        store.refresh()
        (_, ours), (_, bare) = (usual(times) for times in stored_and_bare(store))
    told, held = f"{1e3 * (ours - bare):+.3f} ms", f"at most {1e3 * STORED_WITHIN_S:.1f} ms"
    figures.put("an answer made durable, beyond the disk's time", told, held)
    assert ours - bare <= STORED_WITHIN_S


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """How long some work takes by the clock, and how long of it this thread works rather than waits."""
    clock, worked = time.perf_counter(), time.thread_time()
    work()
    return time.perf_counter() - clock, time.thread_time() - worked


def usual(times: list[tuple[float, float]]) -> tuple[float, float]:
    """The middle of both."""
    waited, worked = (sorted(column) for column in zip(*times, strict=True))
    return waited[len(waited) // 2], worked[len(worked) // 2]


def test_everything_is_computed_anew(store: Store, figures: Figures) -> None:
    """A rebuild takes a few times as long as only reading the outcomes into values."""

    def read() -> None:
        for row in store._connection.execute(f"SELECT {OUTCOME_COLUMNS} FROM outcomes {IN_ORDER}"):
            outcome_of(row)

    bare = min(cpu_s(read) for _ in range(2))
    began = time.perf_counter()
    rebuilt = cpu_s(store.rebuild)
    wall = time.perf_counter() - began
    count = store.holds().trials
    figures.put(
        f"rebuild of {count} trials", f"{rebuilt:.1f} s of processor, {wall:.1f} s by the clock, {rebuilt / bare:.1f}x",
        f"at most {REBUILT_WITHIN:.0f}x reading them",
    )  # fmt: skip
    assert rebuilt <= REBUILT_WITHIN * bare


def test_a_day_needs_no_more_of_a_large_store(store: Store, figures: Figures, tmp_path: Path) -> None:
    """Model, reviews and today's plan come as fast from very many trials as from a few thousand."""
    work = {
        "model": lambda of: of.model(),
        "reviews": lambda of: of.reviews(),
        "today's plan": lambda of: todays(of, Settings(), Later(of)),
        "newest of a unit": lambda of: of.recent("major-two-five-one", "name-functions", 6, 24),
    }
    with open_store(tmp_path / "small.db") as small:
        fill(small, 12_000)
        small.refresh()
        for name, look in work.items():
            large_s, small_s = (min(cpu_s(lambda: look(of)) for _ in range(7)) for of in (store, small))  # noqa: B023
            held = f"at most {AS_SMALL_WITHIN}x"
            told = f"{1e3 * large_s:.1f} ms, {large_s / small_s:.1f}x"
            figures.put(f"{name} of {store.holds().trials} trials", told, held)
            assert large_s <= AS_SMALL_WITHIN * small_s + 0.002, name


def test_the_log_beside_the_store_stays_small(store: Store) -> None:
    """After computing, the write-ahead log is emptied into the store, however large the store is."""
    store.append(trial(datetime(2150, 1, 1, tzinfo=UTC) - MONDAY))
    store.refresh()
    assert Path(f"{store.path}-wal").stat().st_size <= 8_000_000
