"""Powers of complex numbers over many frames: what a damped partial is made of.

Both ways give the same to some 1e-7: `loops`, which is compiled while the package is built, and `doubling`, which
takes its place where there is no compiler.
"""

from synth.powers import doubling, loops

COMPILED = not str(loops.__file__).endswith(".py")
"""Whether the loops were compiled; in plain Python they are slow and serve as a reference only."""

fill = loops.fill if COMPILED else doubling.fill
"""Fill `out`, (numbers, 2, frames) of float32 in any order, with Re and Im of e^(i·starts)·e^((decays + i·angles)·n).

decays, angles, starts: (numbers,) of float64; decays are zero or below, per frame; angles in radians a frame.
"""
