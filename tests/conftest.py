"""What every test stands on: user folders of its own, a fixed terminal and locale, a seeded rng.

Hypothesis profiles: `ci` draws the same examples every time, `dev` (the default) new ones, `long` many more.
"""

import itertools
import os
import random
import signal
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

for pool in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(pool, "1")  # before numpy is first imported: threads would blur every timing

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A runner in the background ignores Ctrl-C, and so would every program that a test starts and then interrupts.
    signal.signal(signal.SIGINT, signal.default_int_handler)

SEED = 20_250_318
"""Where the rng fixture starts, in every test."""

USER_FOLDERS = {
    "HOME": ".",
    "XDG_DATA_HOME": "data",
    "XDG_CONFIG_HOME": "config",
    "XDG_STATE_HOME": "state",
    "XDG_CACHE_HOME": "cache",
    "USERPROFILE": ".",
    "APPDATA": "roaming",
    "LOCALAPPDATA": "local",
}
"""Where platforms look for a user's folders (XDG Base Directory 0.8), and what they find here."""

SAME_EVERYWHERE = {"COLUMNS": "80", "LINES": "24", "TZ": "UTC", "LC_ALL": "C.UTF-8", "LANG": "C.UTF-8"}
"""The terminal's size, the time zone and the locale of every test."""

HOMES = itertools.count(1)
"""Numbers of the homes made so far in this process."""

settings.register_profile("dev", deadline=None)
settings.register_profile(  # few examples, for CI has a quarter of an hour; `--long` looks far
    "ci",
    deadline=None,
    max_examples=16,
    derandomize=True,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("long", deadline=None, max_examples=2000, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE") or ("ci" if os.environ.get("CI") else "dev"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark as bench what measures time: all of tests/benchmarks, and what uses the benchmark fixture."""
    benchmarks = Path(__file__).parent / "benchmarks"
    for item in items:
        if benchmarks in item.path.parents or "benchmark" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.bench)


@pytest.fixture(autouse=True)
def user_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty home of the test's own: what it keeps for the player never reaches the developer's folders."""
    home = tmp_path_factory.getbasetemp() / "homes" / str(next(HOMES))
    home.mkdir(parents=True)
    for name, folder in USER_FOLDERS.items():
        monkeypatch.setenv(name, str(home / folder))
    for name, value in SAME_EVERYWHERE.items():
        monkeypatch.setenv(name, value)
    monkeypatch.delenv("NO_COLOR", raising=False)
    if hasattr(time, "tzset"):
        time.tzset()
    return home


@pytest.fixture
def rng() -> random.Random:
    """A source of random numbers that starts at the same place in every test."""
    return random.Random(SEED)
