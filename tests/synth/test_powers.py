"""Powers of damped partials, by each of the ways they are made: against NumPy's own exponential, number by number."""

from collections.abc import Callable

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from synth.powers import COMPILED, doubling, fill, loops
from tests.house.test_compiled import is_compiled
from tests.plain_source import plain

WAYS: dict[str, Callable[..., None]] = {
    "as installed": fill, "loops": loops.fill, "plain loops": plain(loops).fill, "doubling": doubling.fill,
}  # fmt: skip
NEAR = 2e-7
"""The rounding of float32 (IEEE 754: 2^-24 of a value) with a product of two such."""


@given(
    seed=st.integers(0, 2**32 - 1),
    count=st.integers(0, 5),
    frames=st.integers(0, 300),
    turned=st.booleans(),
    way=st.sampled_from(sorted(WAYS)),
)
def test_each_way_is_the_exponential(seed: int, count: int, frames: int, turned: bool, way: str) -> None:
    """Real and imaginary parts for any number of partials and frames, in memory of any order."""
    rng = np.random.default_rng(seed)
    decays, angles, starts = -rng.exponential(1e-3, count), rng.uniform(-9.0, 9.0, count), rng.uniform(-20, 20, count)
    out = np.full((frames, count, 2), np.nan, np.float32).transpose(1, 2, 0) if turned else np.full(
        (count, 2, frames), np.nan, np.float32
    )  # fmt: skip
    WAYS[way](decays, angles, starts, out)
    wanted = np.exp(1j * starts[:, None] + (decays + 1j * angles)[:, None] * np.arange(frames))
    assert np.allclose(out[:, 0], wanted.real, rtol=0.0, atol=NEAR)
    assert np.allclose(out[:, 1], wanted.imag, rtol=0.0, atol=NEAR)


def test_they_hold_over_ten_seconds() -> None:
    """After as many products as the longest table takes nothing has drifted away."""
    decays, angles = np.array([-1e-9, 0.0]), np.array([0.1, 3.0])
    out = np.empty((2, 2, 4096), np.float32)
    for way in WAYS.values():
        way(decays, angles, np.zeros(2), out)
        last = np.exp(4095 * (decays + 1j * angles))
        assert np.allclose(out[:, 0, -1] + 1j * out[:, 1, -1], last, rtol=0.0, atol=NEAR)


def test_the_compiled_loops_do_the_work() -> None:
    """Where they are compiled they are used, and the arrays are where they are not."""
    assert COMPILED == is_compiled(str(loops.__file__))
    assert fill is (loops.fill if COMPILED else doubling.fill)
