"""Powers by doubling, over whole arrays: products of fine and coarse ones are all others."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Complexes = NDArray[np.complex128]

FINE: Final = 16
"""Powers that are made by doubling."""


def fill(decays: Vector, angles: Vector, starts: Vector, out: NDArray[np.float32]) -> None:
    """Fill `out`, (numbers, 2, frames), with Re and Im of e^(i·starts)·e^((decays + i·angles)·n)."""
    steps, frames = decays + 1j * angles, out.shape[2]
    fine = _powers(steps, FINE).T
    coarse = (_powers(FINE * steps, max(1, -(-frames // FINE))) * np.exp(1j * starts)).T
    product = coarse.astype(np.complex64)[:, :, None] * fine.astype(np.complex64)[:, None]
    flat = product.reshape(len(steps), coarse.shape[1] * FINE)[:, :frames]
    out[:, 0], out[:, 1] = flat.real, flat.imag


def _powers(steps: Complexes, count: int) -> Complexes:
    """Return e^(steps·n) for n from 0 up, (count, numbers), by doubling."""
    powers = np.empty((count, len(steps)), dtype=np.complex128)
    powers[0] = 1.0
    factor, done = np.exp(steps), 1
    while done < count:
        until = min(2 * done, count)
        np.multiply(powers[: until - done], factor, out=powers[done:until])
        done, factor = until, factor * factor
    return powers
