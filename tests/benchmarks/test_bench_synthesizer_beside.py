"""Rendering beside FluidSynth: the same 48 s of stereo, in the same process, on one core, without effects.

Reference: Debian's libfluidsynth3 with the sound font of timgm6mb-soundfont.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from synth import partials
from synth.midi_file import write_midi
from synth.render import render
from tests.benchmarks.fluid import Fluid, found
from tests.benchmarks.timing import Figures, best_s
from tests.synth.scores import RATE, comping

SECONDS = 48

FASTER = 5.0
"""Times FluidSynth's speed; reached are seven to eight."""

AUDIBLE = 0.001
"""Least root mean square of the loudest eighth in each second of the reference: it does play all along."""


def test_rendering_beside_another_synthesizer(tmp_path: Path, figures: Figures) -> None:
    """48 s of comping with nothing reused are rendered five times faster than FluidSynth renders its MIDI file."""
    here = found()
    if here is None:
        pytest.skip("no FluidSynth to compare with: apt install libfluidsynth3 timgm6mb-soundfont")
    music = comping(SECONDS)
    music = replace(music, notes=tuple(replace(note, velocity=40 + at % 88) for at, note in enumerate(music.notes)))
    file, frames = tmp_path / "comping.mid", SECONDS * RATE
    write_midi(file, music)
    beside = Fluid(*here, RATE)
    try:
        heard = beside.render(file, frames)
        beside_s = best_s(lambda: beside.render(file, frames), 5)
    finally:
        beside.close()
    loud = np.sqrt((heard.reshape(2, SECONDS, -1, RATE // 8) ** 2).mean(axis=(0, 3))).max(axis=1)
    assert loud.min() > AUDIBLE, "the reference is silent, so that its time says nothing"

    def ours() -> object:
        partials.forget_keys()
        return render(music)

    ratio = beside_s / best_s(ours, enough_s=beside_s / FASTER)
    figures.put(
        "rendering beside FluidSynth",
        f"{ratio:.1f} times as fast",
        f"at least {FASTER:.0f}; it is {SECONDS / beside_s:.0f} times real time",
    )
    assert ratio >= FASTER
