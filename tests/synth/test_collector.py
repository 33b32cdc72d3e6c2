"""Full collections of garbage wait while something sounds."""

import gc
import time
from pathlib import Path

import numpy as np

from synth.output import open_output
from synth.outputs.collector import NEVER, full_collections_wait


def test_collections_wait_for_everybody() -> None:
    """They wait until the last one needs it no more, and then are as they were."""
    usual = gc.get_threshold()
    one, other = object(), object()
    full_collections_wait(one, True)
    full_collections_wait(other, True)
    full_collections_wait(one, True)
    assert gc.get_threshold() == (*usual[:2], NEVER)
    full_collections_wait(one, False)
    assert gc.get_threshold()[2] == NEVER
    full_collections_wait(other, False)
    full_collections_wait(other, False)
    assert gc.get_threshold() == usual


def test_they_wait_for_a_sound_to_be_heard(tmp_path: Path) -> None:
    """From the beginning of a sound to its end, and not after the way out is closed."""
    usual = gc.get_threshold()
    out = open_output("silent", tmp_path)
    sound = np.zeros((9600, 2), dtype=np.float32)
    out.play(sound)
    assert gc.get_threshold()[2] == NEVER
    assert out.wait(3.0)
    for _ in range(100):
        if gc.get_threshold() == usual:
            break
        out.wait(0.0)
        time.sleep(0.02)
    assert gc.get_threshold() == usual
    out.play(np.tile(sound, (100, 1)))
    out.close()
    assert gc.get_threshold() == usual
