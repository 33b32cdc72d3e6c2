"""FluidSynth in this process, through ctypes: a MIDI file rendered as fast as it goes, without effects.

Functions and settings as FluidSynth's own documentation of version 2 has them.
"""

import ctypes
import ctypes.util
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

SOUND_FONTS = (Path("/usr/share/sounds/sf2/TimGM6mb.sf2"),)
"""Where Debian's package timgm6mb-soundfont puts it."""

CHUNK = 4096
"""Frames asked for at once."""


def found() -> tuple[ctypes.CDLL, Path] | None:
    """The library and a sound font; None where one of them isn't here."""
    name = ctypes.util.find_library("fluidsynth")
    font = next((path for path in SOUND_FONTS if path.is_file()), None)
    return (ctypes.CDLL(name), font) if name and font else None


class Fluid:
    """A synthesizer with its sound font loaded; stereo, float32."""

    def __init__(self, library: ctypes.CDLL, font: Path, rate: int) -> None:
        self._library = library
        for call in ("new_fluid_settings", "new_fluid_synth", "new_fluid_player"):
            getattr(library, call).restype = ctypes.c_void_p
        self._settings = ctypes.c_void_p(library.new_fluid_settings())
        library.fluid_settings_setnum(self._settings, b"synth.sample-rate", ctypes.c_double(rate))
        for name, value in (
            (b"synth.reverb.active", 0),
            (b"synth.chorus.active", 0),
            (b"synth.cpu-cores", 1),
            (b"synth.lock-memory", 0),
        ):
            library.fluid_settings_setint(self._settings, name, value)
        library.fluid_settings_setstr(self._settings, b"player.timing-source", b"sample")
        self._synth = ctypes.c_void_p(library.new_fluid_synth(self._settings))
        if library.fluid_synth_sfload(self._synth, str(font).encode(), 1) < 0:
            raise OSError(f"FluidSynth can't read {font}")

    def render(self, midi: Path, frames: int) -> NDArray[np.float32]:
        """So many frames of a MIDI file, (2, frames)."""
        library, out = self._library, np.empty((2, frames), dtype=np.float32)
        library.fluid_synth_system_reset(self._synth)
        player = ctypes.c_void_p(library.new_fluid_player(self._synth))
        library.fluid_player_add(player, str(midi).encode())
        library.fluid_player_play(player)
        left, right = (ctypes.c_void_p(channel.ctypes.data) for channel in out)
        for at in range(0, frames, CHUNK):
            count = min(CHUNK, frames - at)
            library.fluid_synth_write_float(self._synth, count, left, at, 1, right, at, 1)
        library.fluid_player_stop(player)
        library.delete_fluid_player(player)
        return out

    def close(self) -> None:
        """Let go of everything."""
        self._library.delete_fluid_synth(self._synth)
        self._library.delete_fluid_settings(self._settings)
