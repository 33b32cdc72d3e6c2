# cython: language_level=3, boundscheck=False, wraparound=False, cdivision=True, annotation_typing=False
# cython: initializedcheck=False
"""Powers one after the other, four chains side by side so that none waits for its last product."""

from math import cos, exp, sin
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

globals().setdefault("c_exp", exp)
globals().setdefault("c_cos", cos)
globals().setdefault("c_sin", sin)


def fill(
    decays: "NDArray[np.float64]", angles: "NDArray[np.float64]", starts: "NDArray[np.float64]",
    out: "NDArray[np.float32]",
) -> None:  # fmt: skip
    """Fill `out`, (numbers, 2, frames), with Re and Im of e^(i·starts)·e^((decays + i·angles)·n)."""
    count, frames = out.shape[0], out.shape[2]
    whole = frames - frames % 4
    for p in range(count):
        size = _exp(decays[p])
        re, im = size * _cos(angles[p]), size * _sin(angles[p])
        re2, im2 = re * re - im * im, 2.0 * re * im
        re4, im4 = re2 * re2 - im2 * im2, 2.0 * re2 * im2
        a, ai = _cos(starts[p]), _sin(starts[p])
        b, bi = a * re - ai * im, a * im + ai * re
        c, ci = a * re2 - ai * im2, a * im2 + ai * re2
        d, di = b * re2 - bi * im2, b * im2 + bi * re2
        n = 0
        while n < whole:
            out[p, 0, n] = a
            out[p, 1, n] = ai
            out[p, 0, n + 1] = b
            out[p, 1, n + 1] = bi
            out[p, 0, n + 2] = c
            out[p, 1, n + 2] = ci
            out[p, 0, n + 3] = d
            out[p, 1, n + 3] = di
            a, ai = a * re4 - ai * im4, a * im4 + ai * re4
            b, bi = b * re4 - bi * im4, b * im4 + bi * re4
            c, ci = c * re4 - ci * im4, c * im4 + ci * re4
            d, di = d * re4 - di * im4, d * im4 + di * re4
            n += 4
        while n < frames:
            out[p, 0, n] = a
            out[p, 1, n] = ai
            a, ai = a * re - ai * im, a * im + ai * re
            n += 1


def _exp(x: float) -> float:
    """C's own where this is compiled."""
    return c_exp(x)  # type: ignore[name-defined,no-any-return] # noqa: F821


def _cos(x: float) -> float:
    """C's own where this is compiled."""
    return c_cos(x)  # type: ignore[name-defined,no-any-return] # noqa: F821


def _sin(x: float) -> float:
    """C's own where this is compiled."""
    return c_sin(x)  # type: ignore[name-defined,no-any-return] # noqa: F821
