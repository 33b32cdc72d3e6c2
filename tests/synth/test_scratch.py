"""Memory used again: of the asked shape, the same for the same use, never shared by threads or uses."""

import threading

import numpy as np

from synth.scratch import Scratch


def test_memory_is_used_again() -> None:
    """What is asked for again, no larger, lies where it lay; each use has its own memory."""
    scratch = Scratch()
    first = scratch.floats("left", 3, 5)
    assert (3, 5) == first.shape
    assert np.float32 == first.dtype
    assert np.shares_memory(first, scratch.floats("left", 2, 4))
    assert not np.shares_memory(first, scratch.floats("right", 3, 5))
    assert (7, 100) == scratch.floats("left", 7, 100).shape


def test_nothing_asked_for_is_nothing() -> None:
    """An empty shape is an empty array."""
    assert (0, 4) == Scratch().floats("left", 0, 4).shape


def test_each_thread_has_its_own() -> None:
    """Another thread gets other memory for the same use."""
    scratch, others = Scratch(), []
    mine = scratch.floats("left", 100)
    other = threading.Thread(target=lambda: others.append(scratch.floats("left", 100)))
    other.start()
    other.join()
    assert not np.shares_memory(mine, others[0])
